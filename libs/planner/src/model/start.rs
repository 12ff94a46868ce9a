//! A schedule as a start for the solver: a value for every column.

use std::collections::BTreeMap;

use good_lp::{Expression, IntoAffineExpression, Variable};

use super::{LiftKey, Model, Numbers, StripKey};
use crate::plan::Schedule;
use crate::problem::{DayIx, Problem};

/// The values of all columns for a schedule whose orders are whole by `ready`.
pub(crate) fn start(problem: &Problem, model: &Model, schedule: &Schedule, ready: &[DayIx]) -> Vec<f64> {
    let mut values = Values { of: vec![0.0; model.columns()], numbers: &model.builder.numbers };
    let variables = &model.variables;
    for (day, pours) in schedule.pours.iter().enumerate() {
        for (make, quantity) in pours {
            if let Some(pour) = variables.pour[*make][day] {
                values.add(pour, *quantity as f64);
            }
        }
    }
    let strips: BTreeMap<StripKey, &Vec<Variable>> = variables.strip.iter().map(|(key, days)| (*key, days)).collect();
    let lifts: BTreeMap<LiftKey, &Vec<Variable>> = variables.lift.iter().map(|(key, days)| (*key, days)).collect();
    for day in 0..problem.len() {
        for strip in &schedule.strips[day] {
            if let Some(days) = strips.get(&StripKey { make: strip.make, tank: strip.tank }) {
                values.add(days[day], strip.quantity as f64);
            }
        }
        for lift in &schedule.lifts[day] {
            if let Some(days) = lifts.get(&LiftKey { make: lift.make, tank: lift.tank, rack: lift.rack }) {
                values.add(days[day], lift.quantity as f64);
            }
        }
        for (ix, litres) in schedule.litres(problem, day).into_iter().enumerate() {
            let batching = problem.mixes[ix].batching(litres);
            let mixing = variables.mix[ix][day];
            values.add(mixing.litres, batching.litres());
            values.add(mixing.batches, batching.count as f64);
            values.add(mixing.open, f64::from(batching.count > 0));
        }
    }
    for (claim, days) in &variables.met {
        for (at, met) in days.iter().enumerate() {
            values.add(*met, f64::from(claim.from + at >= ready[claim.order]));
        }
    }
    for (level, what) in &model.builder.levels {
        let value = values.work_out(what);
        values.add(*level, value);
    }
    values.of
}

struct Values<'a> {
    of: Vec<f64>,
    numbers: &'a Numbers,
}

impl Values<'_> {
    fn add(&mut self, column: Variable, value: f64) {
        self.of[self.numbers.0[&column]] += value;
    }

    fn work_out(&self, what: &Expression) -> f64 {
        let terms = what.linear_coefficients();
        what.constant() + terms.map(|(column, factor)| factor * self.numbers.value(column, &self.of)).sum::<f64>()
    }
}
