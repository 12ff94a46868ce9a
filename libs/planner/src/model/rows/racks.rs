//! Length of row taken on a rack; panels leave it on the day they are ready, which is the soonest and never a loss.
//!
//! laid_{ρ,t} = laid_{ρ,t−1} + Σ_{k,τ} rack_mm_k · (lift_{k,τ,ρ,t} − Σ_{l : ready_from_k(l) = t} lift_{k,τ,ρ,l}) − lots ready on t ≤ mm_ρ   [mm]
//! where lots alone take more, their length on that day stands for mm.

use good_lp::Expression;

use crate::model::{Builder, Variables};
use crate::problem::{At, Problem};

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for (ix, rack) in problem.racks.iter().enumerate() {
        let mm = |make: usize| problem.panel_of(make).rack_mm;
        let mut change = vec![Expression::default(); problem.len()];
        let mut lots_leave = vec![0.0; problem.len() + 1];
        let mut lots = 0.0;
        for lot in &problem.lots {
            if let At::Rack(there, day) = lot.at
                && there == ix
            {
                lots += lot.quantity as f64 * mm(lot.make);
                lots_leave[day] += lot.quantity as f64 * mm(lot.make);
            }
        }
        for (key, days) in variables.lift.iter().filter(|(key, _)| key.rack == Some(ix)) {
            for (day, lift) in days.iter().enumerate() {
                change[day].add_mul(mm(key.make), *lift);
                if let Some(leaves) = change.get_mut(problem.mix_of(key.make).ready_from[day]) {
                    leaves.add_mul(-mm(key.make), *lift);
                }
            }
        }
        let mut before = Expression::from(lots);
        for (day, change) in change.into_iter().enumerate() {
            lots -= lots_leave[day];
            before = to.level("racks", rack.mm.max(lots), before + change - lots_leave[day]).into();
        }
    }
}
