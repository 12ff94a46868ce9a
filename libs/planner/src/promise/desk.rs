//! Where a promise is worked out: what the plan leaves, and attempts to lead the new lines through it.

use crate::plan::{Schedule, free_from, reserve};
use crate::problem::{DayIx, KindIx, Problem};
use crate::spare::{Read, Spare, Trail, Window, add_trail, read_plan, settle, trails};
use crate::{Limits, Stopwatch};
use workshop::documents::Plan;

/// Most sooner days that are offered.
const MOST_SOONER: usize = 3;
/// Attempts beyond the first answer where neither seconds nor evaluations are given.
const FEW_ATTEMPTS: u64 = 40;

/// A schedule with the new order in it.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    /// The day it is ready.
    pub ready: DayIx,
    /// By order: the day it is whole.
    pub whole: Vec<DayIx>,
    /// What happens to panels.
    pub schedule: Schedule,
    /// What was poured for it.
    placed: Vec<Trail>,
    /// Σ weight × calendar days that promised orders wait longer.
    waiting: f64,
}

/// The best found.
#[derive(Debug, Default)]
pub(super) struct Answers {
    /// Nobody waits.
    pub kept: Option<Answer>,
    /// Somebody waits, the earliest first.
    pub sooner: Vec<Answer>,
}

/// What of the plan is made anew around the new order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Loosen {
    /// Nothing: only who is given what.
    Nothing,
    /// Pours into the moulds of the new order.
    ItsMoulds,
    /// All pours.
    All,
}

pub(super) struct Desk<'p> {
    problem: &'p Problem,
    new: usize,
    from: DayIx,
    schedule: Schedule,
    base: Spare<'p>,
    trails: Vec<Trail>,
    /// By kind and day: all that can be given.
    supply: Vec<Vec<i64>>,
    /// The same, less what promised orders need by the day they were promised.
    free: Vec<Vec<i64>>,
    /// By order: the last day on which it is no later than promised; past the horizon where it is not ready in time to count.
    keep: Vec<DayIx>,
    /// Orders in the sequence in which they are served: the new one, then by the day promised.
    sequence: Vec<usize>,
}

/// Sets the due day of the new order to the day it is ready.
pub(super) fn due(problem: &mut Problem, new: usize, ready: DayIx, last_day: chrono::NaiveDate, unmet_days: i64) {
    let (day, offset) = (problem.calendar.day(ready), problem.calendar.offsets()[ready]);
    let order = &mut problem.orders[new];
    (order.due_on, order.due, order.due_ix) = (day, offset, ready);
    order.unmet_late = ((last_day - day).num_days() + unmet_days).max(0);
}

impl<'p> Desk<'p> {
    pub fn new(problem: &'p Problem, plan: &Plan, new: usize, from: DayIx) -> Self {
        let Read { schedule, ready, part } = read_plan(problem, plan);
        let days = problem.len();
        let keep =
            |(day, order): (&DayIx, &crate::problem::Order)| if *day < days { (*day).max(order.due_ix) } else { days };
        let keep: Vec<DayIx> = ready.iter().zip(&problem.orders).map(keep).collect();
        let supply = schedule.supply(problem);
        let mut free = supply.clone();
        for (order, of_order) in problem.orders.iter().enumerate().filter(|(ix, _)| *ix != new) {
            for (kind, quantity) in of_order.lines.iter().filter(|_| keep[order] < days) {
                reserve(&mut free[*kind], keep[order], *quantity);
            }
            for (kind, day, quantity) in &part[order] {
                reserve(&mut free[*kind], *day, *quantity);
            }
        }
        let mut sequence: Vec<usize> = (0..problem.orders.len()).collect();
        sequence.sort_by_key(|order| (*order != new, keep[*order], problem.orders[*order].due, *order));
        let (base, trails) = (Spare::of(problem, &schedule), trails(problem, &schedule));
        Desk { problem, new, from, schedule, base, trails, supply, free, keep, sequence }
    }

    fn lines(&self) -> &[(KindIx, i64)] {
        &self.problem.orders[self.new].lines
    }

    /// A line that cannot be had within the horizon even if it were the only one.
    pub fn never(&self) -> Option<(&str, &str)> {
        let line = self.lines().iter().find(|line| self.keeping(self.problem.len() - 1, &[**line]).is_none())?;
        let kind = &self.problem.kinds[line.0];
        Some((&self.problem.panels[kind.panel].id, &kind.finish_name))
    }

    pub fn answer(&self, limits: &Limits, stopwatch: Stopwatch) -> Answers {
        let mut clock = Clock { limits, stopwatch, attempts: 0 };
        let mut kept = self.soonest_kept();
        let until = kept.as_ref().map_or(self.problem.len(), |answer| answer.ready);
        let mut sooner = Vec::new();
        for ready in self.earliest()..until {
            if sooner.len() == MOST_SOONER || (!sooner.is_empty() && !clock.go_on()) {
                break;
            }
            let least = sooner.last().map_or(f64::INFINITY, |answer: &Answer| answer.waiting);
            let ways = [Loosen::Nothing, Loosen::ItsMoulds, Loosen::All];
            let found = ways.into_iter().filter_map(|loosen| self.waiting(ready, loosen));
            let Some(best) = found.min_by(|a, b| a.waiting.total_cmp(&b.waiting)) else { continue };
            if best.waiting <= 0.0 {
                // Nobody waits after all, and it is sooner.
                kept = Some(best);
                break;
            }
            if best.waiting < least {
                sooner.push(best);
            }
        }
        self.improve(&mut kept, &mut clock);
        Answers { kept, sooner }
    }

    /// First day on which stock, the plan's panels or a pour in an empty workshop could make the order whole.
    fn earliest(&self) -> DayIx {
        let poured = |kind: KindIx| {
            let of_make = |make: &usize| {
                let m = &self.problem.makes[*make];
                (self.from..self.problem.len()).filter(|day| m.may_pour[*day]).map(|day| m.ready_soonest[day]).min()
            };
            self.problem.kinds[kind].makes.iter().filter_map(of_make).min().unwrap_or(self.problem.len())
        };
        let line = |(kind, quantity): &(KindIx, i64)| {
            let there = self.supply[*kind].partition_point(|level| level < quantity);
            // Part may be there sooner, the rest poured: no sooner than either's first.
            there.min(poured(*kind)).max(self.from)
        };
        self.lines().iter().map(line).max().unwrap_or(self.from)
    }

    /// Ready by a day, nobody waiting.
    pub fn by(&self, ready: DayIx) -> Option<Answer> {
        self.keeping(ready, self.lines())
    }

    /// The soonest day by halving, nobody waiting.
    fn soonest_kept(&self) -> Option<Answer> {
        let (mut low, mut high) = (self.earliest(), self.problem.len().checked_sub(1)?);
        let mut best = self.keeping(high, self.lines())?;
        while low < high {
            let half = (low + high) / 2;
            match self.keeping(half, self.lines()) {
                Some(answer) => (best, high) = (answer, half),
                None => low = half + 1,
            }
        }
        Some(best)
    }

    /// Tries sooner days again, lines in other sequences, as long as there is time.
    fn improve(&self, kept: &mut Option<Answer>, clock: &mut Clock) {
        let Some(mut ready) = kept.as_ref().map(|answer| answer.ready) else { return };
        let mut lines = self.lines().to_vec();
        let (first, mut turn) = (self.earliest(), 0);
        while ready > first && turn < 2 * lines.len() && clock.go_on() {
            // Every line has its turn to come first, and the others the other way round too.
            lines.rotate_left(1);
            if turn == lines.len() {
                lines.reverse();
            }
            turn += 1;
            while let Some(answer) =
                ready.checked_sub(1).filter(|day| *day >= first).and_then(|day| self.keeping(day, &lines))
            {
                ready = answer.ready;
                *kept = Some(answer);
            }
        }
    }

    /// Ready by a day, nobody waiting: what is free by then, and the rest through what is left.
    fn keeping(&self, ready: DayIx, lines: &[(KindIx, i64)]) -> Option<Answer> {
        let mut spare = self.base.clone();
        let mut placed = Vec::new();
        let window = Window { from: self.from, before: ready + 1 };
        let last = self.problem.len();
        for (kind, quantity) in lines {
            let there = self.free[*kind][ready..last].iter().copied().min().unwrap_or(0).clamp(0, *quantity);
            if there < *quantity {
                placed.extend(spare.place(*kind, quantity - there, window)?);
            }
        }
        let mut whole = self.keep.clone();
        whole[self.new] = ready;
        let schedule = self.schedule_with(&placed, &[]);
        Some(Answer { ready, whole, schedule, placed, waiting: 0.0 })
    }

    fn schedule_with(&self, added: &[Trail], taken: &[Trail]) -> Schedule {
        let mut schedule = self.schedule.clone();
        added.iter().for_each(|trail| add_trail(&mut schedule, trail, 1));
        taken.iter().for_each(|trail| add_trail(&mut schedule, trail, -1));
        settle(&mut schedule);
        schedule
    }

    /// Ready by a day, first before all others: they wait if they must.
    fn waiting(&self, ready: DayIx, loosen: Loosen) -> Option<Answer> {
        let mut spare = self.base.clone();
        let mut taken: Vec<Trail> =
            self.trails.iter().filter(|trail| self.may_loosen(trail, loosen)).copied().collect();
        if taken.is_empty() && loosen != Loosen::Nothing {
            return None;
        }
        let mut supply = self.supply.clone();
        for trail in &taken {
            spare.apply(trail, -1);
            self.come(&mut supply, trail, -1);
        }
        let window = Window { from: self.from, before: ready + 1 };
        let mut placed = Vec::new();
        for (kind, quantity) in self.lines() {
            let there = supply[*kind][ready].min(*quantity);
            if there < *quantity {
                placed.extend(spare.place(*kind, quantity - there, window)?);
            }
        }
        let mut added = placed.clone();
        taken.sort_by_key(|trail| (trail.ready(self.problem), trail.make));
        let later = Window { before: self.problem.len(), ..window };
        for trail in &taken {
            let kind = self.problem.makes[trail.make].kind;
            added.extend(spare.place_most(kind, trail.quantity, later).0);
        }
        added.iter().for_each(|trail| self.come(&mut supply, trail, 1));
        for kind in self.short_kinds(&supply) {
            let replaced = spare.place_most(kind.0, kind.1, later).0;
            replaced.iter().for_each(|trail| self.come(&mut supply, trail, 1));
            added.extend(replaced);
        }
        let (whole, waiting) = self.serve(supply, ready)?;
        Some(Answer { ready, whole, schedule: self.schedule_with(&added, &taken), placed, waiting })
    }

    fn may_loosen(&self, trail: &Trail, loosen: Loosen) -> bool {
        let problem = self.problem;
        let group = problem.panel_of(trail.make).group;
        let its = || self.lines().iter().any(|line| problem.panels[problem.kinds[line.0].panel].group == group);
        let free = |day: DayIx| day >= self.from && !problem.pins[day].iter().any(|pin| pin.0 == trail.make);
        match loosen {
            Loosen::Nothing => false,
            Loosen::ItsMoulds => trail.poured.is_some_and(free) && its(),
            Loosen::All => trail.poured.is_some_and(free),
        }
    }

    fn come(&self, supply: &mut [Vec<i64>], trail: &Trail, sign: i64) {
        let kind = self.problem.makes[trail.make].kind;
        let ready = trail.ready(self.problem);
        supply[kind].iter_mut().skip(ready).for_each(|level| *level += sign * trail.quantity);
    }

    /// Kinds of which there is less in the end than the promised orders and the new one need, and how much less.
    fn short_kinds(&self, supply: &[Vec<i64>]) -> Vec<(KindIx, i64)> {
        let mut wanted = vec![0; self.problem.kinds.len()];
        for (order, of_order) in self.problem.orders.iter().enumerate() {
            if order == self.new || self.keep[order] < self.problem.len() {
                of_order.lines.iter().for_each(|(kind, quantity)| wanted[*kind] += quantity);
            }
        }
        let short = |(kind, wanted): (KindIx, i64)| {
            let missing = wanted - supply[kind].last().copied().unwrap_or(0);
            (missing > 0).then_some((kind, missing))
        };
        wanted.into_iter().enumerate().filter_map(short).collect()
    }

    /// Serves the new order by its day, then the others by the day they were promised; none where the new one is not served.
    fn serve(&self, mut free: Vec<Vec<i64>>, ready: DayIx) -> Option<(Vec<DayIx>, f64)> {
        let (problem, days) = (self.problem, self.problem.len());
        let (mut whole, mut waiting) = (vec![days; problem.orders.len()], 0.0);
        for &ix in &self.sequence {
            let order = &problem.orders[ix];
            let line = |(kind, quantity): &(KindIx, i64)| free_from(&free[*kind], *quantity);
            let soonest = order.lines.iter().map(line).max().unwrap_or(0);
            let day = if ix == self.new { ready } else { soonest.max(order.due_ix) };
            if ix == self.new && soonest > ready {
                return None;
            }
            if day < days {
                order.lines.iter().for_each(|(kind, quantity)| reserve(&mut free[*kind], day, *quantity));
            }
            whole[ix] = day;
            if ix != self.new && self.keep[ix] < day {
                // Not to be ready at all is later too, even where the policy counts no day for it.
                let longer = problem.days_late(order, day) - problem.days_late(order, self.keep[ix]);
                waiting += order.weight.max(f64::MIN_POSITIVE) * longer.max(1) as f64;
            }
        }
        Some((whole, waiting))
    }

    /// Promised orders that an answer makes later, with the day they were promised.
    pub fn slips<'a>(&'a self, answer: &'a Answer) -> impl Iterator<Item = (usize, DayIx)> + 'a {
        let others = (0..self.keep.len()).filter(|order| *order != self.new);
        others.map(|order| (order, self.keep[order])).filter(|(order, keep)| answer.whole[*order] > *keep)
    }

    /// Material in the panels of the new order: as poured for it, the rest at the cheapest mix that suits.
    pub fn material_price(&self, answer: Option<&Answer>) -> f64 {
        let placed = answer.map_or(&[][..], |answer| &answer.placed[..]);
        let line = |(kind, quantity): &(KindIx, i64)| {
            let own: Vec<_> = placed.iter().filter(|trail| self.problem.makes[trail.make].kind == *kind).collect();
            let poured: f64 = own.iter().map(|t| t.quantity as f64 * self.problem.make_price(t.make)).sum();
            let rest = quantity - own.iter().map(|trail| trail.quantity).sum::<i64>();
            let cheapest = self.problem.kinds[*kind].makes.first().map_or(0.0, |make| self.problem.make_price(*make));
            poured + rest as f64 * cheapest
        };
        self.lines().iter().map(line).sum()
    }
}

/// How long there is to go on.
struct Clock<'a> {
    limits: &'a Limits,
    stopwatch: Stopwatch<'a>,
    attempts: u64,
}

impl Clock<'_> {
    fn go_on(&mut self) -> bool {
        self.attempts += 1;
        let most = match (self.limits.seconds, self.limits.evaluations) {
            (None, None) => FEW_ATTEMPTS,
            (_, evaluations) => evaluations.unwrap_or(u64::MAX),
        };
        self.attempts <= most && self.limits.seconds.is_none_or(|seconds| (self.stopwatch)() < seconds)
    }
}
