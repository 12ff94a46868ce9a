//! What was left of everything on each day of a schedule.

use crate::plan::{Schedule, drawn};
use crate::problem::{At, DayIx, MakeIx, Problem};

/// What is left by day.
pub(super) struct Left {
    /// Minutes of labour.
    pub labour: Vec<f64>,
    /// Batches of the mixer.
    pub batches: Vec<i64>,
    /// By group: moulds that could still be filled.
    pub moulds: Vec<Vec<i64>>,
    /// By mix: litres still free in the day's batches, and whether there is a batch at all.
    pub mixed: Vec<Vec<(f64, bool)>>,
    /// By material: what could still be drawn; without end once it can be ordered in time.
    pub materials: Vec<Vec<f64>>,
}

impl Left {
    pub fn of(problem: &Problem, schedule: &Schedule) -> Self {
        let mixed = mixed(problem, schedule);
        let mut labour = problem.labour.clone();
        let mut batches = vec![problem.mixer_batches; problem.len()];
        for day in 0..problem.len() {
            for (mix, litres) in problem.mixes.iter().zip(schedule.litres(problem, day)) {
                let count = mix.batching(litres).count;
                batches[day] -= count;
                labour[day] -= mix.minutes(count);
            }
            for (make, quantity) in &schedule.pours[day] {
                labour[day] -= *quantity as f64 * problem.panel_of(*make).pour_minutes;
            }
            for strip in &schedule.strips[day] {
                labour[day] -= strip.quantity as f64 * problem.panel_of(strip.make).strip_minutes;
            }
            for lift in &schedule.lifts[day] {
                labour[day] -= lift.quantity as f64 * problem.panel_of(lift.make).lift_minutes;
            }
        }
        Left { labour, batches, moulds: moulds(problem, schedule), mixed, materials: materials(problem, schedule) }
    }

    /// Material short for so many panels of a make on a day: which and by how much.
    pub fn missing(&self, problem: &Problem, make: MakeIx, panels: i64, day: DayIx) -> Option<(usize, f64)> {
        let (mix, panel) = (problem.mix_of(make), problem.panel_of(make));
        let (free, open) = self.mixed[problem.makes[make].mix][day];
        let litres = (panels as f64 * panel.litres - free).max(0.0) + if open { 0.0 } else { mix.washout_litres };
        let of_mix = mix.per_litre.iter().map(|(material, quantity)| (*material, quantity * litres));
        let of_panel = panel.per_panel.iter().map(|(material, quantity)| (*material, quantity * panels as f64));
        let short = |(material, draw): (usize, f64)| (material, draw - self.materials[material][day].max(0.0));
        of_mix.chain(of_panel).map(short).filter(|(_, missing)| *missing > 1e-6).max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

fn mixed(problem: &Problem, schedule: &Schedule) -> Vec<Vec<(f64, bool)>> {
    let mut mixed = vec![vec![(0.0, false); problem.len()]; problem.mixes.len()];
    for day in 0..problem.len() {
        let of_day = mixed.iter_mut().zip(&problem.mixes).zip(schedule.litres(problem, day));
        for ((mixed, mix), litres) in of_day {
            let count = mix.batching(litres).count;
            mixed[day] = (count as f64 * mix.batch_max - litres, count > 0);
        }
    }
    mixed
}

fn moulds(problem: &Problem, schedule: &Schedule) -> Vec<Vec<i64>> {
    let mut taken = vec![0; problem.groups.len()];
    for lot in problem.lots.iter().filter(|lot| matches!(lot.at, At::Mould(_))) {
        taken[problem.panel_of(lot.make).group] += lot.quantity;
    }
    let mut left = vec![Vec::with_capacity(problem.len()); problem.groups.len()];
    for day in 0..problem.len() {
        let mut stripped = vec![0; problem.groups.len()];
        for strip in &schedule.strips[day] {
            stripped[problem.panel_of(strip.make).group] += strip.quantity;
        }
        for (make, quantity) in &schedule.pours[day] {
            taken[problem.panel_of(*make).group] += quantity;
        }
        for (ix, group) in problem.groups.iter().enumerate() {
            let kept = if group.turnaround { stripped[ix] } else { 0 };
            taken[ix] -= stripped[ix];
            left[ix].push((group.in_service[day] - taken[ix] - kept).max(0));
        }
    }
    left
}

fn materials(problem: &Problem, schedule: &Schedule) -> Vec<Vec<f64>> {
    let drawn = drawn(problem, schedule);
    let of_material = |(material, drawn): (&crate::problem::Material, &Vec<f64>)| {
        let mut gone = 0.0;
        let mut left: Vec<f64> = (0..problem.len())
            .map(|day| {
                gone += drawn[day];
                if day < material.lead { material.arrived[day] - gone - material.floor } else { f64::INFINITY }
            })
            .collect();
        // What is drawn later is spoken for.
        for day in (1..left.len()).rev() {
            if drawn[day] > 0.0 || left[day].is_infinite() || drawn[day..].iter().any(|draw| *draw > 0.0) {
                left[day - 1] = left[day - 1].min(left[day]);
            }
        }
        left
    };
    problem.materials.iter().zip(&drawn).map(of_material).collect()
}
