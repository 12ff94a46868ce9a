//! The ledger: running balances, what is kept as on hand, counters, and what deliveries brought.

use std::collections::{BTreeMap, BTreeSet};

use super::{Break, Records};
use crate::catalogue::Amount;
use crate::ids::{DeliveryId, MaterialId, StockEntryId};
use crate::stock::{EntryKind, StockEntry};

pub(super) fn breaks(records: &Records) -> Vec<Break> {
    let mut breaks = balances(records);
    breaks.extend(counters(records));
    breaks.extend(deliveries(records));
    breaks
}

/// On hand = the sum of all entries = the running balance of the last.
fn balances(records: &Records) -> Vec<Break> {
    let mut sums: BTreeMap<&MaterialId, i64> = BTreeMap::new();
    let mut breaks = Vec::new();
    for entry in &records.entries {
        let sum = sums.entry(&entry.entry.material).or_default();
        *sum += entry.entry.amount.get();
        if entry.balance.get() != *sum {
            let sentence = format!("its running balance is {}, the entries add up to {sum}", entry.balance.get());
            breaks.push(Break::of("running-balance", entry.id, sentence));
        }
    }
    let materials: BTreeSet<&MaterialId> = sums.keys().copied().chain(records.balances.keys()).collect();
    for material in materials {
        let sum = sums.get(material).copied().unwrap_or(0);
        let kept = records.balances.get(material).map_or(0, |amount| amount.get());
        if sum != kept {
            let sentence = format!("{kept} is kept as on hand, the entries add up to {sum}");
            breaks.push(Break::of("on-hand", material, sentence));
        }
    }
    breaks
}

/// Each counter is the opposite of one entry that is no counter itself and has no other.
fn counters(records: &Records) -> Vec<Break> {
    let by_id: BTreeMap<StockEntryId, &StockEntry> = records.entries.iter().map(|e| (e.id, e)).collect();
    let mut seen = BTreeSet::new();
    let mut breaks = Vec::new();
    for entry in &records.entries {
        let Some(countered) = entry.entry.counters else { continue };
        let fits = by_id.get(&countered).is_some_and(|old| {
            old.entry.material == entry.entry.material
                && old.entry.amount == -entry.entry.amount
                && old.entry.kind != EntryKind::Countered
        });
        if !fits {
            breaks.push(Break::of("counters", entry.id, format!("it is not the opposite of entry {countered}")));
        }
        if !seen.insert(countered) {
            breaks.push(Break::of("counters", countered, "it is countered twice"));
        }
    }
    breaks
}

/// What a delivery says came is what the ledger received with it.
fn deliveries(records: &Records) -> Vec<Break> {
    let mut received: BTreeMap<DeliveryId, i64> = BTreeMap::new();
    for entry in records.entries.iter().filter(|e| e.entry.kind == EntryKind::Received) {
        if let Some(delivery) = entry.entry.delivery {
            *received.entry(delivery).or_default() += entry.entry.amount.get();
        }
    }
    let mut breaks = Vec::new();
    for delivery in &records.deliveries {
        let says = delivery.received.map_or(0, Amount::get);
        let came = received.remove(&delivery.id).unwrap_or(0);
        if says != came {
            let sentence = format!("it says that {says} came, the ledger received {came} with it");
            breaks.push(Break::of("deliveries", delivery.id, sentence));
        }
    }
    let strays =
        received.into_keys().map(|id| Break::of("deliveries", id, "the ledger received it, and it is not there"));
    breaks.extend(strays);
    breaks
}
