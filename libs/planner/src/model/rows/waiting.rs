//! Panels that may be stripped and are not yet wait in their moulds.
//!
//! wait_{k,t} = wait_{k,t−1} + Σ_{p : strip_from_k(p) = t} pour_{k,p} + lots ripe on t − Σ_τ strip_{k,τ,t} ≥ 0   [panels]

use good_lp::Expression;

use crate::model::keys::live;
use crate::model::{Builder, Variables};
use crate::problem::{At, Problem};

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for make in (0..problem.makes.len()).filter(|make| live(problem, *make)) {
        let mut ripe = vec![Expression::default(); problem.len()];
        for day in 0..problem.len() {
            if let Some(ripe) = ripe.get_mut(problem.makes[make].strip_from[day]) {
                *ripe += variables.poured(make, day);
            }
        }
        for lot in problem.lots.iter().filter(|lot| lot.make == make) {
            if let At::Mould(day) = lot.at
                && let Some(ripe) = ripe.get_mut(day)
            {
                *ripe += lot.quantity as f64;
            }
        }
        let mut before = Expression::default();
        for (day, ripe) in ripe.into_iter().enumerate() {
            let stripped = variables.sum_stripped(day, |key| f64::from(key.make == make));
            before = to.level("waiting", f64::INFINITY, before + ripe - stripped).into();
        }
    }
}
