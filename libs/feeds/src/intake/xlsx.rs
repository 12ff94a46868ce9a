//! Workbooks: one sheet of them, cell by cell, so that neither a sheet with a cell far out nor a small file that unpacks to a
//! large one takes more memory than the limits allow.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Read};

use calamine::{Data, DataRef, Reader, Xlsx};

use super::fault::CellFault;
use super::sheet::{MOST_CHARACTERS, MOST_COLUMNS, MOST_ROWS, MOST_UNPACKED, Raw, RawRow, too_long, too_many_rows};

/// All rows of a sheet that say anything: of the one `stated`, else of the `usual` one, else of the only one.
pub(super) fn rows(bytes: &[u8], stated: Option<&str>, usual: &str) -> Result<Vec<RawRow>, Vec<CellFault>> {
    let fault = |detail: String| vec![CellFault::of_line(1, detail)];
    unpacked_within_limit(bytes).map_err(fault)?;
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|e| fault(unreadable(&e)))?;
    let sheet = chosen(&book.sheet_names(), stated, usual).map_err(fault)?;
    let mut cells = book.worksheet_cells_reader(&sheet).map_err(|e| fault(unreadable(&e)))?;
    let mut rows: BTreeMap<u32, Vec<Raw>> = BTreeMap::new();
    let (mut long, mut kept) = (BTreeSet::new(), 0);
    while let Some(cell) = cells.next_cell().map_err(|e| fault(unreadable(&e)))? {
        let (row, column) = cell.get_position();
        // A workbook keeps a text once however many cells show it: what is kept of it is counted before it is kept.
        let text = text_of(cell.get_value());
        if text.chars().nth(MOST_CHARACTERS).is_some() {
            long.insert(u64::from(row) + 1);
            continue;
        }
        kept += text.len() as u64;
        if kept > MOST_UNPACKED {
            return Err(fault(format!(
                "the sheet's cells say more than {MOST_UNPACKED} bytes, the most that is read: send less at once"
            )));
        }
        let raw = raw(cell.get_value());
        if raw.is_blank() {
            continue;
        }
        let (line, column) = (u64::from(row) + 1, usize::try_from(column).unwrap_or(usize::MAX));
        if column >= MOST_COLUMNS {
            let detail = format!("has a cell beyond column {MOST_COLUMNS}, the last that is read: move it to the left");
            return Err(vec![CellFault::of_line(line, detail)]);
        }
        if rows.len() > MOST_ROWS && !rows.contains_key(&row) {
            return Err(vec![too_many_rows(line)]);
        }
        let cells = rows.entry(row).or_default();
        if cells.len() <= column {
            cells.resize(column + 1, Raw::Blank);
        }
        cells[column] = raw;
    }
    if !long.is_empty() {
        return Err(long.into_iter().map(too_long).collect());
    }
    Ok(rows.into_iter().map(|(row, cells)| RawRow { line: u64::from(row) + 1, cells }).collect())
}

fn unreadable(error: &calamine::XlsxError) -> String {
    format!("is no workbook that can be read ({error}): save it as XLSX, without a password")
}

/// Unpacks every part to nowhere and counts: what a part says of its own size is not to be trusted.
fn unpacked_within_limit(bytes: &[u8]) -> Result<(), String> {
    let no_workbook = |error: zip::result::ZipError| format!("is no workbook ({error}): save it as XLSX");
    let mut parts = zip::ZipArchive::new(Cursor::new(bytes)).map_err(no_workbook)?;
    let mut left = MOST_UNPACKED;
    for at in 0..parts.len() {
        let part = parts.by_index(at).map_err(no_workbook)?;
        let read = io::copy(&mut part.take(left + 1), &mut io::sink())
            .map_err(|error| format!("is a damaged workbook ({error}): save it once more"))?;
        left = left.checked_sub(read).ok_or_else(|| {
            format!("the workbook unpacks to more than {MOST_UNPACKED} bytes, the most that is read: send less at once")
        })?;
    }
    Ok(())
}

fn chosen(sheets: &[String], stated: Option<&str>, usual: &str) -> Result<String, String> {
    let there = || sheets.iter().map(|name| format!("'{name}'")).collect::<Vec<_>>().join(", ");
    let wanted = stated.unwrap_or(usual);
    match sheets.iter().find(|name| *name == wanted) {
        Some(sheet) => Ok(sheet.clone()),
        None if stated.is_some() => Err(format!("the workbook has no sheet '{wanted}': there are {}", there())),
        None => match sheets {
            [only] => Ok(only.clone()),
            _ => Err(format!("the workbook has the sheets {}: name one '{usual}', or say which by sheet=", there())),
        },
    }
}

/// The text of a cell, where it is one.
fn text_of<'c>(value: &'c DataRef<'_>) -> &'c str {
    match value {
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text,
        DataRef::SharedString(text) => text,
        _ => "",
    }
}

fn raw(value: &DataRef<'_>) -> Raw {
    match value {
        DataRef::Empty => Raw::Blank,
        DataRef::Int(number) => Raw::Number(*number as f64),
        DataRef::Float(number) => Raw::Number(*number),
        DataRef::String(text) => Raw::Text(text.clone()),
        DataRef::SharedString(text) => Raw::Text((*text).to_owned()),
        DataRef::Bool(truth) => Raw::Truth(*truth),
        DataRef::DateTime(at) if at.is_datetime() && (1.0..2_958_466.0).contains(&at.as_f64()) => {
            let (year, month, day, hours, minutes, seconds, _) = at.to_ymd_hms_milli();
            let time = match (hours, minutes, seconds) {
                (0, 0, 0) => String::new(),
                _ => format!(" {hours:02}:{minutes:02}:{seconds:02}"),
            };
            Raw::Day(format!("{year:04}-{month:02}-{day:02}{time}"))
        }
        DataRef::DateTime(at) => Raw::Number(at.as_f64()),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => Raw::Text(text.clone()),
        DataRef::Error(error) => Raw::Failed(Data::Error(error.clone()).to_string()),
    }
}
