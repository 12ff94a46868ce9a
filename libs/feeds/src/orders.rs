//! Orders as a table: one row for each line of an order, its head repeated.

use workshop::orders::{Item, Order, OrderLine};

use crate::table::{Cell, Table};
use crate::words;

/// The columns; an import takes the same.
pub const COLUMNS: [&str; 13] = [
    "order",
    "customer",
    "due_on",
    "promised_on",
    "priority",
    "state",
    "set",
    "panel",
    "finish",
    "quantity",
    "note",
    "line",
    "parts_agreed",
];

/// The orders in the order given, their lines numbered from 1.
pub fn table<'a>(orders: impl IntoIterator<Item = &'a Order>) -> Table {
    let mut table = Table::new("orders", &COLUMNS);
    for order in orders {
        for (number, line) in (1..).zip(&order.lines) {
            table.row(row(order, line, number));
        }
    }
    table
}

fn row(order: &Order, line: &OrderLine, number: i64) -> Vec<Cell> {
    let (set, panel) = match &line.item {
        Item::Set(set) => (Cell::id(set), Cell::Empty),
        Item::Panel(panel) => (Cell::Empty, Cell::id(panel)),
    };
    vec![
        Cell::id(&order.id),
        Cell::maybe(order.customer.as_ref(), Cell::text),
        Cell::Day(order.due_on),
        Cell::maybe(order.promised_on, Cell::Day),
        Cell::text(words::priority(order.priority)),
        Cell::text(words::order_state(order.state)),
        set,
        panel,
        Cell::id(&line.finish),
        Cell::Whole(line.quantity),
        Cell::maybe(order.note.as_ref(), Cell::text),
        Cell::Whole(number),
        Cell::text(words::yes(order.parts_agreed)),
    ]
}
