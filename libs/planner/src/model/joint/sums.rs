//! The rows of a day looked at, one family a function: what its passages take in all is no more than there is until then.
//!
//! Lots stay where they are until they may go on, so the room they take until then is nobody else's; where they alone take more
//! than there is, nothing else may be there.

use std::collections::BTreeSet;
use std::ops::Range;

use good_lp::{Expression, Variable};

use super::passages::{Leg, Passage};
use crate::model::Builder;
use crate::model::keys::Claim;
use crate::problem::{At, DayIx, KindIx, Lot, Problem};

/// What the checker forgives of a length, a batch or a day's hours: the bound forgives it too.
const FORGIVEN: f64 = 1e-6;

/// Σ_c takes_{c,κ} · met_c ≤ stock_κ + lots on racks ready by then + Σ_{q of κ} go_q   [panels]
pub(super) fn panels(
    problem: &Problem,
    day: DayIx,
    claims: &[Claim],
    met: impl Fn(usize) -> Option<Variable>,
    passages: &[Passage],
    to: &mut Builder,
) {
    let mut taken = vec![Expression::default(); problem.kinds.len()];
    for (ix, claim) in claims.iter().enumerate() {
        let Some(met) = met(ix) else { continue };
        claim.takes.iter().for_each(|(kind, quantity)| taken[*kind].add_mul(*quantity as f64, met));
    }
    for passage in passages {
        taken[problem.makes[passage.make].kind].add_mul(-1.0, passage.column);
    }
    for (kind, taken) in taken.into_iter().enumerate().filter(|(kind, _)| problem.kinds[*kind].ordered > 0) {
        to.row("panels", taken.leq((problem.kinds[kind].stock + dried(problem, kind, day)) as f64));
    }
}

/// Panels of a kind on racks that are ready by a day.
fn dried(problem: &Problem, kind: KindIx, by: DayIx) -> i64 {
    let ready = |lot: &&Lot| problem.makes[lot.make].kind == kind && matches!(lot.at, At::Rack(_, day) if day <= by);
    problem.lots.iter().filter(ready).map(|lot| lot.quantity).sum()
}

/// How many rows a day has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Detail {
    /// One for each day before which something must be done.
    EachDay,
    /// One for the last of them: enough to say much where there are many numbers.
    LastDay,
}

/// Something a passage takes of what there is from a day on and before another.
struct Take {
    from: DayIx,
    before: DayIx,
    /// How much, for each panel.
    each: f64,
    panels: Variable,
}

/// For every day before which something must have been taken, or the last of them: all that must is no more than there is before
/// it, from the first day on which any of it can be.
fn before_each(
    family: &'static str,
    takes: &[Take],
    detail: Detail,
    there: impl Fn(Range<DayIx>) -> f64,
    to: &mut Builder,
) {
    let days: BTreeSet<DayIx> = takes.iter().filter(|take| take.each > 0.0).map(|take| take.before).collect();
    let last = if detail == Detail::LastDay { days.len().saturating_sub(1) } else { 0 };
    for day in days.into_iter().skip(last) {
        let (mut sum, mut from) = (Expression::default(), day);
        for take in takes.iter().filter(|take| take.before <= day && take.each > 0.0) {
            sum.add_mul(take.each, take.panels);
            from = from.min(take.from);
        }
        to.row(family, sum.leq(there(from..day)));
    }
}

/// Σ_{q poured, of g, stripped before d} (nights in the mould + turnaround_g) · go_q ≤ Σ_{t < d} max(0, in_service_{g,t} − lots that stay)   [mould nights]
pub(super) fn moulds(problem: &Problem, passages: &[Passage], detail: Detail, to: &mut Builder) {
    for (ix, group) in problem.groups.iter().enumerate() {
        let turnaround = usize::from(group.turnaround);
        let of_group = passages.iter().filter(|passage| problem.panel_of(passage.make).group == ix);
        let take = |passage: &Passage| {
            let (pour, strip) = (passage.pour?, passage.strip?);
            let (before, each) = (strip.by + turnaround, (pour.nights + turnaround) as f64);
            Some(Take { from: pour.from, before, each, panels: passage.column })
        };
        let takes: Vec<Take> = of_group.filter_map(take).collect();
        let stay = |lot: &Lot| match lot.at {
            At::Mould(day) if problem.panel_of(lot.make).group == ix => Some((day, lot.quantity as f64)),
            _ => None,
        };
        let in_service = |night: DayIx| group.in_service[night] as f64;
        before_each("moulds", &takes, detail, |days| left(problem, days, in_service, stay), to);
    }
}

/// For the tanks T of each panel, and all: Σ_{q that fits no other, lifted by d} nights · tank_mm · go_q ≤ Σ_{τ ∈ T, t < d} max(0, mm_τ − lots that stay)   [mm nights]
pub(super) fn tanks(problem: &Problem, passages: &[Passage], detail: Detail, to: &mut Builder) {
    let mut among: Vec<Vec<usize>> = problem.panels.iter().map(|panel| panel.tanks.clone()).collect();
    among.iter_mut().for_each(|tanks| tanks.sort_unstable());
    among.push((0..problem.tanks.len()).collect());
    among.sort();
    among.dedup();
    for among in among {
        let take = |passage: &Passage| {
            let (strip, panel) = (passage.strip?, problem.panel_of(passage.make));
            let only = panel.tanks.iter().all(|tank| among.contains(tank));
            let each = strip.nights as f64 * panel.tank_mm;
            only.then_some(Take { from: strip.from, before: passage.lift.by, each, panels: passage.column })
        };
        let takes: Vec<Take> = passages.iter().filter_map(take).collect();
        let of_tank = |tank: usize, days: Range<DayIx>| {
            let stay = |lot: &Lot| match lot.at {
                At::Tank(there, day) if there == tank => {
                    Some((day, lot.quantity as f64 * problem.panel_of(lot.make).tank_mm))
                }
                _ => None,
            };
            left(problem, days, |_| problem.tanks[tank].mm, stay)
        };
        before_each("tanks", &takes, detail, |days| among.iter().map(|tank| of_tank(*tank, days.clone())).sum(), to);
    }
}

/// Σ_q nights · rack_mm · go_q ≤ Σ_{ρ, t < the day} max(0, mm_ρ − lots that stay)   [mm nights]
pub(super) fn racks(problem: &Problem, day: DayIx, passages: &[Passage], to: &mut Builder) {
    let take = |passage: &Passage| {
        let each = passage.lift.nights as f64 * problem.panel_of(passage.make).rack_mm;
        Take { from: passage.lift.from, before: day, each, panels: passage.column }
    };
    let takes: Vec<Take> = passages.iter().map(take).collect();
    let of_rack = |rack: usize, days: Range<DayIx>| {
        let stay = |lot: &Lot| match lot.at {
            At::Rack(there, day) if there == rack => {
                Some((day, lot.quantity as f64 * problem.panel_of(lot.make).rack_mm))
            }
            _ => None,
        };
        left(problem, days, |_| problem.racks[rack].mm, stay)
    };
    before_each(
        "racks",
        &takes,
        Detail::LastDay,
        |days| (0..problem.racks.len()).map(|rack| of_rack(rack, days.clone())).sum(),
        to,
    );
}

/// Room times nights that lots leave. `stay` says until when a lot must, and what it takes.
fn left(
    problem: &Problem,
    nights: Range<DayIx>,
    most: impl Fn(DayIx) -> f64,
    stay: impl Fn(&Lot) -> Option<(DayIx, f64)>,
) -> f64 {
    let lots: Vec<(DayIx, f64)> = problem.lots.iter().filter_map(stay).collect();
    let night = |night: DayIx| {
        let taken: f64 = lots.iter().filter(|(day, _)| *day > night).map(|lot| lot.1).sum();
        (most(night) - taken).max(0.0) + FORGIVEN
    };
    (nights.start..nights.end.min(problem.len())).map(night).sum()
}

/// Σ_q minutes of its steps that must be done by d · go_q ≤ Σ_{t ≤ d} labour_t, a pour with its share of batch and washout   [min]
pub(super) fn hours(problem: &Problem, passages: &[Passage], detail: Detail, to: &mut Builder) {
    let rates: Vec<f64> = (0..problem.mixes.len()).map(|mix| minutes_of_litre(problem, mix)).collect();
    let steps = |passage: &Passage| {
        let (panel, panels) = (problem.panel_of(passage.make), passage.column);
        let pour = panel.pour_minutes + panel.litres * rates[problem.makes[passage.make].mix];
        let take = |leg: Leg, each: f64| Take { from: leg.from, before: leg.by + 1, each, panels };
        let poured = passage.pour.map(|leg| take(leg, pour));
        let stripped = passage.strip.map(|leg| take(leg, panel.strip_minutes));
        [poured, stripped, Some(take(passage.lift, panel.lift_minutes))]
    };
    let takes: Vec<Take> = passages.iter().flat_map(steps).flatten().collect();
    let labour = |days: Range<DayIx>| problem.labour[days].iter().map(|minutes| minutes + FORGIVEN).sum();
    before_each("hours", &takes, detail, labour, to);
}

/// Σ_{q poured by d} litres_k / batch_max_m · go_q ≤ mixer_batches · days until d   [batches]
pub(super) fn mixer(problem: &Problem, passages: &[Passage], detail: Detail, to: &mut Builder) {
    let take = |passage: &Passage| {
        let each = problem.panel_of(passage.make).litres / (problem.mix_of(passage.make).batch_max + FORGIVEN);
        let pour = passage.pour?;
        Some(Take { from: pour.from, before: pour.by + 1, each, panels: passage.column })
    };
    let takes: Vec<Take> = passages.iter().filter_map(take).collect();
    before_each("mixer", &takes, detail, |days| (problem.mixer_batches as f64 + FORGIVEN) * days.len() as f64, to);
}

/// Least minutes of mixing for a litre of a mix: its share of a full batch, and of the washout after the most that moulds, mixer
/// and hours let through on one day.
pub(in crate::model) fn minutes_of_litre(problem: &Problem, mix: usize) -> f64 {
    let m = &problem.mixes[mix];
    let of_batch = m.batch_minutes / (m.batch_max + FORGIVEN);
    let makes = || problem.makes.iter().filter(|make| make.mix == mix).map(|make| &problem.panels[make.panel]);
    let in_moulds = |group: usize| {
        let largest = makes().filter(|panel| panel.group == group).map(|panel| panel.litres).fold(0.0, f64::max);
        problem.groups[group].moulds as f64 * largest
    };
    let moulds: f64 = (0..problem.groups.len()).map(in_moulds).sum();
    let mixer = problem.mixer_batches as f64 * (m.batch_max + FORGIVEN);
    let longest = problem.labour.iter().copied().fold(0.0, f64::max) + FORGIVEN;
    let of_pour = makes().map(|panel| panel.pour_minutes / panel.litres).fold(f64::INFINITY, f64::min);
    let hours = (longest - m.washout_minutes).max(0.0) / (of_batch + of_pour);
    let most = moulds.min(mixer).min(hours);
    of_batch + if most > 0.0 { m.washout_minutes / most } else { 0.0 }
}
