//! What may still be drawn of one material beside what a plan draws.

use crate::plan::order_packs;
use crate::problem::{DayIx, Material};

/// Left over by adding up fractions.
const DUST: f64 = 1e-7;

#[derive(Clone, Debug)]
pub(super) struct Store {
    /// By day: what arrived less what is drawn, deliveries of the plan left out.
    level: Vec<f64>,
    /// By day: what is drawn.
    drawn: Vec<f64>,
    /// Whether any limit was lifted.
    endless: bool,
}

impl Store {
    pub fn new(material: &Material, drawn: Vec<f64>) -> Self {
        let mut gone = 0.0;
        let left = |(arrived, draw): (&f64, &f64)| {
            gone += draw;
            arrived - gone
        };
        let level = material.arrived.iter().zip(&drawn).map(left).collect();
        Store { level, drawn, endless: false }
    }

    pub fn lift(&mut self) {
        self.endless = true;
    }

    /// Draws that much more on a day; less, where it is below 0.
    pub fn draw(&mut self, day: DayIx, quantity: f64) {
        self.drawn[day] += quantity;
        self.level[day..].iter_mut().for_each(|level| *level -= quantity);
    }

    /// Whether whole packs can be ordered for all that is drawn, the limit of the store kept.
    pub fn orderable(&self, material: &Material) -> bool {
        material.store_max.is_none() || order_packs(material, &self.drawn).is_ok()
    }

    /// How much is missing on days before the lead day that draw.
    pub fn lacks(&self, material: &Material) -> Vec<(DayIx, f64)> {
        let known = (0..material.lead.min(self.level.len())).filter(|at| self.drawn[*at] > DUST);
        let short = |at: DayIx| (at, material.floor - self.level[at]);
        known.map(short).filter(|(_, missing)| *missing > DUST).collect()
    }

    /// How much is missing if that much more is drawn on a day; 0 where nothing is.
    pub fn missing(&self, material: &Material, day: DayIx, quantity: f64) -> f64 {
        if self.endless || quantity <= 0.0 {
            return 0.0;
        }
        let lead = material.lead.min(self.level.len());
        let draws = |at: DayIx| at == day || self.drawn[at] > DUST;
        let known = (day.min(lead)..lead).filter(|at| draws(*at));
        let lowest = known.map(|at| self.level[at]).fold(f64::INFINITY, f64::min);
        let before = (quantity + material.floor - lowest).max(0.0);
        let after = material.store_max.map_or(0.0, |most| self.missing_later(material, most, day, quantity));
        let missing = before.max(after);
        if missing > DUST { missing } else { 0.0 }
    }

    /// The same from the lead day on, with the store kept as full as whole packs allow: a higher level, equal modulo a pack,
    /// stays at least as high for good.
    fn missing_later(&self, material: &Material, most: f64, day: DayIx, quantity: f64) -> f64 {
        let (lead, days) = (material.lead, self.level.len());
        let (mut packs, mut missing) = (0.0, 0.0_f64);
        for at in lead..days {
            let drawn = self.drawn[at] + if at == day { quantity } else { 0.0 };
            let gone = if day < at { quantity } else { 0.0 };
            // Before the day's draws, with what was ordered so far.
            let level = self.level[at] + self.drawn[at] - gone + packs * material.pack;
            packs += ((most - level) / material.pack + 1e-9).floor().max(0.0);
            let evening = self.level[at] + self.drawn[at] - gone - drawn + packs * material.pack;
            if drawn > DUST {
                missing = missing.max(material.floor - evening);
            }
        }
        missing
    }
}
