//! Who is given what comes ready: whole orders, or panels one by one, by kind and weight.

use std::collections::BTreeMap;

use good_lp::{Expression, Variable};
use workshop::documents::plan::LateFigure;

use super::columns::Flow;
use super::{ByDay, none};
use crate::model::Builder;
use crate::model::keys::{Claim, claims};
use crate::problem::{DayIx, KindIx, Problem};

/// Adds who is given what; the lateness.
pub(super) fn add(problem: &Problem, figure: LateFigure, flow: &Flow, to: &mut Builder) -> Expression {
    let claims = claims(problem, figure);
    let mut given = vec![none(problem); problem.kinds.len()];
    let mut late = Expression::default();
    match figure {
        LateFigure::OrderDaysLate => {
            for claim in &claims {
                late += whole(problem, claim, &mut given, to);
            }
        }
        LateFigure::PanelDaysLate => {
            for of_class in classes(problem, &claims).into_values() {
                late += one_by_one(problem, &of_class, &mut given, to);
            }
        }
    }
    for (kind, given) in given.into_iter().enumerate().filter(|(kind, _)| problem.kinds[*kind].ordered > 0) {
        supply(flow.ready(problem, kind), given, to);
    }
    late
}

/// free_{κ,t} = free_{κ,t−1} + ready_{κ,t} − (given_{κ,t} − given_{κ,t−1}) ≥ 0   [panels]
fn supply(ready: ByDay, given: ByDay, to: &mut Builder) {
    let (mut before, mut given_before) = (Expression::default(), Expression::default());
    for (ready, given) in ready.into_iter().zip(given) {
        before = to.level("supply", f64::INFINITY, before + ready + given_before - given.clone()).into();
        given_before = given;
    }
}

/// Days that pass between a day and the next, or the end, as far as they are late for a claim.
fn step(problem: &Problem, claim: &Claim, day: DayIx) -> f64 {
    let order = &problem.orders[claim.order];
    (problem.days_late(order, day + 1) - problem.days_late(order, day)) as f64
}

fn late_at_best(problem: &Problem, claim: &Claim) -> f64 {
    claim.weight * problem.days_late(&problem.orders[claim.order], claim.from) as f64
}

/// weight_c (late_c(from_c) + Σ_t (late_c(t + 1) − late_c(t)) (1 − met_{c,t})), met_{c,t−1} ≤ met_{c,t}
fn whole(problem: &Problem, claim: &Claim, given: &mut [ByDay], to: &mut Builder) -> Expression {
    let mut late = Expression::from(late_at_best(problem, claim));
    let mut before: Option<Variable> = None;
    for day in claim.from..problem.len() {
        let met = to.column(0.0, 1.0, true);
        if let Some(before) = before {
            to.row("kept", (Expression::from(before) - met).leq(0.0));
        }
        let step = claim.weight * step(problem, claim, day);
        late += step;
        late.add_mul(-step, met);
        claim.takes.iter().for_each(|(kind, quantity)| give(given, *kind, day, *quantity as f64 * met));
        before = Some(met);
    }
    late
}

/// Of a kind so much more has been given by a day.
fn give(given: &mut [ByDay], kind: KindIx, day: DayIx, panels: Expression) {
    given[kind][day] += panels;
}

/// Claims by kind and weight of a panel, the weight as its bits.
fn classes<'a>(problem: &Problem, claims: &'a [Claim]) -> BTreeMap<(KindIx, u64), Vec<&'a Claim>> {
    let mut classes: BTreeMap<_, Vec<&Claim>> = BTreeMap::new();
    for claim in claims {
        let weight = problem.orders[claim.order].weight.to_bits();
        for (kind, _) in &claim.takes {
            classes.entry((*kind, weight)).or_default().push(claim);
        }
    }
    classes
}

/// Of a kind and weight on each day: those not given yet, by how many days late the next makes them; the fewest first, which are those
/// due last. owed_{t} ≤ owed_{t−1} + due on t: nobody gives back what was given.
fn one_by_one(problem: &Problem, claims: &[&Claim], given: &mut [ByDay], to: &mut Builder) -> Expression {
    let mut late: Expression = Expression::from(claims.iter().map(|claim| late_at_best(problem, claim)).sum::<f64>());
    let (mut before, mut due_before) = (Expression::default(), 0);
    for day in 0..problem.len() {
        let mut pieces: BTreeMap<i64, i64> = BTreeMap::new();
        for claim in claims.iter().filter(|claim| claim.from <= day) {
            *pieces.entry(step(problem, claim, day) as i64).or_default() += claim.takes[0].1;
        }
        let (Some(first), due) = (claims.first(), pieces.values().sum::<i64>()) else { break };
        let (kind, weight) = (first.takes[0].0, problem.orders[first.order].weight);
        let mut owed = Expression::default();
        for (step, quantity) in pieces {
            let column = to.column(0.0, quantity as f64, false);
            owed += column;
            late.add_mul(weight * step as f64, column);
        }
        give(given, kind, day, due as f64 - owed.clone());
        if due_before > 0 {
            to.row("kept", (owed.clone() - before).leq((due - due_before) as f64));
        }
        (before, due_before) = (owed, due);
    }
    late
}
