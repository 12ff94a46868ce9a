//! Before a material's lead time is over only what is on hand or expected can be drawn; after it, what is needed is ordered.
//!
//! gone_{a,t} = gone_{a,t−1} + Σ_m per_litre_{m,a} · (litres_{m,t} + washout_m · open_{m,t}) + Σ_k per_panel_{k,a} · pour_{k,t}
//! gone_{a,t} ≤ max(0, arrived_{a,t} − floor_a)   for t < lead_a          [the material's own small unit, in packs here]

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::Problem;

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (ix, material) in problem.materials.iter().enumerate() {
        // In packs, so that the numbers of the row are of a size with those of others.
        let each = |of: &[(usize, f64)]| of.iter().find(|(m, _)| *m == ix).map_or(0.0, |(_, q)| q / material.pack);
        let mut before = Expression::default();
        for day in 0..material.lead.min(problem.len()) {
            let mut drawn = variables.sum_poured(day, |make| each(&problem.panel_of(make).per_panel));
            for (mix, days) in problem.mixes.iter().zip(&variables.mix) {
                let per_litre = each(&mix.per_litre);
                if per_litre != 0.0 {
                    drawn.add_mul(per_litre, days[day].litres);
                    drawn.add_mul(per_litre * mix.washout_litres, days[day].open);
                }
            }
            let most = ((material.arrived[day] - material.floor) / material.pack).max(0.0);
            before = to.level("materials", most, before + drawn).into();
        }
    }
}
