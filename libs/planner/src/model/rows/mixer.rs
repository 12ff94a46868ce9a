//! The mixer manages so many batches a day.
//!
//! Σ_m batches_{m,t} ≤ mixer_batches                                                             [batches]

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::Problem;

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for day in 0..problem.len() {
        let batches: Expression = variables.mix.iter().map(|days| days[day].batches).sum();
        to.row("mixer", batches.leq(problem.mixer_batches as f64));
    }
}
