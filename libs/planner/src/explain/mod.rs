//! Why orders are late: for each the limit that holds it back, found by leading its panels through the plan anew without that
//! limit, and how much more of it would do.

mod held;
mod overfull;
#[cfg(test)]
mod tests;
mod words;

use workshop::documents::explanation::{Cause, LateOrder, MaterialShort};
use workshop::documents::plan::LateFigure;

pub use workshop::documents::Explanation;

pub(crate) use held::{Binding, Held, freed, gone, held};

use crate::plan::{Schedule, hand_out, whole_by};
use crate::problem::{DayIx, KindIx, Problem};
use crate::short::amount;
use crate::spare::{Limit, Standing};
use words::Reason;

/// Explains a plan as it stands. The worst orders are looked into first, and as many as `go_on` says.
pub(crate) fn explain(standing: &Standing, mut go_on: impl FnMut() -> bool) -> Explanation {
    let problem = standing.problem;
    let mut late: Vec<usize> = (0..problem.orders.len()).filter(|order| is_late(standing, *order)).collect();
    let weighted = |order: &usize| problem.orders[*order].weight * standing.days_late(*order) as f64;
    late.sort_by(|a, b| weighted(b).total_cmp(&weighted(a)).then(a.cmp(b)));
    let mut explanation = Explanation { overfull: overfull::overfull(problem), ..Explanation::default() };
    let mut shorts: Vec<Option<(DayIx, f64)>> = vec![None; problem.materials.len()];
    for order in late {
        let reason = reason(standing, order, &mut go_on);
        if let Some((material, day, by)) = reason.short {
            let short = shorts[material].get_or_insert((day, 0.0));
            *short = (short.0.min(day), short.1 + by);
        }
        explanation.late.push(told(standing, order, reason));
    }
    explanation.late.sort_by(|a, b| a.order.cmp(&b.order));
    for (material, short) in problem.materials.iter().zip(shorts) {
        let Some((day, short_by)) = short else { continue };
        let (day, id, by) = (problem.calendar.day(day), &material.id, amount(material, short_by));
        let sentence = format!("material \"{id}\" is short by {by} on {day} for the late panels it keeps back");
        explanation.shorts.push(MaterialShort { material: id.clone(), day, short_by, sentence });
    }
    explanation
}

/// Whether an order is late, or not ready at all.
pub(crate) fn is_late(standing: &Standing, order: usize) -> bool {
    standing.days_late(order) > 0 || standing.ready[order] >= standing.problem.len()
}

/// A schedule as it stands, handed out for a figure; `ready` as for writing it.
pub(crate) fn stands<'p>(
    problem: &'p Problem,
    schedule: Schedule,
    ready: &[DayIx],
    figure: LateFigure,
) -> Standing<'p> {
    let rows = hand_out(problem, schedule.supply(problem), ready, figure);
    let whole = whole_by(problem, &rows);
    let mut part = vec![Vec::new(); problem.orders.len()];
    for (order, kind, day, quantity) in rows {
        if whole[order] >= problem.len() {
            part[order].push((kind, day, quantity));
        }
    }
    Standing::new(problem, schedule, whole, part)
}

fn told(standing: &Standing, order: usize, reason: Reason) -> LateOrder {
    let (problem, o, ready) = (standing.problem, &standing.problem.orders[order], standing.ready[order]);
    let (days_late, whole) = (standing.days_late(order), ready < problem.len());
    let kind = reason.kind.unwrap_or(o.lines[0].0);
    LateOrder {
        order: o.id.clone(),
        due_on: o.due_on,
        ready_on: whole.then(|| problem.calendar.day(ready)),
        days_late,
        cause: reason.cause,
        freed_on: reason.freed.map(|day| problem.calendar.day(day)),
        sentence: words::sentence(problem, o, kind, ready, days_late, &reason.words),
    }
}

fn reason(standing: &Standing, order: usize, go_on: &mut impl FnMut() -> bool) -> Reason {
    let problem = standing.problem;
    let last = standing.ready[order].min(problem.len());
    let awaited = last.checked_sub(1).map(|by| standing.awaited(order, by)).unwrap_or_default();
    if standing.ready[order] >= problem.len()
        && let Some(reason) = awaited.iter().find_map(|kind| hopeless(problem, *kind))
    {
        return reason;
    }
    let kind = awaited.first().copied();
    if !go_on() {
        let words = "what holds it back was not looked into: there was no time left";
        return Reason::new(Cause::Unknown, kind, words);
    }
    match held(standing, order) {
        Held::By(binding) => bound(standing, binding, kind),
        Held::Nothing(day) => {
            let day_on = problem.calendar.day(day);
            let words = format!(
                "nothing holds it back: it could be ready on {day_on} beside the others, and a longer run may plan it so"
            );
            Reason { freed: Some(day), ..Reason::new(Cause::Turn, kind, words) }
        }
        Held::Turn(kind) => {
            Reason::new(Cause::Turn, Some(kind), "what is ready before is promised to other orders".to_owned())
        }
        Held::Unclear => Reason::new(Cause::Unknown, kind, "what holds it back could not be made out"),
        Held::Times => Reason::new(Cause::LeadTime, kind, times(problem, order, kind, last)),
    }
}

fn bound(standing: &Standing, binding: Binding, kind: Option<KindIx>) -> Reason {
    let problem = standing.problem;
    let after = gone(standing, &binding.pulled);
    let words = words::held_by(standing, &binding, &after);
    let cause = cause(problem, binding.limits[0]);
    let short = binding.limits.iter().find_map(|limit| {
        let Limit::Material(material) = limit else { return None };
        let lacks = after.lacks(*limit, &standing.spare);
        let lack = lacks.first()?;
        Some((*material, lack.days[0].0, lack.most()))
    });
    Reason { cause, kind, words, short, freed: Some(binding.freed) }
}

fn cause(problem: &Problem, limit: Limit) -> Cause {
    match limit {
        Limit::Material(_) => Cause::Material,
        Limit::Cold => Cause::ColdDays,
        Limit::Moulds(group) if problem.groups[group].in_service.iter().all(|moulds| *moulds == 0) => Cause::NoMould,
        Limit::Moulds(_) => Cause::Moulds,
        Limit::Tanks => Cause::Tank,
        Limit::Racks => Cause::Rack,
        Limit::Mixer => Cause::Mixer,
        Limit::Labour => Cause::Hours,
        Limit::Pins => Cause::Pins,
    }
}

/// Why no panel of a kind can be poured at all, whatever there were more of.
fn hopeless(problem: &Problem, kind: KindIx) -> Option<Reason> {
    let k = &problem.kinds[kind];
    let panel = &problem.panels[k.panel];
    if k.makes.is_empty() {
        let words = format!("no mix that suits panel \"{}\" gives finish \"{}\"", panel.id, k.finish_name);
        return Some(Reason::new(Cause::NoMix, Some(kind), words));
    }
    let never = |make: &usize| problem.makes[*make].ready_soonest.iter().all(|ready| *ready >= problem.len());
    if k.makes.iter().all(never) {
        let words = "hold, soak and dry times end after the last day, however soon it is poured";
        return Some(Reason::new(Cause::LeadTime, Some(kind), words));
    }
    if panel.tanks.is_empty() && k.makes.iter().all(|make| !problem.mix_of(*make).soak_free) {
        return Some(Reason::new(Cause::Tank, Some(kind), format!("no tank takes panel \"{}\"", panel.id)));
    }
    None
}

/// Times that end no sooner.
fn times(problem: &Problem, order: usize, kind: Option<KindIx>, ready: DayIx) -> String {
    let of_make = |make: &usize| problem.makes[*make].ready_soonest.first().copied();
    let makes = kind.map_or(&[][..], |kind| &problem.kinds[kind].makes[..]);
    let soonest = makes.iter().filter_map(of_make).min().unwrap_or(problem.len());
    if soonest == ready && ready < problem.len() && problem.calendar.offsets()[ready] > problem.orders[order].due {
        let day = problem.calendar.day(ready);
        return format!("by its hold, soak and dry times nothing poured now is ready before {day}, after the due day");
    }
    "its hold, soak and dry times end no sooner, whatever there were more of".to_owned()
}
