//! Ready panels of a kind that nobody has been given.
//!
//! free_{κ,t} = free_{κ,t−1} + ready_{κ,t} − Σ_c takes_{c,κ} · (met_{c,t} − met_{c,t−1}) ≥ 0           [panels]
//! with ready_{κ,t} = Σ_{k ∈ κ} Σ_{l : ready_from_k(l) = t} lift_{k,·,·,l} + stock and lots ready on t

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::{At, Problem};

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (ix, kind) in problem.kinds.iter().enumerate().filter(|(_, kind)| kind.ordered > 0) {
        let mut change = variables.ready(problem, ix);
        change[0] += kind.stock as f64;
        for lot in problem.lots.iter().filter(|lot| problem.makes[lot.make].kind == ix) {
            if let At::Rack(_, day) = lot.at
                && let Some(ready) = change.get_mut(day)
            {
                *ready += lot.quantity as f64;
            }
        }
        for (claim, days) in &variables.met {
            let Some((_, takes)) = claim.takes.iter().find(|(kind, _)| *kind == ix) else { continue };
            for (at, met) in days.iter().enumerate() {
                let day = claim.from + at;
                change[day].add_mul(-(*takes as f64), *met);
                if let Some(next) = change.get_mut(day + 1) {
                    next.add_mul(*takes as f64, *met);
                }
            }
        }
        let mut before = Expression::default();
        for change in change {
            before = to.level("supply", f64::INFINITY, before + change).into();
        }
    }
}
