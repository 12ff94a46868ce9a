//! Labour of a day.
//!
//! Σ_k (pour_minutes_k · pour_{k,t} + strip_minutes_k · Σ_τ strip_{k,τ,t} + lift_minutes_k · Σ_{τ,ρ} lift_{k,τ,ρ,t})
//!   + Σ_m (batch_minutes_m · batches_{m,t} + washout_minutes_m · open_{m,t}) ≤ labour_t           [min]

use crate::model::{Builder, Variables};
use crate::problem::Problem;

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (day, labour) in problem.labour.iter().enumerate() {
        let mut minutes = variables.sum_poured(day, |make| problem.panel_of(make).pour_minutes);
        minutes += variables.sum_stripped(day, |key| problem.panel_of(key.make).strip_minutes);
        minutes += variables.sum_lifted(day, |key| problem.panel_of(key.make).lift_minutes);
        for (mix, days) in problem.mixes.iter().zip(&variables.mix) {
            minutes.add_mul(mix.batch_minutes, days[day].batches);
            minutes.add_mul(mix.washout_minutes, days[day].open);
        }
        to.row("labour", minutes.leq(*labour));
    }
}
