//! The stock projection as a table: one row for each material and day.

use workshop::catalogue::Material;
use workshop::projection::Projection;

use crate::table::{Cell, Table};

/// The columns. Amounts are in the unit the row names, the material's own.
const COLUMNS: [&str; 11] = [
    "material",
    "unit",
    "day",
    "used_in_unit",
    "expected_in_unit",
    "to_order_in_unit",
    "on_hand_in_unit",
    "on_hand_if_nothing_is_ordered_in_unit",
    "floor_in_unit",
    "first_short_day",
    "order_by",
];

/// Every day of every projection, in the order given.
pub fn table<'a>(projections: impl IntoIterator<Item = (&'a Material, &'a Projection)>) -> Table {
    let mut table = Table::new("stock_projection", &COLUMNS);
    for (material, projection) in projections {
        for day in &projection.days {
            table.row(vec![
                Cell::id(&material.id),
                Cell::Unit(material.unit),
                Cell::Day(day.day),
                Cell::Amount(day.used.get(), material.unit),
                Cell::Amount(day.expected.get(), material.unit),
                Cell::Amount(day.to_order.get(), material.unit),
                Cell::Amount(day.on_hand.get(), material.unit),
                Cell::Amount(day.unordered.get(), material.unit),
                Cell::Amount(material.floor.get(), material.unit),
                Cell::maybe(projection.first_short_day, Cell::Day),
                Cell::maybe(projection.order_by, Cell::Day),
            ]);
        }
    }
    table
}
