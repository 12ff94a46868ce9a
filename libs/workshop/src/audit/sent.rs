//! What went out: no order was sent more than it asks for, and none was given its hardware twice.

use std::collections::{BTreeMap, BTreeSet};

use super::{Break, Records};
use crate::dispatch::{SentOut, hardware, less_than_sent};
use crate::ids::{LotId, MaterialId, OrderId, StockEntryId};
use crate::lots::Lot;
use crate::orders::{Item, Order};

pub(super) fn breaks(records: &Records) -> Vec<Break> {
    let (sent, drawn) = (sent(records), drawn(records));
    let judged = records.orders.iter().filter(|order| sets_are_known(order, records));
    judged.flat_map(|order| of_order(order, records, &sent, &drawn)).collect()
}

/// What an order asked for can be told as long as none of its sets was made otherwise since.
fn sets_are_known(order: &Order, records: &Records) -> bool {
    order.lines.iter().all(|line| match &line.item {
        Item::Set(set) => records.unchanged_sets.contains_key(set),
        Item::Panel(_) => true,
    })
}

fn of_order(order: &Order, records: &Records, sent: &SentOut, drawn: &Drawn) -> Vec<Break> {
    let too_many = less_than_sent(order, &records.unchanged_sets, sent);
    let mut breaks: Vec<Break> = too_many.into_iter().map(|fault| Break::of("sent", &order.id, fault.detail)).collect();
    let wanted: BTreeMap<MaterialId, i64> = hardware(order, &records.unchanged_sets)
        .into_iter()
        .map(|(material, pieces)| (material, pieces.get()))
        .collect();
    for (material, pieces) in drawn.get(&order.id).into_iter().flatten() {
        let wants = wanted.get(material).copied().unwrap_or(0);
        if *pieces > wants {
            let sentence = format!("it asks for {wants} {material}, and {pieces} were drawn with what was sent of it");
            breaks.push(Break::of("hardware", &order.id, sentence));
        }
    }
    breaks
}

/// Panels sent by order, panel and finish.
fn sent(records: &Records) -> SentOut {
    let lots: BTreeMap<LotId, &Lot> = records.lots.iter().map(|begun| (begun.lot.id, &begun.lot)).collect();
    let mut sent = SentOut::new();
    for dispatch in &records.dispatches {
        if let (Some(order), Some(lot)) = (&dispatch.order, lots.get(&dispatch.lot)) {
            *sent.entry((order.clone(), lot.panel.clone(), lot.finish.clone())).or_default() += dispatch.quantity;
        }
    }
    sent
}

/// Pieces drawn by order and material.
type Drawn = BTreeMap<OrderId, BTreeMap<MaterialId, i64>>;

/// Hardware drawn with dispatches and not countered since.
fn drawn(records: &Records) -> Drawn {
    let countered: BTreeSet<StockEntryId> = records.entries.iter().filter_map(|e| e.entry.counters).collect();
    let orders: BTreeMap<i64, &OrderId> =
        records.dispatches.iter().filter_map(|sent| Some((sent.id, sent.order.as_ref()?))).collect();
    let mut drawn = Drawn::new();
    for entry in records.entries.iter().filter(|e| !countered.contains(&e.id)) {
        let dispatch = records.drawn_by_dispatch.get(&entry.id);
        if let Some(order) = dispatch.and_then(|dispatch| orders.get(dispatch)) {
            let of_order = drawn.entry((*order).clone()).or_default();
            *of_order.entry(entry.entry.material.clone()).or_default() -= entry.entry.amount.get();
        }
    }
    drawn
}
