//! Litres mixed hold what is poured, in batches within their limits.
//!
//! Σ_{k of m} litres_k · pour_{k,t} ≤ litres_{m,t}                                              [L]
//! batch_min_m · batches_{m,t} ≤ litres_{m,t} ≤ batch_max_m · batches_{m,t}                     [L]
//! batches_{m,t} ≤ mixer_batches · open_{m,t}                                                   [batches]

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::Problem;

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (ix, mix) in problem.mixes.iter().enumerate() {
        let litres = |make: usize| if problem.makes[make].mix == ix { problem.panel_of(make).litres } else { 0.0 };
        for (day, mixing) in variables.mix[ix].iter().enumerate() {
            let poured = variables.sum_poured(day, litres);
            to.row("batches", (poured - mixing.litres).leq(0.0));
            to.row("batches", (Expression::from(mixing.litres) - mix.batch_max * mixing.batches).leq(0.0));
            to.row("batches", (mix.batch_min * mixing.batches - mixing.litres).leq(0.0));
            let most = problem.mixer_batches as f64;
            to.row("batches", (Expression::from(mixing.batches) - most * mixing.open).leq(0.0));
        }
    }
}
