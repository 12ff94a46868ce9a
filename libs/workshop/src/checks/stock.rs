//! Faults of stock entries and deliveries as people give them.

use chrono::NaiveDate as Day;

use super::found::{AMOUNT_MOST, Found};
use crate::Fault;
use crate::catalogue::{Amount, Material, Supply};
use crate::stock::{EntryKind, NewStockEntry};

/// Every fault of an entry that a person writes, given the material it is of and the workshop's day. Received is above 0,
/// written off below 0, adjusted either, each with the reason in its note where it is not plain.
pub fn entry_faults(entry: &NewStockEntry, material: Option<&Material>, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    let amount = entry.amount.get();
    found.whole("/amount", amount, -AMOUNT_MOST..=AMOUNT_MOST);
    match entry.kind {
        EntryKind::Received => {
            found.ensure(amount > 0, "/amount", || format!("{amount} does not come in: give more than 0"))
        }
        EntryKind::WrittenOff => {
            found.ensure(amount < 0, "/amount", || {
                format!("{amount} does not go out: give what is lost as less than 0")
            });
        }
        EntryKind::Adjusted => {
            found.ensure(amount != 0, "/amount", || "0 changes nothing: give what to add or take away".to_owned());
            let said = entry.note.as_ref().is_some_and(|note| !note.trim().is_empty());
            found.ensure(said, "/note", || "is missing: say why the ledger is put right".to_owned());
        }
        EntryKind::Counted | EntryKind::Drawn | EntryKind::Countered => {}
    }
    if let Some(counted) = entry.counted {
        found.whole("/counted", counted.get(), 0..=AMOUNT_MOST);
    }
    found.day("/day", entry.day);
    found.ensure(entry.day <= today, "/day", || format!("{} has not come yet: today is {today}", entry.day));
    counted_at_all(material, "/material", &mut found);
    found.note("/note", entry.note.as_deref());
    found.all()
}

/// Every fault of a delivery that is said to be on its way.
pub fn delivery_faults(packs: i64, expected_on: Day, material: Option<&Material>) -> Vec<Fault> {
    let mut found = Found::new();
    found.whole("/packs", packs, 1..=100_000);
    found.day("/expected_on", expected_on);
    counted_at_all(material, "/material", &mut found);
    if let Some(material) = material {
        let fits = material.pack.get().checked_mul(packs).is_some_and(|amount| amount <= AMOUNT_MOST);
        found.ensure(fits, "/packs", || "is more than a thousand tonnes: give fewer packs".to_owned());
    }
    found.all()
}

/// Every fault of the arrival of a delivery.
pub fn arrival_faults(arrived_on: Day, received: Amount, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.whole("/received", received.get(), 1..=AMOUNT_MOST);
    found.day("/arrived_on", arrived_on);
    found.ensure(arrived_on <= today, "/arrived_on", || format!("{arrived_on} has not come yet: today is {today}"));
    found.all()
}

/// Every fault of saying that the rest of a delivery comes later.
pub fn rest_faults(ordered: Amount, received: Amount, rest_on: Day, arrived_on: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.day("/rest_expected_on", rest_on);
    found.ensure(received < ordered, "/rest_expected_on", || {
        "is given, but all that was ordered has come: leave it out".to_owned()
    });
    found.ensure(rest_on >= arrived_on, "/rest_expected_on", || {
        format!("{rest_on} is before {arrived_on}, the day the first part came: give that day or a later one")
    });
    found.all()
}

fn counted_at_all(material: Option<&Material>, pointer: &str, found: &mut Found) {
    if let Some(material) = material.filter(|m| m.supply == Supply::Mains) {
        found.add(pointer, format!("'{}' comes from the main and is not counted", material.id));
    }
}
