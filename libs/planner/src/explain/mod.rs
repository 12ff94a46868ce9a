//! Why orders are late, by arithmetic on the plan: which panel came last, whether it waited on its way, and what was used up
//! on the days it could have been poured sooner.

mod overfull;
mod tight;
mod trail;

use workshop::documents::explanation::{Cause, LateOrder, MaterialShort};
use workshop::documents::plan::LateFigure;

pub use workshop::documents::Explanation;

use crate::plan::{Schedule, hand_out, whole_by};
use crate::problem::{DayIx, KindIx, MakeIx, Order, Problem};
use crate::short::tidy;
use tight::Left;
use trail::Trails;

/// Explains a schedule handed out for a figure; `ready` as for writing it.
pub(crate) fn explain(problem: &Problem, schedule: &Schedule, ready: &[DayIx], figure: LateFigure) -> Explanation {
    let rows = hand_out(problem, schedule.supply(problem), ready, figure);
    let ready = &whole_by(problem, &rows)[..];
    let look = Look { problem, left: Left::of(problem, schedule), trails: Trails::of(problem, schedule) };
    let mut explanation = Explanation { overfull: overfull::overfull(problem), ..Explanation::default() };
    let mut shorts: Vec<Option<(DayIx, f64)>> = vec![None; problem.materials.len()];
    for (ix, order) in problem.orders.iter().enumerate() {
        let given: Vec<_> = rows.iter().filter(|row| row.0 == ix).map(|row| (row.1, row.2, row.3)).collect();
        let days_late = problem.days_late(order, ready[ix]);
        let whole = ready[ix] < problem.len();
        if days_late == 0 && whole {
            continue;
        }
        let (kind, missing) = look.last_panel(order, &given, ready[ix]);
        let reason = look.reason(order, kind, missing, ready[ix]);
        if let Some((material, day, by)) = reason.short {
            let short = shorts[material].get_or_insert((day, 0.0));
            *short = (short.0.min(day), short.1 + by);
        }
        let ready_on = whole.then(|| problem.calendar.day(ready[ix]));
        let sentence = look.sentence(order, kind, ready[ix], days_late, &reason.words);
        let (order, due_on) = (order.id.clone(), order.due_on);
        explanation.late.push(LateOrder { order, due_on, ready_on, days_late, cause: reason.cause, sentence });
    }
    for (material, short) in problem.materials.iter().zip(shorts) {
        let Some((day, short_by)) = short else { continue };
        let (day, id) = (problem.calendar.day(day), &material.id);
        let sentence =
            format!("material \"{id}\" is short by {} on {day} for the late panels it keeps back", tidy(short_by));
        explanation.shorts.push(MaterialShort { material: id.clone(), day, short_by, sentence });
    }
    explanation
}

struct Look<'a> {
    problem: &'a Problem,
    left: Left,
    trails: Trails,
}

struct Reason {
    cause: Cause,
    words: String,
    /// Material, first day and quantity.
    short: Option<(usize, DayIx, f64)>,
}

impl Reason {
    fn new(cause: Cause, words: impl Into<String>) -> Self {
        Reason { cause, words: words.into(), short: None }
    }
}

impl Look<'_> {
    /// The kind that came last, or is still missing, and how many of it.
    fn last_panel(&self, order: &Order, given: &[(KindIx, DayIx, i64)], ready: DayIx) -> (KindIx, i64) {
        let of = |kind: KindIx| given.iter().filter(move |row| row.0 == kind);
        if ready < self.problem.len() {
            let last = given.iter().filter(|row| row.1 == ready).max_by_key(|row| (row.2, row.0));
            return last.map_or((order.lines[0].0, 1), |row| (row.0, row.2));
        }
        let missing = |(kind, quantity): &(KindIx, i64)| (*kind, quantity - of(*kind).map(|row| row.2).sum::<i64>());
        // A kind that cannot be had at all says more than one that is merely short.
        let hopeless = |kind: KindIx| self.hopeless(kind).is_some();
        let short = order.lines.iter().map(missing).filter(|(_, missing)| *missing > 0);
        short.max_by_key(|(kind, missing)| (hopeless(*kind), *missing)).unwrap_or((order.lines[0].0, 1))
    }

    fn panel(&self, kind: KindIx) -> &crate::problem::Panel {
        &self.problem.panels[self.problem.kinds[kind].panel]
    }

    /// Why no panel of a kind can be poured at all.
    fn hopeless(&self, kind: KindIx) -> Option<Reason> {
        let (k, panel) = (&self.problem.kinds[kind], self.panel(kind));
        if k.makes.is_empty() {
            let words = format!("no mix that suits panel \"{}\" gives finish \"{}\"", panel.id, k.finish_name);
            return Some(Reason::new(Cause::NoMix, words));
        }
        let group = &self.problem.groups[panel.group];
        if group.in_service.iter().all(|moulds| *moulds == 0) {
            return Some(Reason::new(Cause::NoMould, format!("there is no mould for panel \"{}\"", panel.id)));
        }
        let never = |make: &MakeIx| {
            let m = &self.problem.makes[*make];
            (0..self.problem.len()).all(|day| !m.may_pour[day] || m.ready_soonest[day] >= self.problem.len())
        };
        if k.makes.iter().all(never) {
            return Some(Reason::new(
                Cause::LeadTime,
                "hold, soak and dry times end after the last day, however soon it is poured",
            ));
        }
        let too_large = k.makes.iter().all(|make| !self.problem.mix_of(*make).soak_free) && {
            let fits = |tank: &usize| self.problem.tanks[*tank].mm + 1e-6 >= panel.tank_mm;
            !panel.tanks.iter().any(fits)
        };
        too_large.then(|| Reason::new(Cause::Tank, format!("no tank has room for even one panel \"{}\"", panel.id)))
    }

    fn reason(&self, order: &Order, kind: KindIx, missing: i64, ready: DayIx) -> Reason {
        if ready >= self.problem.len()
            && let Some(reason) = self.hopeless(kind)
        {
            return reason;
        }
        if let Some(reason) = self.too_soon(order, kind, ready) {
            return reason;
        }
        let trail = self.trails.last_ready(self.problem, kind, ready);
        if let Some(trail) = trail
            && let Some(reason) = self.waited(&trail)
        {
            return reason;
        }
        self.poured_late(kind, missing, ready, trail.and_then(|trail| trail.poured))
    }

    /// Due sooner than the trade's times allow, and ready as soon as they do.
    fn too_soon(&self, order: &Order, kind: KindIx, ready: DayIx) -> Option<Reason> {
        let soonest = self.problem.kinds[kind].makes.iter().filter_map(|make| {
            let m = &self.problem.makes[*make];
            (0..self.problem.len()).filter(|day| m.may_pour[*day]).map(|day| m.ready_soonest[day]).min()
        });
        let soonest = soonest.min()?;
        let (offset, last) = (self.problem.calendar.offsets(), self.problem.len());
        (soonest < last && offset[soonest] > order.due && ready <= soonest).then(|| {
            let day = self.problem.calendar.day(soonest);
            Reason::new(
                Cause::LeadTime,
                format!("by its hold, soak and dry times nothing poured now is ready before {day}, after the due day"),
            )
        })
    }

    /// What it waited for between pour and ready, where that was longer than a day or two of rounding.
    fn waited(&self, trail: &trail::Trail) -> Option<Reason> {
        let panel = self.problem.panel_of(trail.make);
        let hours = |from: DayIx, to: DayIx, minutes: f64| {
            let short = (from..to).filter(|day| self.left.labour[*day] < minutes).count();
            2 * short > to - from
        };
        let waits = [
            (trail.may_strip, trail.stripped, panel.strip_minutes, Cause::Tank, "in its mould, as the tanks were full"),
            (trail.may_lift, trail.lifted, panel.lift_minutes, Cause::Rack, "in its tank, as the racks were full"),
        ];
        let longest = waits.into_iter().max_by_key(|wait| wait.1.saturating_sub(wait.0))?;
        let (from, to, minutes, cause, words) = longest;
        let slower_pour = trail.poured.is_none_or(|poured| to.saturating_sub(from) * 2 > poured);
        if to <= from || !slower_pour {
            return None;
        }
        let days = to - from;
        if hours(from, to, minutes) {
            return Some(Reason::new(Cause::Hours, format!("it waited {days} working days for labour to move it")));
        }
        Some(Reason::new(cause, format!("it waited {days} working days {words}")))
    }

    /// What was used up on the days on which it could have been poured and been ready sooner.
    fn poured_late(&self, kind: KindIx, missing: i64, ready: DayIx, poured: Option<DayIx>) -> Reason {
        let until = poured.unwrap_or(self.problem.len());
        let sooner =
            |make: &MakeIx, day: DayIx| self.problem.makes[*make].ready_soonest[day] < ready.min(self.problem.len());
        let mut counts: Vec<(Cause, usize)> = Vec::new();
        let (mut days, mut short): (usize, Option<(usize, DayIx, f64)>) = (0, None);
        for day in 0..until {
            // The mix that was nearest to being poured that day speaks for the day.
            let held = self.problem.kinds[kind].makes.iter().filter(|make| sooner(make, day));
            let held = held.map(|make| self.held(*make, missing, day)).min_by_key(|held| held.0);
            let Some((_, cause, material)) = held else { continue };
            days += 1;
            if let (Cause::Material, Some((material, by))) = (cause, material) {
                let first = short.get_or_insert((material, day, by));
                first.2 = first.2.max(by);
            }
            match counts.iter_mut().find(|(known, _)| *known == cause) {
                Some(count) => count.1 += 1,
                None => counts.push((cause, 1)),
            }
        }
        let Some((cause, count)) = counts.into_iter().max_by_key(|(cause, count)| (*count, std::cmp::Reverse(*cause)))
        else {
            return Reason::new(Cause::LeadTime, "no earlier working day would have made it ready sooner");
        };
        let of_days =
            format!("on {count} of the {days} working days on which it could have been poured to be ready sooner");
        let group = &self.problem.groups[self.panel(kind).group].id;
        let words = match cause {
            Cause::Moulds => format!("the moulds of group \"{group}\" were all taken {of_days}"),
            Cause::Hours => format!("the labour was used up {of_days}"),
            Cause::Mixer => format!("the mixer managed no more batches {of_days}"),
            Cause::ColdDays => format!("its mix may not be poured {of_days}"),
            Cause::Material => {
                let (material, day, by) = short.unwrap_or((0, 0, 0.0));
                let id = &self.problem.materials[material].id;
                format!(
                    "material \"{id}\" was short by {} on {}, and so {of_days}",
                    tidy(by),
                    self.problem.calendar.day(day)
                )
            }
            _ => format!("other orders were served first {of_days}"),
        };
        Reason { cause, words, short: short.filter(|_| cause == Cause::Material) }
    }

    /// What kept a make from being poured on a day; the rank says how far from being poured it was.
    fn held(&self, make: MakeIx, panels: i64, day: DayIx) -> (usize, Cause, Option<(usize, f64)>) {
        let (m, mix, panel) = (&self.problem.makes[make], self.problem.mix_of(make), self.problem.panel_of(make));
        let (free, open) = self.left.mixed[m.mix][day];
        let needs_batch = free + 1e-9 < panel.litres;
        let batch = if needs_batch { mix.batch_minutes } else { 0.0 };
        let washout = if open { 0.0 } else { mix.washout_minutes };
        let moulds = self.left.moulds[panel.group][day];
        if !m.may_pour[day] {
            (5, Cause::ColdDays, None)
        } else if let Some(short) = self.left.missing(self.problem, make, 1, day) {
            let wanted = self.left.missing(self.problem, make, panels.max(1), day).unwrap_or(short);
            (4, Cause::Material, Some(wanted))
        } else if moulds == 0 {
            (3, Cause::Moulds, None)
        } else if self.left.labour[day] + 1e-9 < panel.pour_minutes + batch + washout {
            (2, Cause::Hours, None)
        } else if needs_batch && self.left.batches[day] == 0 {
            (1, Cause::Mixer, None)
        } else {
            (0, Cause::Turn, None)
        }
    }

    fn sentence(&self, order: &Order, kind: KindIx, ready: DayIx, days_late: i64, words: &str) -> String {
        let (k, panel) = (&self.problem.kinds[kind], &self.panel(kind).id);
        if ready < self.problem.len() {
            let day = self.problem.calendar.day(ready);
            let plural = if days_late == 1 { "day" } else { "days" };
            return format!(
                "order \"{}\" is {days_late} {plural} late: panel \"{panel}\" in \"{}\" came last, on {day}; {words}",
                order.id, k.finish_name
            );
        }
        let what = format!(
            "order \"{}\" is not ready by the last day: panel \"{panel}\" in \"{}\" is missing",
            order.id, k.finish_name
        );
        format!("{what}; {words}")
    }
}
