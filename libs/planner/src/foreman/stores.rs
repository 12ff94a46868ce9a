//! What may still be drawn of each material while the decoder walks the days.
//!
//! Before a material's lead time is over the level of each day is known, and a draw lowers all later ones. After it, what is
//! wanted can be ordered without end, unless the store is limited: then the level is kept as high as whole packs allow, which
//! is never worse than any other way to order (a higher level, equal modulo a pack, stays at least as high for good).

use crate::Short;
use crate::problem::{Batching, DayIx, MakeIx, Mix, Problem};

#[derive(Clone, Debug)]
pub(super) struct Stores<'p> {
    problem: &'p Problem,
    /// By material and day before its lead: level at the day's end, pins drawn already.
    levels: Vec<Vec<f64>>,
    /// By material with a limited store: level after yesterday.
    kept: Vec<f64>,
    /// By material: what may be drawn today beyond the pins.
    pub free: Vec<f64>,
    /// By material: drawn today beyond the pins.
    today: Vec<f64>,
    /// By material and day: drawn by pins.
    pinned: Vec<Vec<f64>>,
}

impl<'p> Stores<'p> {
    pub fn new(problem: &'p Problem) -> Self {
        let count = problem.materials.len();
        let pinned = pinned(problem);
        let mut stores = Stores {
            problem,
            levels: vec![Vec::new(); count],
            kept: vec![0.0; count],
            free: vec![0.0; count],
            today: vec![0.0; count],
            pinned,
        };
        stores.restart();
        stores
    }

    /// Back to the first morning.
    pub fn restart(&mut self) {
        for (ix, material) in self.problem.materials.iter().enumerate() {
            let levels = &mut self.levels[ix];
            levels.clear();
            let mut gone = 0.0;
            for day in 0..material.lead.min(self.problem.len()) {
                gone += self.pinned[ix][day];
                levels.push(material.arrived[day] - gone);
            }
            self.kept[ix] = 0.0;
        }
    }

    /// Works out what is free today; says what is short where not even the pins can be poured.
    pub fn morning(&mut self, day: DayIx) -> Result<(), Short> {
        for (ix, material) in self.problem.materials.iter().enumerate() {
            self.today[ix] = 0.0;
            let pinned = &self.pinned[ix];
            let free = if day < material.lead {
                let held = |later: &usize| *later == day || pinned[*later] > 0.0;
                let lowest = (day..self.levels[ix].len()).filter(held).map(|later| self.levels[ix][later]);
                lowest.fold(f64::INFINITY, f64::min) - material.floor
            } else if let Some(most) = material.store_max {
                let before = if day == 0 { 0.0 } else { material.arrived[day - 1] };
                let carried = match day == material.lead && day > 0 {
                    true => self.levels[ix][day - 1],
                    false => self.kept[ix],
                };
                let level = carried + material.arrived[day] - before;
                let packs = ((most - level) / material.pack + 1e-9).floor().max(0.0);
                self.kept[ix] = level + packs * material.pack;
                self.kept[ix] - material.floor - pinned[day]
            } else {
                f64::INFINITY
            };
            if pinned[day] > 0.0 && free < -5e-7 {
                return Err(Short::Material { material: ix, day, missing: -free });
            }
            self.free[ix] = free;
        }
        Ok(())
    }

    /// Whether that much more can be drawn today.
    pub fn allow(&self, draws: &[(usize, f64)]) -> bool {
        draws.iter().all(|(material, quantity)| *quantity <= self.free[*material].max(0.0) + 1e-9)
    }

    /// Draws today.
    pub fn draw(&mut self, draws: &[(usize, f64)]) {
        for (material, quantity) in draws {
            self.free[*material] -= quantity;
            self.today[*material] += quantity;
        }
    }

    /// Carries today's draws on to the days after.
    pub fn evening(&mut self, day: DayIx) {
        for (ix, material) in self.problem.materials.iter().enumerate() {
            if day < material.lead {
                let today = self.today[ix];
                if today > 0.0 {
                    self.levels[ix][day..].iter_mut().for_each(|level| *level -= today);
                }
            } else {
                self.kept[ix] -= self.today[ix] + self.pinned[ix][day];
            }
        }
    }

    /// Whether any material of the mix is limited today.
    pub fn limits(&self, mix: &Mix) -> bool {
        mix.per_litre.iter().any(|(material, _)| self.free[*material].is_finite())
    }

    /// Whether any of the panel's own materials is limited today.
    pub fn limits_panel(&self, make: MakeIx) -> bool {
        self.problem.panel_of(make).per_panel.iter().any(|(material, _)| self.free[*material].is_finite())
    }
}

/// What a mix draws more when its batches of the day become `after`.
pub(super) fn draws_of_batches(mix: &Mix, before: Batching, after: Batching) -> Vec<(usize, f64)> {
    let washout = if before.count == 0 && after.count > 0 { mix.washout_litres } else { 0.0 };
    let litres = after.litres() - before.litres() + washout;
    mix.per_litre.iter().map(|(material, quantity)| (*material, quantity * litres)).collect()
}

fn pinned(problem: &Problem) -> Vec<Vec<f64>> {
    let mut schedule = crate::plan::Schedule::empty(problem.len());
    schedule.pours.clone_from(&problem.pins);
    crate::plan::drawn(problem, &schedule)
}
