//! What is used up by the day: hours, batches, materials. Pours may have been made sooner than these rows think, never later.

use good_lp::Expression;

use super::columns::Flow;
use super::{ByDay, add, none};
use crate::model::Builder;
use crate::model::joint::minutes_of_litre;
use crate::problem::{DayIx, Problem};

/// What the checker forgives of a batch or a day's hours: the bound forgives it too.
const FORGIVEN: f64 = 1e-6;

/// left_t = left_{t−1} + labour_t − Σ_k (pour and share of mixing · Σ_{s : P_k(s) = t} strip_{k,s} + strip_minutes_k strip_{k,t} + lift_minutes_k lift_{k,t}) ≥ 0   [min]
pub(super) fn hours(problem: &Problem, flow: &Flow, to: &mut Builder) {
    let rates: Vec<f64> = (0..problem.mixes.len()).map(|mix| minutes_of_litre(problem, mix)).collect();
    let mut work = none(problem);
    for strip in &flow.strips {
        let panel = problem.panel_of(strip.make);
        if let Some(pour) = strip.pour {
            let minutes = panel.pour_minutes + panel.litres * rates[problem.makes[strip.make].mix];
            add(&mut work, pour, minutes, strip.column);
        }
        add(&mut work, strip.day, panel.strip_minutes, strip.column);
    }
    for lift in flow.lifts.iter().flatten() {
        add(&mut work, lift.day, problem.panel_of(lift.make).lift_minutes, lift.column);
    }
    left("hours", work, |day| problem.labour[day] + FORGIVEN, to);
}

/// left_t = left_{t−1} + mixer_batches − Σ_k litres_k / batch_max_m Σ_{s : P_k(s) = t} strip_{k,s} ≥ 0   [batches]
pub(super) fn mixer(problem: &Problem, flow: &Flow, to: &mut Builder) {
    let mut mixed = none(problem);
    for strip in &flow.strips {
        let batch = problem.panel_of(strip.make).litres / (problem.mix_of(strip.make).batch_max + FORGIVEN);
        strip.pour.into_iter().for_each(|pour| add(&mut mixed, pour, batch, strip.column));
    }
    left("mixer", mixed, |_| problem.mixer_batches as f64 + FORGIVEN, to);
}

/// left_{a,t} = left_{a,t−1} + what arrives on t − Σ_k what one draws · Σ_{s : P_k(s) = t} strip_{k,s} ≥ 0 for t < lead_a   [packs]
pub(super) fn materials(problem: &Problem, flow: &Flow, to: &mut Builder) {
    for (ix, material) in problem.materials.iter().enumerate().filter(|(_, material)| material.lead > 0) {
        let each = |of: &[(usize, f64)]| of.iter().find(|(m, _)| *m == ix).map_or(0.0, |(_, q)| q / material.pack);
        let mut drawn = none(problem);
        for strip in &flow.strips {
            let Some(pour) = strip.pour else { continue };
            let panel = problem.panel_of(strip.make);
            let one = panel.litres * each(&problem.mix_of(strip.make).per_litre) + each(&panel.per_panel);
            if one > 0.0 {
                add(&mut drawn, pour, one, strip.column);
            }
        }
        drawn.truncate(material.lead);
        let there = |day: DayIx| ((material.arrived[day] - material.floor) / material.pack).max(0.0) + FORGIVEN;
        left("materials", drawn, |day| if day == 0 { there(0) } else { there(day) - there(day - 1) }, to);
    }
}

/// What is left when so much comes by day and so much is used up.
fn left(family: &'static str, used: ByDay, come: impl Fn(DayIx) -> f64, to: &mut Builder) {
    let mut before = Expression::default();
    for (day, used) in used.into_iter().enumerate() {
        before = to.level(family, f64::INFINITY, before + come(day) - used).into();
    }
}
