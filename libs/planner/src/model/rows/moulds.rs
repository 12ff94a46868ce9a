//! Moulds of a group.
//!
//! taken_{g,t} = taken_{g,t−1} + Σ_{k ∈ g} (pour_{k,t} − Σ_τ strip_{k,τ,t}) ≤ in_service_{g,t}          [moulds]
//! with a turnaround of one day also: taken_{g,t−1} + Σ_{k ∈ g} pour_{k,t} ≤ in_service_{g,t}
//! where lots alone take more than are in service, their number stands for in_service.

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::{At, Problem};

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (ix, group) in problem.groups.iter().enumerate() {
        let of_group = |make: usize| problem.panel_of(make).group == ix;
        let in_mould = problem.lots.iter().filter(|lot| of_group(lot.make) && matches!(lot.at, At::Mould(_)));
        let lots: i64 = in_mould.map(|lot| lot.quantity).sum();
        let mut before = Expression::from(lots as f64);
        for day in 0..problem.len() {
            let most = group.in_service[day].max(lots) as f64;
            let poured = variables.sum_poured(day, |make| f64::from(of_group(make)));
            let stripped = variables.sum_stripped(day, |key| f64::from(of_group(key.make)));
            if group.turnaround {
                to.row("moulds", (before.clone() + poured.clone()).leq(most));
            }
            before = to.level("moulds", most, before + poured - stripped).into();
        }
    }
}
