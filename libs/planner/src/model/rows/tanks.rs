//! Length of row taken in a tank.
//!
//! full_{τ,t} = full_{τ,t−1} + Σ_k tank_mm_k · (strip_{k,τ,t} − Σ_ρ lift_{k,τ,ρ,t}) ≤ mm_τ                 [mm]
//! where lots alone take more, their length stands for mm.

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::{At, Problem};

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (ix, tank) in problem.tanks.iter().enumerate() {
        let mm = |make: usize| problem.panel_of(make).tank_mm;
        let soaking = problem.lots.iter().filter(|lot| matches!(lot.at, At::Tank(t, _) if t == ix));
        let lots: f64 = soaking.map(|lot| lot.quantity as f64 * mm(lot.make)).sum();
        let mut before = Expression::from(lots);
        for day in 0..problem.len() {
            let into = variables.sum_stripped(day, |key| if key.tank == Some(ix) { mm(key.make) } else { 0.0 });
            let out = variables.sum_lifted(day, |key| if key.tank == Some(ix) { mm(key.make) } else { 0.0 });
            before = to.level("tanks", tank.mm.max(lots), before + into - out).into();
        }
    }
}
