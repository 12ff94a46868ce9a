//! A fault of a file: where it is, what stands there, and what to do.

/// Most faults listed of one file; the last of them says how many more there are.
pub const MOST: usize = 5_000;
/// Characters of a value that are repeated in a fault.
const SHOWN: usize = 60;

/// A fault of one cell, row or column of a file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CellFault {
    /// The line of the file, counted from 1 with the header.
    pub line: u64,
    /// The column as the file names it, where it is one.
    pub column: Option<String>,
    /// What stands there, shortened; nothing where nothing does.
    pub value: Option<String>,
    /// What is wrong and what to do.
    pub detail: String,
}

impl CellFault {
    /// A fault of a line as a whole.
    pub fn of_line(line: u64, detail: impl Into<String>) -> Self {
        Self { line, column: None, value: None, detail: detail.into() }
    }

    /// A fault of a column of a line, and of the value there where it has one.
    pub fn of_cell(line: u64, column: &str, value: &str, detail: impl Into<String>) -> Self {
        let value = (!value.is_empty()).then(|| shortened(value));
        Self { line, column: Some(column.to_owned()), value, detail: detail.into() }
    }
}

/// A value, short enough to be repeated.
pub fn shortened(value: &str) -> String {
    match value.char_indices().nth(SHOWN) {
        Some((end, _)) => format!("{}…", &value[..end]),
        None => value.to_owned(),
    }
}

/// In the order of lines and columns, none twice, at most [`MOST`] of them.
pub fn in_order(mut faults: Vec<CellFault>) -> Vec<CellFault> {
    faults.sort();
    faults.dedup();
    if faults.len() > MOST {
        let (more, last) = (faults.len() - MOST, faults[MOST].line);
        faults.truncate(MOST);
        faults.push(CellFault::of_line(last, format!("there are {more} more faults from here on: mend these first")));
    }
    faults
}
