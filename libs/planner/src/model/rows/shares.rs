//! Where no order is later than it would be alone, each has a last day, and what is poured on a day is shared out among the last days it
//! is for: without being opened for it, a mix has no share in any. Follows from the other families for whole numbers; tightens the
//! relaxation of the price a good deal (Krarup and Bilde, Plant location, set covering and economic lot size, 1977).
//!
//! met_{c,last_c} ≥ 1                                                                            [claims]
//! there_{κ,d} + Σ_{k ∈ κ} Σ_{p : ready_soonest_k(p) ≤ d} share_{k,p,d} = 1, for each last day d of claims on κ
//! Σ_d wanted_{κ,d} · share_{k,p,d} ≤ pour_{k,p}                                                 [panels]
//! Σ_d wanted_{κ,d} · there_{κ,d} ≤ stock_κ + lots_κ                                             [panels]
//! share_{k,p,d} ≤ open_{m,p}
//! with wanted_{κ,d} = Σ_{c : last_c = d} takes_{c,κ}

use std::collections::BTreeMap;

use good_lp::Expression;
use workshop::documents::plan::LateFigure;

use crate::bound::alone;
use crate::model::keys::Claim;
use crate::model::{Builder, Variables};
use crate::problem::{DayIx, KindIx, Problem};

/// Most shares: with more, the relaxation takes longer than it is worth.
const MOST: usize = 30_000;

pub(super) fn add(problem: &Problem, variables: &Variables, figure: LateFigure, late: f64, to: &mut Builder) {
    let alone = alone(problem, figure);
    if late > alone.iter().sum::<f64>() + 1e-6 {
        return;
    }
    let mut wanted: Vec<BTreeMap<DayIx, i64>> = vec![BTreeMap::new(); problem.kinds.len()];
    for (claim, met) in &variables.met {
        let Some(last) = last_day(problem, claim, alone[claim.order]) else { continue };
        if let Some(met) = met.get(last - claim.from) {
            to.row("shares", Expression::from(*met).geq(1.0));
        }
        claim.takes.iter().for_each(|(kind, quantity)| *wanted[*kind].entry(last).or_default() += quantity);
    }
    let pours = |kind: KindIx| {
        let makes = problem.kinds[kind].makes.iter();
        makes.map(|make| variables.pour[*make].iter().flatten().count()).sum::<usize>()
    };
    let shares: usize = wanted.iter().enumerate().map(|(kind, wanted)| wanted.len() * pours(kind)).sum();
    if shares <= MOST {
        wanted.iter().enumerate().for_each(|(kind, wanted)| of_kind(problem, variables, kind, wanted, to));
    }
}

/// The last day on which a claim may be met if its order is no later than alone; none where it need not be met at all.
fn last_day(problem: &Problem, claim: &Claim, alone: f64) -> Option<DayIx> {
    // Of panels one by one an order's lateness alone says nothing of each, unless there is none.
    if !claim.whole && alone > 0.0 {
        return None;
    }
    let order = &problem.orders[claim.order];
    let late = |day: DayIx| order.weight * problem.days_late(order, day) as f64;
    if late(problem.len()) <= alone + 1e-9 {
        return None;
    }
    (claim.from..problem.len()).rev().find(|day| late(*day) <= alone + 1e-9)
}

fn of_kind(problem: &Problem, variables: &Variables, kind: KindIx, wanted: &BTreeMap<DayIx, i64>, to: &mut Builder) {
    let lots = problem.lots.iter().filter(|lot| problem.makes[lot.make].kind == kind).map(|lot| lot.quantity);
    let have = problem.kinds[kind].stock + lots.sum::<i64>();
    let mut met: BTreeMap<DayIx, Expression> = wanted.keys().map(|day| (*day, Expression::default())).collect();
    let mut taken = Expression::default();
    for (day, quantity) in wanted.iter().filter(|_| have > 0) {
        let there = to.column(0.0, 1.0, false);
        taken.add_mul(*quantity as f64, there);
        if let Some(met) = met.get_mut(day) {
            *met += there;
        }
    }
    to.row("shares", taken.leq(have as f64));
    let poured_before = problem.makes.iter().enumerate().filter(|(_, make)| make.kind == kind);
    for (make, m) in poured_before {
        for (day, pour) in variables.pour[make].iter().enumerate() {
            let Some(pour) = pour else { continue };
            let mut poured = Expression::from(*pour);
            for (last, quantity) in wanted.range(m.ready_soonest[day]..) {
                let share = to.column(0.0, 1.0, false);
                poured.add_mul(-(*quantity as f64), share);
                to.row("shares", (Expression::from(share) - variables.mix[m.mix][day].open).leq(0.0));
                if let Some(met) = met.get_mut(last) {
                    *met += share;
                }
            }
            to.row("shares", poured.geq(0.0));
        }
    }
    met.into_values().for_each(|met| to.row("shares", met.eq(1.0)));
}
