//! What is made as small as can be.

use good_lp::Expression;

use super::keys::Claim;
use super::{Builder, Variables};
use crate::problem::{DayIx, Problem};

/// The aim of a solve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Aim {
    /// The lateness of the claims.
    Late,
    /// The price of the materials drawn and put off, with at most so much lateness.
    Price {
        /// Lateness kept.
        late: f64,
    },
}

pub(super) fn add(problem: &Problem, variables: &Variables, aim: Aim, to: &mut Builder) -> Expression {
    let late = lateness(problem, variables);
    match aim {
        Aim::Late => late,
        Aim::Price { late: most } => {
            to.row("orders", late.leq(most + 1e-6));
            price(problem, variables, to)
        }
    }
}

/// Days that pass between a day and the next, or the end, as far as they are late for a claim; weighed.
fn step(problem: &Problem, claim: &Claim, day: DayIx) -> f64 {
    let order = &problem.orders[claim.order];
    claim.weight * (problem.days_late(order, day + 1) - problem.days_late(order, day)) as f64
}

/// lateness = Σ_c weight_c · ( late_c(from_c) + Σ_{t ≥ from_c} (late_c(t + 1) − late_c(t)) · (1 − met_{c,t}) )   [order-days or panel-days]
fn lateness(problem: &Problem, variables: &Variables) -> Expression {
    let mut sum = Expression::default();
    for (claim, days) in &variables.met {
        sum += claim.weight * problem.days_late(&problem.orders[claim.order], claim.from) as f64;
        for (at, met) in days.iter().enumerate() {
            let step = step(problem, claim, claim.from + at);
            sum += step;
            sum.add_mul(-step, *met);
        }
    }
    sum
}

/// price = Σ_{m,t} (litre_price_m · (litres_{m,t} + washout_m · open_{m,t}) + washout_price_{m,t} · open_{m,t})
///       + Σ_{k,t} (panel_price_k + keep_k · nights(ready_soonest_k(t))) · pour_{k,t} + what is there, kept to the last day
///       − Σ_{c,κ} keep_κ · takes_{c,κ} · Σ_t (nights(t) − nights(t + 1)) · met_{c,t} + Σ_κ dearest_κ · off_κ   [minor units], where off_κ ≥ ordered_κ − stock_κ − lots_κ − Σ pour are the panels put off.
fn price(problem: &Problem, variables: &Variables, to: &mut Builder) -> Expression {
    let mut sum = Expression::default();
    for (mix, days) in problem.mixes.iter().zip(&variables.mix) {
        for (mixing, washout_price) in days.iter().zip(&mix.washout_price) {
            sum.add_mul(mix.litre_price, mixing.litres);
            sum.add_mul(mix.litre_price * mix.washout_litres + washout_price, mixing.open);
        }
    }
    for day in 0..problem.len() {
        sum += variables.sum_poured(day, |make| problem.panel_of(make).panel_price + problem.keep_from_pour(make, day));
    }
    if problem.keeps() {
        sum += problem.keep_from_start();
        sum -= kept_no_longer(problem, variables);
    }
    for (ix, kind) in problem.kinds.iter().enumerate().filter(|(_, kind)| kind.ordered > 0) {
        let dearest = kind.makes.iter().map(|make| problem.make_price(*make)).fold(0.0, f64::max);
        let lots = problem.lots.iter().filter(|lot| problem.makes[lot.make].kind == ix).map(|lot| lot.quantity);
        let missing = (kind.ordered - kind.stock - lots.sum::<i64>()).max(0);
        let off = to.column(0.0, missing as f64, false);
        let mut have = Expression::from(off);
        for day in 0..problem.len() {
            have += variables.sum_poured(day, |make| f64::from(problem.makes[make].kind == ix));
        }
        to.row("supply", have.geq(missing as f64));
        sum.add_mul(dearest, off);
    }
    sum
}

/// Nights that panels are not kept for, because they are given: a claim met from a day on spares all nights after it.
fn kept_no_longer(problem: &Problem, variables: &Variables) -> Expression {
    let mut sum = Expression::default();
    for (claim, days) in &variables.met {
        let keep =
            |(kind, quantity): &(usize, i64)| *quantity as f64 * problem.panels[problem.kinds[*kind].panel].keep_price;
        let of_night: f64 = claim.takes.iter().map(keep).sum();
        for (at, met) in days.iter().enumerate() {
            let day = claim.from + at;
            sum.add_mul(of_night * (problem.nights_from(day) - problem.nights_from(day + 1)), *met);
        }
    }
    sum
}

/// The largest of a few steps that every lateness is a multiple of, so that a bound can be rounded up; 0 where there is none.
pub(crate) fn grain(problem: &Problem) -> f64 {
    let divides = |step: &f64| problem.orders.iter().all(|order| (order.weight / step).fract() == 0.0);
    [4.0, 2.0, 1.0, 0.5, 0.25, 0.125].into_iter().find(divides).unwrap_or(0.0)
}
