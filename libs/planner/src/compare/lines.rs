//! What two plans have otherwise.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use workshop::documents::{Facts, Plan};

use super::Line;

/// Orders, pours and deliveries that differ from the first day of the plan after on.
pub(super) fn lines(old_facts: &Facts, old: &Plan, new_facts: &Facts, new: &Plan) -> Vec<Line> {
    let mut lines = orders(old_facts, old, new_facts, new);
    lines.extend(pours(old, new, new_facts.first_day));
    lines.extend(deliveries(old_facts, old, new_facts, new));
    lines
}

fn orders(old_facts: &Facts, old: &Plan, new_facts: &Facts, new: &Plan) -> Vec<Line> {
    let ready = |facts: &Facts, plan: &Plan| -> BTreeMap<String, Option<Day>> {
        let of = |id: &String| plan.orders.iter().find(|result| result.id == *id).and_then(|result| result.ready_on);
        facts.orders.iter().map(|order| (order.id.clone(), of(&order.id))).collect()
    };
    let (before, after) = (ready(old_facts, old), ready(new_facts, new));
    let ids: std::collections::BTreeSet<&String> = before.keys().chain(after.keys()).collect();
    let line = |order: &String| {
        let (was, is) = (before.get(order), after.get(order));
        let line = || Line::Ready { order: order.clone(), was: was.copied().flatten(), is: is.copied().flatten() };
        (was != is).then(line)
    };
    ids.into_iter().filter_map(line).collect()
}

fn pours(old: &Plan, new: &Plan, first: Day) -> Vec<Line> {
    let mut sums: BTreeMap<(Day, &str, &str), (i64, i64)> = BTreeMap::new();
    for pour in old.pours.iter().filter(|pour| pour.day >= first) {
        sums.entry((pour.day, &pour.panel, &pour.mix)).or_default().0 += pour.quantity;
    }
    for pour in &new.pours {
        sums.entry((pour.day, &pour.panel, &pour.mix)).or_default().1 += pour.quantity;
    }
    let differ = sums.into_iter().filter(|(_, (was, is))| was != is);
    let line = |((day, panel, mix), (was, is)): ((Day, &str, &str), (i64, i64))| Line::Pour {
        day,
        panel: panel.to_owned(),
        mix: mix.to_owned(),
        was,
        is,
    };
    differ.map(line).collect()
}

/// Packs to order; those ordered meanwhile are on their way and no change.
fn deliveries(old_facts: &Facts, old: &Plan, new_facts: &Facts, new: &Plan) -> Vec<Line> {
    let mut sums: BTreeMap<(Day, &str), (i64, i64)> = BTreeMap::new();
    let on_the_way = |material: &str, day: Day, packs: i64| {
        let told = |facts: &Facts, day: Day, quantity: f64| {
            let of = facts.materials.iter().filter(|m| m.id == material).flat_map(|m| &m.expected);
            of.filter(|e| e.day == day && (e.quantity - quantity).abs() < 1e-6).count()
        };
        let pack = new_facts.materials.iter().find(|m| m.id == material).map_or(0.0, |m| m.pack);
        let quantity = pack * packs as f64;
        told(new_facts, day, quantity) > told(old_facts, day, quantity)
    };
    for d in old.deliveries.iter().filter(|d| d.arrives >= new_facts.first_day) {
        if !on_the_way(&d.material, d.arrives, d.packs) {
            sums.entry((d.arrives, &d.material)).or_default().0 += d.packs;
        }
    }
    for d in &new.deliveries {
        sums.entry((d.arrives, &d.material)).or_default().1 += d.packs;
    }
    let differ = sums.into_iter().filter(|(_, (was, is))| was != is);
    differ.map(|((day, material), (was, is))| Line::Delivery { day, material: material.to_owned(), was, is }).collect()
}
