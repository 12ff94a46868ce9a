//! Rule 6: deliveries in whole packs, not before the lead time, within the store; floors kept whenever a material is drawn.

use std::collections::BTreeMap;

use workshop::documents::facts::Material;

use super::mixing::Mixed;
use super::sheet::{Count, Sheet};
use super::{Broken, Rule, SLACK, tell};

/// What materials cost: drawn, delivered, less what price breaks saved; minor units, not rounded.
pub(super) struct Bought {
    pub cost: f64,
}

pub(super) fn check(sheet: &Sheet, mixed: &Mixed, broken: &mut Vec<Broken>) -> Bought {
    let mut packs: BTreeMap<&str, Vec<Count>> =
        sheet.materials.keys().map(|id| (*id, vec![0; sheet.days.len()])).collect();
    for (n, delivery) in sheet.plan.deliveries.iter().enumerate() {
        let place = format!("deliveries/{n}");
        let day = sheet.index(delivery.arrives);
        let Some((material, day)) =
            sheet.materials.get(delivery.material.as_str()).zip(day).filter(|_| delivery.packs >= 1)
        else {
            tell(broken, Rule::Rows, place, "it is not whole packs of a known material on a working day");
            continue;
        };
        if (delivery.arrives - sheet.facts.first_day).num_days() < material.lead_days {
            let sentence = format!("\"{}\" takes {} days to come", material.id, material.lead_days);
            tell(broken, Rule::Materials, place, sentence);
        }
        if let Some(of_material) = packs.get_mut(delivery.material.as_str()) {
            of_material[day] += Count::from(delivery.packs);
        }
    }
    let cost = sheet.materials.values().map(|m| of_material(sheet, m, &packs[m.id.as_str()], mixed, broken)).sum();
    Bought { cost }
}

fn of_material(sheet: &Sheet, m: &Material, packs: &[Count], mixed: &Mixed, broken: &mut Vec<Broken>) -> f64 {
    let drawn = &mixed.drawn[m.id.as_str()];
    let mut coming = vec![0.0; sheet.days.len() + 1];
    m.expected.iter().for_each(|expected| coming[sheet.after(expected.day, 0)] += expected.quantity);
    let (mut level, mut charges, mut saved) = (m.on_hand, 0.0, 0.0);
    for (day, date) in sheet.days.iter().enumerate() {
        let place = || format!("\"{}\" on {date}", m.id);
        level += coming[day] + packs[day] as f64 * m.pack;
        if packs[day] > 0 {
            if let Some(most) = m.store_max.filter(|most| level > most + SLACK) {
                tell(broken, Rule::Materials, place(), format!("{level} in store, with room for {most}"));
            }
            let reached = m.price_breaks.iter().filter(|step| packs[day] >= Count::from(step.from_packs));
            let price = reached.map(|step| step.pack_price).fold(m.pack_price, f64::min);
            charges += m.delivery_charge;
            saved += packs[day] as f64 * (m.pack_price - price);
        }
        level -= drawn[day];
        if drawn[day] > 0.0 && level < m.floor - SLACK {
            tell(broken, Rule::Materials, place(), format!("{level} left, below the floor of {}", m.floor));
        }
    }
    let used: f64 = drawn.iter().sum();
    let lowest = m.price_breaks.iter().map(|step| step.pack_price).fold(m.pack_price, f64::min);
    // Packs nobody uses save nothing.
    used * m.pack_price / m.pack + charges - saved.min(used / m.pack * (m.pack_price - lowest))
}
