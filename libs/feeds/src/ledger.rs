//! The ledger of materials and what is on its way, as tables.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use workshop::catalogue::{Amount, Material, StockUnit};
use workshop::ids::{DeliveryId, MaterialId, StockEntryId};
use workshop::stock::{Delivery, StockEntry};

use crate::table::{Cell, Table};
use crate::words;

const ENTRIES: [&str; 14] = [
    "entry",
    "material",
    "unit",
    "day",
    "kind",
    "amount_in_unit",
    "counted_in_unit",
    "balance_in_unit",
    "ticket",
    "delivery",
    "counters_entry",
    "note",
    "written_at_utc",
    "written_by",
];
const ON_HAND: [&str; 6] = ["material", "name", "unit", "on_hand_in_unit", "floor_in_unit", "below_floor"];
const COUNT_SHEET: [&str; 7] = ["material", "name", "unit", "on_hand_in_unit", "counted_in_unit", "day", "note"];
/// Columns of deliveries.
pub const DELIVERIES: [&str; 9] = [
    "delivery",
    "material",
    "unit",
    "quantity_packs",
    "expected_on",
    "state",
    "arrived_on",
    "received_in_unit",
    "reference",
];

/// What each material is counted in.
pub type Units = BTreeMap<MaterialId, StockUnit>;

fn unit(units: &Units, material: &MaterialId) -> Cell {
    Cell::maybe(units.get(material).copied(), Cell::Unit)
}

/// An amount of a material that is counted in a unit.
fn amount(amount: Amount, unit: Option<&StockUnit>) -> Cell {
    unit.map_or(Cell::Whole(amount.get()), |unit| Cell::Amount(amount.get(), *unit))
}

/// Lines of the ledger, in the order given.
pub fn entries(entries: &[StockEntry], units: &Units) -> Table {
    let mut table = Table::new("stock_entries", &ENTRIES);
    for StockEntry { id, at, entry, balance, by } in entries {
        let own = units.get(&entry.material);
        table.row(vec![
            Cell::Whole(id.get()),
            Cell::id(&entry.material),
            unit(units, &entry.material),
            Cell::Day(entry.day),
            Cell::text(words::entry_kind(entry.kind)),
            amount(entry.amount, own),
            Cell::maybe(entry.counted, |counted| amount(counted, own)),
            amount(*balance, own),
            Cell::maybe(entry.ticket, Cell::id),
            Cell::maybe(entry.delivery.map(DeliveryId::get), Cell::Whole),
            Cell::maybe(entry.counters.map(StockEntryId::get), Cell::Whole),
            Cell::maybe(entry.note.as_ref(), Cell::text),
            Cell::Moment(*at),
            Cell::maybe(by.as_ref(), Cell::text),
        ]);
    }
    table
}

/// What there is of each material, in the order given; a material with no entry has 0.
pub fn on_hand<'a>(
    materials: impl IntoIterator<Item = &'a Material>,
    balances: &BTreeMap<MaterialId, Amount>,
) -> Table {
    let mut table = Table::new("stock", &ON_HAND);
    for material in materials {
        let there = balances.get(&material.id).copied().unwrap_or_default();
        table.row(vec![
            Cell::id(&material.id),
            Cell::text(&material.name),
            Cell::Unit(material.unit),
            amount(there, Some(&material.unit)),
            amount(material.floor, Some(&material.unit)),
            Cell::text(words::yes(there < material.floor)),
        ]);
    }
    table
}

/// A sheet to take round the stores: each material with what the ledger says, and room for what is found. It comes back as an
/// import.
pub fn count_sheet<'a>(
    materials: impl IntoIterator<Item = &'a Material>,
    balances: &BTreeMap<MaterialId, Amount>,
    day: Day,
) -> Table {
    let mut table = Table::new("stock_counts", &COUNT_SHEET);
    for material in materials {
        table.row(vec![
            Cell::id(&material.id),
            Cell::text(&material.name),
            Cell::Unit(material.unit),
            amount(balances.get(&material.id).copied().unwrap_or_default(), Some(&material.unit)),
            Cell::Empty,
            Cell::Day(day),
            Cell::Empty,
        ]);
    }
    table
}

/// Deliveries in the order given. `references` has the sender's own name of those that were imported.
pub fn deliveries(deliveries: &[Delivery], units: &Units, references: &BTreeMap<DeliveryId, String>) -> Table {
    let mut table = Table::new("deliveries", &DELIVERIES);
    for delivery in deliveries {
        table.row(vec![
            Cell::Whole(delivery.id.get()),
            Cell::id(&delivery.material),
            unit(units, &delivery.material),
            Cell::Whole(delivery.packs),
            Cell::Day(delivery.expected_on),
            Cell::text(words::delivery_state(delivery.state)),
            Cell::maybe(delivery.arrived_on, Cell::Day),
            Cell::maybe(delivery.received, |received| amount(received, units.get(&delivery.material))),
            Cell::maybe(references.get(&delivery.id), Cell::id),
        ]);
    }
    table
}
