//! Forms of imports.

use feeds::intake::{CellFault, Grid};
use serde::Serialize;
use utoipa::ToSchema;

/// What an import did, or would do.
#[derive(Clone, Debug, Default, Serialize, ToSchema)]
#[schema(example = json!({
    "checked_only": true, "entries": 2, "new": 1, "changed": 0, "unchanged": 1,
    "columns": [{ "column": "due_on", "header": "due_on", "read_as": "days with the day first" }], "passed_over": [], "faults": [],
    "warnings": [{ "line": 3, "column": "due_on", "value": "05/01/2026", "detail": "2026-01-05 is past: today is 2026-05-04" }],
}))]
pub struct ImportReport {
    /// Whether nothing was to be changed anyway.
    pub checked_only: bool,
    /// Orders, materials or whatever it is a file of.
    pub entries: usize,
    /// Of these, new ones.
    pub new: usize,
    /// Of these, ones that were there in another form.
    pub changed: usize,
    /// Of these, ones that were there just so.
    pub unchanged: usize,
    /// How the file's columns were understood.
    pub columns: Vec<ColumnRead>,
    /// Headers that were passed over, because a mapping is stated and does not name them.
    pub passed_over: Vec<String>,
    /// What keeps the file from being taken; where there is any, nothing of it is.
    pub faults: Vec<RowFault>,
    /// What is odd but taken.
    pub warnings: Vec<RowFault>,
}

/// How a column of a file was understood.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ColumnRead {
    /// Our name of it.
    pub column: String,
    /// The file's.
    pub header: String,
    /// How its days or numbers were read, where there was more than one way.
    pub read_as: Option<String>,
}

/// A fault of one cell or row of a file.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct RowFault {
    /// The line of the file, counted from 1 with the header.
    pub line: u64,
    /// The column as the file names it, where it is one.
    pub column: Option<String>,
    /// What stands there, where something does.
    pub value: Option<String>,
    /// What is wrong and what to do.
    pub detail: String,
}

impl From<CellFault> for RowFault {
    fn from(fault: CellFault) -> Self {
        Self { line: fault.line, column: fault.column, value: fault.value, detail: fault.detail }
    }
}

impl ColumnRead {
    /// All columns a file has.
    pub fn all(grid: &Grid) -> Vec<Self> {
        let places = grid.form.columns.iter().zip(&grid.places);
        let read = places.filter_map(|(column, place)| place.as_ref().map(|place| (column, place)));
        read.map(|(column, place)| Self {
            column: match place.unit {
                Some(unit) => format!("{}_{}", column.stem(), unit.word),
                None => column.name.to_owned(),
            },
            header: place.header.clone(),
            read_as: place.read_as.map(str::to_owned),
        })
        .collect()
    }
}
