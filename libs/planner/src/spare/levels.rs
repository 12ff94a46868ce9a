//! What is left by day, and how a panel more or less changes it.

use super::stores::Store;
use super::trails::Trail;
use crate::plan::{Schedule, drawn};
use crate::problem::{At, Batching, DayIx, MakeIx, Problem};

/// What is left of everything beside a schedule. Below 0 where lots alone take more than there is.
#[derive(Clone, Debug)]
pub(crate) struct Spare<'p> {
    pub(super) problem: &'p Problem,
    /// Minutes by day.
    pub labour: Vec<f64>,
    /// Batches of the mixer by day.
    pub batches: Vec<i64>,
    /// Litres poured, by mix and day.
    pub(super) litres: Vec<Vec<f64>>,
    /// By group and night: moulds free.
    pub moulds: Vec<Vec<i64>>,
    /// By tank and night: mm free.
    pub tanks: Vec<Vec<f64>>,
    /// By rack and night: mm free.
    pub racks: Vec<Vec<f64>>,
    pub(super) stores: Vec<Store>,
    /// Whether mixes may be poured on the days they may not.
    pub(super) warm: bool,
    /// Whether a pour beside a pin of the same make is allowed.
    pub(super) unpinned: bool,
}

impl<'p> Spare<'p> {
    /// Beside a schedule.
    pub fn of(problem: &'p Problem, schedule: &Schedule) -> Self {
        let days = problem.len();
        let store = |(material, drawn): (&crate::problem::Material, Vec<f64>)| Store::new(material, drawn);
        let mut spare = Spare {
            problem,
            labour: problem.labour.clone(),
            batches: vec![problem.mixer_batches; days],
            litres: vec![vec![0.0; days]; problem.mixes.len()],
            moulds: problem.groups.iter().map(|group| group.in_service.clone()).collect(),
            tanks: problem.tanks.iter().map(|tank| vec![tank.mm; days]).collect(),
            racks: problem.racks.iter().map(|rack| vec![rack.mm; days]).collect(),
            stores: problem.materials.iter().zip(drawn(problem, schedule)).map(store).collect(),
            warm: false,
            unpinned: false,
        };
        spare.lots();
        spare.mixing(schedule);
        for day in 0..days {
            spare.moves(schedule, day);
        }
        spare
    }

    /// Lots fill their stage from the start; leaving it gives back.
    fn lots(&mut self) {
        let problem = self.problem;
        for lot in &problem.lots {
            let panel = problem.panel_of(lot.make);
            match lot.at {
                At::Mould(_) => self.in_mould(lot.make, 0, -lot.quantity),
                At::Tank(tank, _) => shift(&mut self.tanks[tank], 0, -(lot.quantity as f64) * panel.tank_mm),
                At::Rack(rack, until) => {
                    let mm = lot.quantity as f64 * panel.rack_mm;
                    shift(&mut self.racks[rack], 0, -mm);
                    shift(&mut self.racks[rack], until, mm);
                }
            }
        }
    }

    fn in_mould(&mut self, make: MakeIx, from: DayIx, quantity: i64) {
        let moulds = &mut self.moulds[self.problem.panel_of(make).group];
        moulds.iter_mut().skip(from).for_each(|free| *free += quantity);
    }

    fn mixing(&mut self, schedule: &Schedule) {
        for day in 0..self.problem.len() {
            for (mix, litres) in schedule.litres(self.problem, day).into_iter().enumerate() {
                let m = &self.problem.mixes[mix];
                let count = m.batching(litres).count;
                self.litres[mix][day] = litres;
                self.batches[day] -= count;
                self.labour[day] -= m.minutes(count);
            }
        }
    }

    fn moves(&mut self, schedule: &Schedule, day: DayIx) {
        let problem = self.problem;
        for (make, quantity) in &schedule.pours[day] {
            self.labour[day] -= *quantity as f64 * problem.panel_of(*make).pour_minutes;
            self.in_mould(*make, day, -quantity);
        }
        for strip in &schedule.strips[day] {
            let panel = problem.panel_of(strip.make);
            self.labour[day] -= strip.quantity as f64 * panel.strip_minutes;
            self.in_mould(strip.make, day + self.turnaround(strip.make), strip.quantity);
            if let Some(tank) = strip.tank {
                shift(&mut self.tanks[tank], day, -(strip.quantity as f64) * panel.tank_mm);
            }
        }
        for lift in &schedule.lifts[day] {
            let (panel, quantity) = (problem.panel_of(lift.make), lift.quantity as f64);
            self.labour[day] -= quantity * panel.lift_minutes;
            if let Some(tank) = lift.tank {
                shift(&mut self.tanks[tank], day, quantity * panel.tank_mm);
            }
            if let Some(rack) = lift.rack {
                shift(&mut self.racks[rack], day, -quantity * panel.rack_mm);
                shift(&mut self.racks[rack], problem.mix_of(lift.make).ready_from[day], quantity * panel.rack_mm);
            }
        }
    }

    /// Days a mould stays taken after the strip.
    pub(super) fn turnaround(&self, make: MakeIx) -> usize {
        usize::from(self.problem.groups[self.problem.panel_of(make).group].turnaround)
    }

    /// Takes a way up, `sign` 1, or gives it back, `sign` −1.
    pub fn apply(&mut self, trail: &Trail, sign: i64) {
        let (problem, make) = (self.problem, trail.make);
        let (panel, quantity) = (problem.panel_of(make), sign * trail.quantity);
        let of = |each: f64| quantity as f64 * each;
        if let Some(day) = trail.poured {
            self.pour(make, day, quantity);
            self.in_mould(make, day, -quantity);
        }
        if let Some(day) = trail.stripped {
            self.labour[day] -= of(panel.strip_minutes);
            self.in_mould(make, day + self.turnaround(make), quantity);
        }
        if let Some(tank) = trail.tank {
            if let Some(day) = trail.stripped {
                shift(&mut self.tanks[tank], day, -of(panel.tank_mm));
            }
            shift(&mut self.tanks[tank], trail.lifted, of(panel.tank_mm));
        }
        self.labour[trail.lifted] -= of(panel.lift_minutes);
        if let Some(rack) = trail.rack {
            shift(&mut self.racks[rack], trail.lifted, -of(panel.rack_mm));
            shift(&mut self.racks[rack], trail.ready(problem), of(panel.rack_mm));
        }
    }

    fn pour(&mut self, make: MakeIx, day: DayIx, quantity: i64) {
        let problem = self.problem;
        let (panel, mix) = (problem.panel_of(make), problem.makes[make].mix);
        let (before, after) = self.batching(make, day, quantity);
        let m = &problem.mixes[mix];
        self.labour[day] -= quantity as f64 * panel.pour_minutes + m.minutes(after.count) - m.minutes(before.count);
        self.batches[day] -= after.count - before.count;
        let litres = self.litres[mix][day] + quantity as f64 * panel.litres;
        self.litres[mix][day] = if litres > 1e-6 { litres } else { 0.0 };
        for (material, draw) in self.draws(make, quantity, before, after) {
            self.stores[material].draw(day, draw);
        }
    }

    /// The day's batches of a make's mix, before and after so many panels more.
    pub(super) fn batching(&self, make: MakeIx, day: DayIx, quantity: i64) -> (Batching, Batching) {
        let mix = self.problem.makes[make].mix;
        let (m, litres) = (&self.problem.mixes[mix], self.litres[mix][day]);
        let after = litres + quantity as f64 * self.problem.panel_of(make).litres;
        (m.batching(litres), if after > 1e-6 { m.batching(after) } else { Batching::default() })
    }

    /// What so many panels more draw, and the batches they change.
    fn draws(
        &self,
        make: MakeIx,
        quantity: i64,
        before: Batching,
        after: Batching,
    ) -> impl Iterator<Item = (usize, f64)> + use<'p> {
        let (mix, panel) = (self.problem.mix_of(make), self.problem.panel_of(make));
        let washout = match (before.count, after.count) {
            (0, 1..) => mix.washout_litres,
            (1.., 0) => -mix.washout_litres,
            _ => 0.0,
        };
        let litres = after.litres() - before.litres() + washout;
        let of_mix = mix.per_litre.iter().map(move |(material, each)| (*material, each * litres));
        of_mix.chain(panel.per_panel.iter().map(move |(material, each)| (*material, each * quantity as f64)))
    }

    /// Whether labour, mixer and materials of a day allow so many panels more.
    pub(super) fn may_mix(&self, make: MakeIx, day: DayIx, quantity: i64) -> bool {
        let (before, after) = self.batching(make, day, quantity);
        let (mix, panel) = (self.problem.mix_of(make), self.problem.panel_of(make));
        let minutes = quantity as f64 * panel.pour_minutes + mix.minutes(after.count) - mix.minutes(before.count);
        after.count - before.count <= self.batches[day]
            && minutes <= self.labour[day] + 1e-7
            && self.missing(make, day, quantity).is_none()
    }

    /// The material that is most short for so many panels more on a day, and by how much.
    pub fn missing(&self, make: MakeIx, day: DayIx, quantity: i64) -> Option<(usize, f64)> {
        let (before, after) = self.batching(make, day, quantity);
        // A material drawn both by the litre and by the panel is looked at once, with both.
        let mut draws: Vec<(usize, f64)> = Vec::new();
        for (material, draw) in self.draws(make, quantity, before, after) {
            match draws.iter_mut().find(|known| known.0 == material) {
                Some(known) => known.1 += draw,
                None => draws.push((material, draw)),
            }
        }
        let short = |(material, draw): (usize, f64)| {
            (material, self.stores[material].missing(&self.problem.materials[material], day, draw))
        };
        draws.into_iter().map(short).filter(|(_, missing)| *missing > 0.0).max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

fn shift(levels: &mut [f64], from: DayIx, by: f64) {
    levels.iter_mut().skip(from).for_each(|level| *level += by);
}
