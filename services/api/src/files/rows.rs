//! Reads CSV as people's spreadsheets write it: with or without a byte order mark, with commas or semicolons, and with the
//! apostrophe that an export puts before text a spreadsheet would calculate with.

use feeds::table::guard;

use crate::wire::orders::RowFault;

/// One row under the header, by its line in the file.
#[derive(Clone, Debug)]
pub struct Row {
    /// Counted from 1 with the header.
    pub line: u64,
    cells: Vec<String>,
}

impl Row {
    /// A cell by the number of its column, without blanks around it; empty where the row is shorter.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.trim())
    }
}

/// Rows under a header whose columns are all known; the last `later` of them may be missing.
///
/// # Errors
/// Unknown, missing and repeated columns, rows of another length, and text that is not CSV.
pub fn read(text: &str, columns: &[&str], later: usize) -> Result<Vec<Row>, Vec<RowFault>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().next().unwrap_or_default();
    let delimiter = if header.matches(';').count() > header.matches(',').count() { b';' } else { b',' };
    let mut reader =
        csv::ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut faults = Vec::new();
    let mut rows = Vec::new();
    let mut places: Vec<usize> = Vec::new();
    let mut lines = Lines { text, byte: 0, line: 1 };
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = lines.of(error.position().map_or(0, csv::Position::byte));
                faults.push(fault(line, None, format!("is not CSV: {error}")));
                break;
            }
        };
        let line = lines.of(record.position().map_or(0, csv::Position::byte));
        let cells: Vec<String> = record.iter().map(plain).collect();
        if places.is_empty() {
            places = header_places(&cells, columns, columns.len() - later, &mut faults);
        } else if cells.iter().any(|cell| !cell.trim().is_empty()) {
            if cells.len() != places.len() {
                faults.push(fault(line, None, format!("has {} fields, the header has {}", cells.len(), places.len())));
            }
            rows.push(Row { line, cells: in_order(&cells, &places, columns.len()) });
        }
    }
    if places.is_empty() && faults.is_empty() {
        faults.push(fault(1, None, format!("the file is empty: give a header of {}", columns.join(", "))));
    }
    if faults.is_empty() { Ok(rows) } else { Err(faults) }
}

/// Counts lines as an editor does. The CSV reader's own count is one short where lines end in CRLF: it takes the LF to
/// belong to the next record.
struct Lines<'t> {
    text: &'t str,
    byte: usize,
    line: u64,
}

impl Lines<'_> {
    /// The line of the first letter at or after a place that only rises.
    fn of(&mut self, byte: u64) -> u64 {
        let bytes = self.text.as_bytes();
        let mut to = usize::try_from(byte).unwrap_or(usize::MAX).clamp(self.byte, bytes.len());
        while bytes.get(to).is_some_and(|b| matches!(b, b'\r' | b'\n')) {
            to += 1;
        }
        self.line += bytes[self.byte..to].iter().filter(|b| **b == b'\n').count() as u64;
        self.byte = to;
        self.line
    }
}

/// For each column of the file, its number in `columns`.
fn header_places(names: &[String], columns: &[&str], needed: usize, faults: &mut Vec<RowFault>) -> Vec<usize> {
    let mut places = Vec::new();
    for name in names {
        let name = name.trim();
        match columns.iter().position(|column| *column == name) {
            Some(place) if places.contains(&place) => {
                faults.push(fault(1, Some(name), "is there twice: keep one of them".to_owned()));
                places.push(usize::MAX);
            }
            Some(place) => places.push(place),
            None => {
                faults.push(fault(1, Some(name), format!("is not known: there are {}", columns.join(", "))));
                places.push(usize::MAX);
            }
        }
    }
    for (place, column) in columns.iter().enumerate().take(needed) {
        if !places.contains(&place) {
            faults.push(fault(1, Some(column), "is missing: the header needs it".to_owned()));
        }
    }
    places
}

fn in_order(cells: &[String], places: &[usize], count: usize) -> Vec<String> {
    let mut ordered = vec![String::new(); count];
    for (cell, place) in cells.iter().zip(places) {
        if let Some(slot) = ordered.get_mut(*place) {
            slot.clone_from(cell);
        }
    }
    ordered
}

/// Takes away the one apostrophe that an export puts before a sign.
fn plain(cell: &str) -> String {
    guard::plain(cell).to_owned()
}

/// A fault of a line and, where there is one, a column.
pub fn fault(line: u64, column: Option<&str>, detail: String) -> RowFault {
    RowFault { line, column: column.map(str::to_owned), detail }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: [&str; 2] = ["order", "note"];

    #[test]
    fn all_usual_ways_of_writing_are_read() {
        for text in ["order,note\r\nA,\"x, y\"\r\n", "\u{feff}note;order\nx, y;A\n", "order,note\n\nA,\"x, y\"\n,\n"] {
            let rows = read(text, &COLUMNS, 0).unwrap();
            assert_eq!(rows.len(), 1, "{text:?}");
            assert_eq!((rows[0].cell(0), rows[0].cell(1)), ("A", "x, y"), "{text:?}");
        }
        assert_eq!(read("order,note\nA,'=1+1\n", &COLUMNS, 0).unwrap()[0].cell(1), "=1+1");
        assert_eq!(read("order,note\nA,'s\n", &COLUMNS, 0).unwrap()[0].cell(1), "'s");
    }

    #[test]
    fn faults_name_line_and_column() {
        let cases = [
            ("", 1, None),
            ("order\nA\n", 1, Some("note")),
            ("order,note,what\nA,x,y\n", 1, Some("what")),
            ("order,note,note\nA,x,y\n", 1, Some("note")),
            ("order,note\nA,x\nB\n", 3, None),
            ("order,note\r\nA,x\r\nB\r\n", 3, None),
            ("order,note\r\n\r\nA,\"x\r\ny\"\r\nB\r\n", 5, None),
        ];
        for (text, line, column) in cases {
            let faults = read(text, &COLUMNS, 0).unwrap_err();
            assert!(faults.iter().any(|f| f.line == line && f.column.as_deref() == column), "{text:?}: {faults:?}");
        }
    }
}
