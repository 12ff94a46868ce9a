//! Room by night: moulds, tanks, racks.

use good_lp::Expression;

use super::columns::Flow;
use super::{ByDay, add, none};
use crate::model::Builder;
use crate::problem::{At, DayIx, Lot, Problem};

/// What the checker forgives of a length: the bound forgives it too.
const FORGIVEN: f64 = 1e-6;

/// taken_{g,t} = taken_{g,t−1} + Σ_{k ∈ g} (Σ_{s : P_k(s) = t} strip_{k,s} − strip_{k,t}) ≤ in_service_{g,t}   [moulds]
/// with a turnaround of one day `strip_{k,t}` goes off a day later; where lots alone take more, their number stands for what is in service.
pub(super) fn moulds(problem: &Problem, flow: &Flow, to: &mut Builder) {
    for (ix, group) in problem.groups.iter().enumerate() {
        let in_mould = |lot: &&Lot| problem.panel_of(lot.make).group == ix && matches!(lot.at, At::Mould(_));
        let lots: i64 = problem.lots.iter().filter(in_mould).map(|lot| lot.quantity).sum();
        let mut change = none(problem);
        for strip in flow.strips.iter().filter(|strip| problem.panel_of(strip.make).group == ix) {
            if let Some(pour) = strip.pour {
                add(&mut change, pour, 1.0, strip.column);
            }
            add(&mut change, strip.day + usize::from(group.turnaround), -1.0, strip.column);
        }
        level("moulds", lots as f64, change, |day| group.in_service[day].max(lots) as f64, to);
    }
}

/// For the tanks T of each panel, and all:
/// full_{T,t} = full_{T,t−1} + Σ_{k fits T only} tank_mm_k (Σ_{l : S_k(l) = t} lift_{k,l} − lift_{k,t}) ≤ Σ_{τ ∈ T} mm_τ   [mm]
pub(super) fn tanks(problem: &Problem, flow: &Flow, to: &mut Builder) {
    let mut among: Vec<Vec<usize>> = problem.panels.iter().map(|panel| panel.tanks.clone()).collect();
    among.iter_mut().for_each(|tanks| tanks.sort_unstable());
    among.push((0..problem.tanks.len()).collect());
    among.sort();
    among.dedup();
    for among in among {
        let only = |make: usize| problem.panel_of(make).tanks.iter().all(|tank| among.contains(tank));
        let mm = |make: usize| problem.panel_of(make).tank_mm;
        let mut change = none(problem);
        let lots = |tank: usize| problem.lots.iter().filter(move |lot| matches!(lot.at, At::Tank(t, _) if t == tank));
        let Some(lifts) = &flow.lifts else {
            for strip in flow.strips.iter().filter(|strip| only(strip.make)) {
                add(&mut change, strip.day, mm(strip.make), strip.column);
                let lift = problem.mix_of(strip.make).lift_from[strip.day];
                add(&mut change, lift, -mm(strip.make), strip.column);
            }
            let of_lot = |lot: &Lot, tank: usize| match lot.at {
                At::Tank(there, day) if there == tank => Some((day, lot.quantity as f64 * mm(lot.make))),
                _ => None,
            };
            let left = |day| {
                let tank = |tank: &usize| left(problem, day, problem.tanks[*tank].mm, |lot| of_lot(lot, *tank));
                among.iter().map(tank).sum()
            };
            level("tanks", 0.0, change, left, to);
            continue;
        };
        for lift in lifts {
            match lift.from {
                Ok(strip) if only(lift.make) => add(&mut change, strip, mm(lift.make), lift.column),
                Err(tank) if among.contains(&tank) => {}
                _ => continue,
            }
            add(&mut change, lift.day, -mm(lift.make), lift.column);
        }
        let in_lots = |tank: &usize| lots(*tank).map(|lot| lot.quantity as f64 * mm(lot.make)).sum::<f64>();
        let room: f64 = among.iter().map(|tank| (problem.tanks[*tank].mm + FORGIVEN).max(in_lots(tank))).sum();
        level("tanks", among.iter().map(in_lots).sum(), change, |_| room, to);
    }
}

/// laid_t = laid_{t−1} + Σ_k rack_mm_k (lift_{k,t} − Σ_{l : ready_from(l) = t} lift_{k,l}) ≤ Σ_ρ max(0, mm_ρ − lots not ready by t)   [mm]
pub(super) fn racks(problem: &Problem, flow: &Flow, to: &mut Builder) {
    let mm = |make: usize| problem.panel_of(make).rack_mm;
    let mut change = none(problem);
    for lift in flow.lifts.iter().flatten() {
        add(&mut change, lift.day, mm(lift.make), lift.column);
        add(&mut change, problem.mix_of(lift.make).ready_from[lift.day], -mm(lift.make), lift.column);
    }
    let of_lot = |lot: &Lot, rack: usize| match lot.at {
        At::Rack(there, day) if there == rack => Some((day, lot.quantity as f64 * mm(lot.make))),
        _ => None,
    };
    let left = |day| {
        let rack = |(ix, rack): (usize, &crate::problem::Room)| left(problem, day, rack.mm, |lot| of_lot(lot, ix));
        problem.racks.iter().enumerate().map(rack).sum()
    };
    level("racks", 0.0, change, left, to);
}

/// A level by night from what there is at first, never above `most`.
fn level(family: &'static str, first: f64, change: ByDay, most: impl Fn(DayIx) -> f64, to: &mut Builder) {
    let mut before = Expression::from(first);
    for (day, change) in change.into_iter().enumerate() {
        before = to.level(family, most(day), before + change).into();
    }
}

/// Room that lots leave on a night, which stay until the day `stay` says.
fn left(problem: &Problem, night: DayIx, mm: f64, stay: impl Fn(&Lot) -> Option<(DayIx, f64)>) -> f64 {
    let lots = problem.lots.iter().filter_map(stay).filter(|(until, _)| *until > night);
    (mm - lots.map(|lot| lot.1).sum::<f64>()).max(0.0) + FORGIVEN
}
