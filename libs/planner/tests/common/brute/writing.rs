//! The brute force's batches, materials and the plan it writes.

use std::collections::BTreeMap;

use chrono::Duration;
use workshop::documents::facts::{Material, Pour};
use workshop::documents::plan::{Batches, Delivery, Lift, Plan, Strip};

use super::{Deeds, Yard, handing};

impl Yard<'_> {
    /// By mix poured: fewest batches, and litres in them.
    pub(super) fn mixed(&self, deeds: &Deeds) -> BTreeMap<usize, (u32, i64)> {
        let mut litres: BTreeMap<usize, i64> = BTreeMap::new();
        for (ix, count) in &deeds.pours {
            let make = &self.makes[*ix];
            let mix = self.facts.mixes.iter().position(|mix| mix.id == make.mix.id).unwrap();
            *litres.entry(mix).or_default() += i64::from(*count) * make.panel.litres as i64;
        }
        let batches = |(mix, litres): (usize, i64)| {
            let rules = &self.facts.mixes[mix];
            let count = (litres as u64).div_ceil(rules.batch_litres_max as u64) as u32;
            (mix, (count, litres.max(i64::from(count) * rules.batch_litres_min as i64)))
        };
        litres.into_iter().map(batches).collect()
    }

    pub(super) fn drawn(&self, mixed: &BTreeMap<usize, (u32, i64)>, deeds: &Deeds, material: &str) -> i64 {
        let of_mixes = mixed.iter().map(|(mix, (_, litres))| {
            let rules = &self.facts.mixes[*mix];
            rules.per_litre.get(material).map_or(0, |each| *each as i64 * (litres + rules.washout_litres as i64))
        });
        let of_panels = deeds.pours.iter().map(|(ix, count)| {
            self.makes[*ix].panel.per_panel.get(material).map_or(0, |each| *each as i64 * i64::from(*count))
        });
        of_mixes.sum::<i64>() + of_panels.sum::<i64>()
    }

    /// On hand before the day's draws: as many packs come as the store takes.
    pub(super) fn morning_level(&self, day: usize, m: &Material, before: i64) -> i64 {
        if before == i64::MAX {
            return before;
        }
        let first = self.facts.first_day;
        let coming = m.expected.iter().filter(|e| self.after(e.day.max(first), 0) == day).map(|e| e.quantity as i64);
        let level = before + coming.sum::<i64>();
        if self.days[day] < first + Duration::days(m.lead_days) {
            return level;
        }
        match m.store_max {
            None => i64::MAX,
            Some(most) => level + (most as i64 - level).max(0) / m.pack as i64 * m.pack as i64,
        }
    }

    pub(super) fn write(&self, path: &[&Deeds], given: handing::Given) -> Plan {
        let mut plan = Plan::default();
        let tank = |place: usize| self.facts.tanks.get(place).map(|tank| tank.id.clone());
        let names = |ix: usize| (self.makes[ix].panel.id.clone(), self.makes[ix].mix.id.clone());
        for (day, deeds) in self.days.iter().copied().zip(path) {
            for (ix, count) in &deeds.pours {
                let (panel, mix) = names(*ix);
                plan.pours.push(Pour { day, panel, mix, quantity: i64::from(*count) });
            }
            for (ix, place, count) in &deeds.strips {
                let (panel, mix) = names(*ix);
                plan.strips.push(Strip { day, panel, mix, quantity: i64::from(*count), tank: tank(*place) });
            }
            for (ix, place, rack, count) in &deeds.lifts {
                let ((panel, mix), rack) = (names(*ix), rack.map(|rack| self.facts.racks[rack].id.clone()));
                plan.lifts.push(Lift { day, panel, mix, quantity: i64::from(*count), tank: tank(*place), rack });
            }
            for (mix, (count, litres)) in self.mixed(deeds) {
                let litres = vec![litres as f64 / f64::from(count); count as usize];
                plan.batches.push(Batches { day, mix: self.facts.mixes[mix].id.clone(), litres });
            }
        }
        self.facts.materials.iter().for_each(|material| self.deliveries(material, path, &mut plan));
        plan.orders = given;
        plan.figures = planner::check(self.facts, &plan).figures;
        plan
    }

    fn deliveries(&self, material: &Material, path: &[&Deeds], plan: &mut Plan) {
        let drawn: Vec<i64> = path.iter().map(|deeds| self.drawn(&self.mixed(deeds), deeds, &material.id)).collect();
        let mut level = material.on_hand as i64;
        for (day, deeds) in drawn.iter().enumerate() {
            let mut topped = self.morning_level(day, material, level);
            let alone = Material { lead_days: 1_000, ..material.clone() };
            let before = self.morning_level(day, &alone, level);
            if topped == i64::MAX {
                let wanted = (drawn.iter().sum::<i64>() + material.floor as i64 - before).max(0) as u64;
                topped = before + wanted.div_ceil(material.pack as u64) as i64 * material.pack as i64;
            }
            let packs = (topped - before) / material.pack as i64;
            if packs > 0 {
                plan.deliveries.push(Delivery { arrives: self.days[day], material: material.id.clone(), packs });
            }
            level = topped - deeds;
        }
    }
}
