//! A proven bound that lies above the figure it bounds proves that something is wrong.

use workshop::documents::Plan;
use workshop::documents::plan::Figures;

use super::{Broken, Rule, tell};

pub(super) fn check(plan: &Plan, figures: &Figures, broken: &mut Vec<Broken>) {
    let Some(proof) = &plan.proof else { return };
    let figure = figures.late(proof.figure);
    let below = proof.bound <= figure + 1e-6 * figure.max(1.0);
    if !below {
        tell(broken, Rule::Proof, "proof", format!("the bound {} is above the figure {figure}", proof.bound));
    }
}
