//! A schedule as a start for the solver: a value for every column.

use std::collections::BTreeMap;

use good_lp::{Expression, IntoAffineExpression, Variable};

use workshop::documents::plan::LateFigure;

use super::keys::Claim;
use super::{LiftKey, Model, Numbers, StripKey};
use crate::plan::{Row, Schedule, hand_out};
use crate::problem::{DayIx, Problem};

/// The values of all columns for a schedule handed out for a figure; `ready` as for writing it.
pub(crate) fn start(
    problem: &Problem,
    model: &Model,
    schedule: &Schedule,
    ready: &[DayIx],
    figure: LateFigure,
) -> Vec<f64> {
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
    let rows = hand_out(problem, schedule.supply(problem), ready, figure);
    for (claim, days) in &variables.met {
        let met =
            |day: DayIx| if claim.whole { f64::from(day >= ready[claim.order]) } else { share(claim, &rows, day) };
        days.iter().enumerate().for_each(|(at, column)| values.add(*column, met(claim.from + at)));
    }
    for (level, what) in &model.builder.levels {
        let value = values.work_out(what);
        values.add(*level, value);
    }
    values.of
}

/// Share of a line that has been given by the evening of a day.
fn share(claim: &Claim, rows: &[Row], day: DayIx) -> f64 {
    let Some((kind, quantity)) = claim.takes.first() else { return 1.0 };
    let of_order = rows.partition_point(|row| row.0 < claim.order)..rows.partition_point(|row| row.0 <= claim.order);
    let given = rows[of_order].iter().filter(|row| row.1 == *kind && row.2 <= day).map(|row| row.3).sum::<i64>();
    given as f64 / *quantity as f64
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
