//! The trail of changes as a table: one row for each field that was changed.

use workshop::trail::{Change, FieldChange};

use crate::table::{Cell, Table};

/// The columns. What a field was and became is written as JSON.
pub const COLUMNS: [&str; 9] = ["change", "at_utc", "by", "kind", "id", "act", "field", "before", "after"];

/// The changes in the order given; one that changed no field by name has a row of its own.
pub fn table<'a>(changes: impl IntoIterator<Item = &'a Change>) -> Table {
    let mut table = Table::new("changes", &COLUMNS);
    for change in changes {
        if change.done.fields.is_empty() {
            table.row(row(change, None));
        }
        for field in &change.done.fields {
            table.row(row(change, Some(field)));
        }
    }
    table
}

fn row(change: &Change, field: Option<&FieldChange>) -> Vec<Cell> {
    let json = |value: fn(&FieldChange) -> Option<&String>| Cell::maybe(field.and_then(value), Cell::text);
    vec![
        Cell::Whole(change.number),
        Cell::Moment(change.at),
        Cell::maybe(change.by.as_ref(), Cell::text),
        Cell::text(&change.done.kind),
        Cell::id(&change.done.id),
        Cell::text(&change.done.act),
        Cell::maybe(field, |field| Cell::text(&field.field)),
        json(|field| field.before.as_ref()),
        json(|field| field.after.as_ref()),
    ]
}
