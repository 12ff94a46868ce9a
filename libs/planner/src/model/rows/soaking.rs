//! Panels that may be lifted and are not yet stay in their tank; those that went through no tank are lifted on the same day.
//!
//! soaked_{k,τ,t} = soaked_{k,τ,t−1} + Σ_{s : lift_from_k(s) = t} strip_{k,τ,s} + lots soaked on t − Σ_ρ lift_{k,τ,ρ,t} ≥ 0   [panels]
//! soaked_{k,none,t} = 0

use good_lp::Expression;

use crate::model::keys::{lift_keys, live};
use crate::model::{Builder, Variables};
use crate::problem::{At, Problem};

pub(super) fn add(problem: &Problem, variables: &Variables, to: &mut Builder) {
    for make in (0..problem.makes.len()).filter(|make| live(problem, *make)) {
        for lifts in lift_keys(problem, make) {
            let Some(tank) = lifts.first().map(|key| key.tank) else { continue };
            let mut soaked = vec![Expression::default(); problem.len()];
            let here = variables.strip.iter().find(|(key, _)| key.make == make && key.tank == tank);
            for (day, strip) in here.iter().flat_map(|(_, days)| days.iter().enumerate()) {
                if let Some(soaked) = soaked.get_mut(problem.mix_of(make).lift_from[day]) {
                    soaked.add_mul(1.0, *strip);
                }
            }
            for lot in problem.lots.iter().filter(|lot| lot.make == make) {
                if let At::Tank(lot_tank, day) = lot.at
                    && Some(lot_tank) == tank
                    && let Some(soaked) = soaked.get_mut(day)
                {
                    *soaked += lot.quantity as f64;
                }
            }
            let most = if tank.is_some() { f64::INFINITY } else { 0.0 };
            let mut before = Expression::default();
            for (day, soaked) in soaked.into_iter().enumerate() {
                let lifted = variables.sum_lifted(day, |key| f64::from(key.make == make && key.tank == tank));
                before = to.level("soaking", most, before + soaked - lifted).into();
            }
        }
    }
}
