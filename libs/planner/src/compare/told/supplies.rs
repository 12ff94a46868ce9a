//! Materials: what is there, on its way, and how it is sold.

use std::collections::BTreeSet;

use chrono::NaiveDate as Day;
use workshop::documents::facts::Material;

use super::super::because::Because;
use super::{List, both};
use crate::short::measure;

impl List<'_> {
    pub(super) fn stock(&mut self) {
        let (old, new) = (self.old, self.new);
        let drawn = workshop::projection::planned_draws(old, self.plan);
        // A ticket has whole units in each of its lines, the plan has fractions.
        let done = self.plan.batches.iter().filter(|batch| batch.day < new.first_day);
        let rounded = 0.5 * (1 + done.map(|batch| batch.litres.len()).sum::<usize>()) as f64;
        for (was, is) in both(&old.materials, &new.materials, |m| &m.id) {
            let (Some(was), Some(is)) = (was, is) else { continue };
            let before = |day: &Day| *day < new.first_day;
            let gone: f64 = drawn.get(&was.id).into_iter().flatten().filter(|(day, _)| before(day)).map(|d| d.1).sum();
            let came: f64 =
                was.expected.iter().filter(|e| before(&e.day) && !is.expected.contains(e)).map(|e| e.quantity).sum();
            let ordered = self.plan.deliveries.iter().filter(|d| d.material == was.id && before(&d.arrives));
            let ordered: f64 = ordered.map(|d| d.packs as f64 * was.pack).sum();
            let more = is.on_hand - (was.on_hand + came + ordered - gone);
            if more.abs() > rounded {
                let than = if more > 0.0 { "more" } else { "less" };
                let quantity = measure(is.unit.as_deref(), more.abs());
                let sentence = format!("{quantity} {than} of material \"{}\" than planned is there", is.id);
                let kinds = self.drawing(&is.id);
                self.add(Because::Stock, &is.id, sentence).kinds = kinds;
            }
        }
    }

    /// Deliveries on their way that the old plan neither knew nor planned, and those it knew that are gone.
    pub(super) fn deliveries(&mut self) {
        let (old, new, first) = (self.old, self.new, self.first());
        for (was, is) in both(&old.materials, &new.materials, |m| &m.id) {
            let (Some(was), Some(is)) = (was, is) else { continue };
            let planned = self.plan.deliveries.iter().filter(|d| d.material == was.id);
            let mut known: Vec<(Day, f64)> = planned.map(|d| (d.arrives, d.packs as f64 * was.pack)).collect();
            let planned = known.len();
            known.extend(was.expected.iter().map(|e| (e.day, e.quantity)));
            let mut gone = vec![false; known.len()];
            let kinds = self.drawing(&is.id);
            for e in &is.expected {
                let same = (0..known.len()).rev().find(|at| !gone[*at] && known[*at] == (e.day, e.quantity));
                match same {
                    Some(at) => gone[at] = true,
                    None => {
                        let quantity = measure(is.unit.as_deref(), e.quantity);
                        let sentence = format!("{quantity} of material \"{}\" now comes on {}", is.id, e.day);
                        self.add(Because::Delivery, &is.id, sentence).kinds = kinds.clone();
                    }
                }
            }
            for at in (planned..known.len()).filter(|at| !gone[*at] && known[*at].0 >= first) {
                let quantity = measure(is.unit.as_deref(), known[at].1);
                let sentence = format!("{quantity} of material \"{}\" no longer comes on {}", is.id, known[at].0);
                self.add(Because::Delivery, &is.id, sentence).kinds = kinds.clone();
            }
        }
    }

    pub(super) fn supply(&mut self) {
        let terms = |m: &Material| {
            let Material { floor, pack, pack_price, lead_days, delivery_charge, store_max, price_breaks, .. } =
                m.clone();
            (floor, pack, pack_price, lead_days, delivery_charge, store_max, price_breaks)
        };
        for (was, is) in both(&self.old.materials, &self.new.materials, |m| &m.id) {
            let Some(any) = is.or(was) else { continue };
            let sentence = match (was, is) {
                (Some(was), Some(is)) if terms(was) != terms(is) => {
                    format!("material \"{}\" is sold or kept otherwise", is.id)
                }
                (None, Some(is)) => format!("material \"{}\" is new", is.id),
                (Some(was), None) => format!("material \"{}\" is no longer used", was.id),
                _ => continue,
            };
            let kinds = self.drawing(&any.id);
            self.add(Because::Supply, &any.id, sentence).kinds = kinds;
        }
    }

    /// Panels and finishes that draw a material.
    pub(super) fn drawing(&self, material: &str) -> BTreeSet<(String, String)> {
        let mut kinds = BTreeSet::new();
        for panel in &self.new.panels {
            for mix in self.new.mixes.iter().filter(|mix| panel.mixes.contains(&mix.id)) {
                if mix.per_litre.contains_key(material) || panel.per_panel.contains_key(material) {
                    kinds.insert((panel.id.clone(), mix.finish.clone()));
                }
            }
        }
        kinds
    }
}
