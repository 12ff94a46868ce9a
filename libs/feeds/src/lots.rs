//! Lots as a table: where panels are, since when, and how many.

use workshop::lots::Lot;

use crate::table::{Cell, Table};
use crate::words;

const COLUMNS: [&str; 12] = [
    "lot",
    "panel",
    "mix",
    "finish",
    "poured_on",
    "ticket",
    "stage",
    "since",
    "quantity_panels",
    "tank",
    "rack",
    "row",
];

/// Lots in the order given; one that has wholly gone on has 0 panels.
pub fn table<'a>(lots: impl IntoIterator<Item = &'a Lot>) -> Table {
    let mut table = Table::new("lots", &COLUMNS);
    for lot in lots {
        table.row(vec![
            Cell::Whole(lot.id.get()),
            Cell::id(&lot.panel),
            Cell::id(&lot.revision),
            Cell::id(&lot.finish),
            Cell::Day(lot.poured_on),
            Cell::maybe(lot.ticket, Cell::id),
            Cell::text(words::stage(lot.stage)),
            Cell::Day(lot.since),
            Cell::Whole(lot.quantity),
            Cell::maybe(lot.tank.as_ref(), Cell::id),
            Cell::maybe(lot.rack.as_ref(), Cell::id),
            Cell::maybe(lot.row.as_ref(), Cell::text),
        ]);
    }
    table
}
