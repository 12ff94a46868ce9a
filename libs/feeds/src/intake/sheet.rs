//! The cells of a file as they stand, within limits: what of a file is read at all.

use super::fault::CellFault;
use super::way::{Format, Way};
use super::{csv, xlsx};

/// Bytes of a file.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;
/// Bytes of all parts of a workbook, unpacked.
pub const MOST_UNPACKED: u64 = 64 * 1024 * 1024;
/// Rows under the header that say anything.
pub const MOST_ROWS: usize = 20_000;
/// Columns.
pub const MOST_COLUMNS: usize = 200;
/// Characters of a cell.
pub const MOST_CHARACTERS: usize = 32_767;

/// One cell as the file has it; a formula is its value.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Raw {
    /// Nothing.
    #[default]
    Blank,
    /// Text, as all of CSV is.
    Text(String),
    /// A number of a workbook.
    Number(f64),
    /// A day of a workbook, and the time where it is not midnight.
    Day(String),
    /// True or false.
    Truth(bool),
    /// A formula that came to nothing, as the sheet says it.
    Failed(String),
}

impl Raw {
    /// As people would say it; nothing for a blank.
    pub fn said(&self) -> String {
        match self {
            Raw::Blank => String::new(),
            Raw::Text(text) | Raw::Day(text) | Raw::Failed(text) => text.clone(),
            Raw::Number(number) => number.to_string(),
            Raw::Truth(truth) => if *truth { "TRUE" } else { "FALSE" }.to_owned(),
        }
    }

    /// Whether nothing but blanks stands there.
    pub fn is_blank(&self) -> bool {
        match self {
            Raw::Blank => true,
            Raw::Text(text) => text.trim().is_empty(),
            _ => false,
        }
    }
}

/// One row of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct RawRow {
    /// Its line, counted from 1 as an editor or a spreadsheet counts.
    pub line: u64,
    /// Its cells, from the first column on.
    pub cells: Vec<Raw>,
}

/// A file's rows that say anything, the header first.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What format it came in.
    pub format: Format,
    /// The header and the rows under it.
    pub rows: Vec<RawRow>,
}

/// Reads a file. `usual` names the sheet that is taken of several where none is stated.
///
/// # Errors
/// Where it is no such file, or larger than what is read.
pub fn read(bytes: &[u8], format: Format, way: &Way, usual: &str) -> Result<Sheet, Vec<CellFault>> {
    if bytes.len() > MOST_BYTES {
        let detail = format!("the file has {} bytes: send at most {MOST_BYTES} at once", bytes.len());
        return Err(vec![CellFault::of_line(1, detail)]);
    }
    let rows = match format {
        Format::Csv => csv::rows(bytes)?,
        Format::Xlsx => xlsx::rows(bytes, way.sheet.as_deref(), usual)?,
    };
    let mut faults = Vec::new();
    for row in &rows {
        if row.cells.len() > MOST_COLUMNS {
            let detail = format!("has {} columns: send at most {MOST_COLUMNS}", row.cells.len());
            faults.push(CellFault::of_line(row.line, detail));
        }
        let long = |raw: &Raw| matches!(raw, Raw::Text(text) if text.chars().nth(MOST_CHARACTERS).is_some());
        if row.cells.iter().any(long) {
            faults.push(too_long(row.line));
        }
    }
    if faults.is_empty() { Ok(Sheet { format, rows }) } else { Err(faults) }
}

/// The fault of a row with a cell longer than is read.
pub(super) fn too_long(line: u64) -> CellFault {
    let detail =
        format!("has a cell of more than {MOST_CHARACTERS} characters: shorten it, or close its quotation mark");
    CellFault::of_line(line, detail)
}

/// The fault of a file with more rows than are read.
pub(super) fn too_many_rows(line: u64) -> CellFault {
    CellFault::of_line(
        line,
        format!("is one row more than the {MOST_ROWS} that are read at once: send the rest in another file"),
    )
}
