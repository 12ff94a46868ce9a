//! An order pulled forward through what a plan leaves: the panels that keep it waiting take another way, everybody else keeps
//! what is promised.

use super::levels::Spare;
use super::path::{Start, Window};
use super::trails::{Trail, add_trail, settle, trails};
use crate::plan::Schedule;
use crate::problem::{DayIx, KindIx, Problem};

/// A plan as it stands: what it does, for whom, and what it leaves.
#[derive(Clone, Debug)]
pub(crate) struct Standing<'p> {
    pub problem: &'p Problem,
    pub schedule: Schedule,
    /// By order: the day it is whole; past the horizon where it is not.
    pub ready: Vec<DayIx>,
    /// What is left beside it.
    pub spare: Spare<'p>,
    /// By kind: the ways its panels go.
    trails: Vec<Vec<Trail>>,
    /// By kind and day: what can be given by then, less what is promised by then.
    free: Vec<Vec<i64>>,
    /// By order that is not whole: what it is given, kind, day and panels.
    part: Vec<Vec<(KindIx, DayIx, i64)>>,
}

/// How an order would be whole sooner.
#[derive(Clone, Debug, Default)]
pub(crate) struct Pulled {
    /// Ways no longer gone.
    pub removed: Vec<Trail>,
    /// Ways gone instead.
    pub added: Vec<Trail>,
}

/// Panels that must come another way for an order to be whole sooner.
#[derive(Clone, Debug, Default)]
struct Own {
    kind: KindIx,
    /// Ways they go now.
    trails: Vec<Trail>,
    /// Panels that no way brings.
    beyond: i64,
}

impl<'p> Standing<'p> {
    /// Of a schedule with orders whole by `ready`; `part` is what the others are given.
    pub fn new(
        problem: &'p Problem,
        schedule: Schedule,
        ready: Vec<DayIx>,
        part: Vec<Vec<(KindIx, DayIx, i64)>>,
    ) -> Self {
        let (spare, days) = (Spare::of(problem, &schedule), problem.len());
        let mut by_kind = vec![Vec::new(); problem.kinds.len()];
        trails(problem, &schedule).into_iter().for_each(|t| by_kind[problem.makes[t.make].kind].push(t));
        let mut free = schedule.supply(problem);
        for (ix, order) in problem.orders.iter().enumerate() {
            let by = ready[ix].max(order.due_ix);
            let whole = order.lines.iter().filter(|_| ready[ix] < days).map(|(kind, quantity)| (*kind, by, *quantity));
            for (kind, day, quantity) in whole.chain(part[ix].iter().copied()) {
                shift(&mut free[kind], day, -quantity);
            }
        }
        Standing { problem, schedule, ready, spare, trails: by_kind, free, part }
    }

    /// Days late of an order as things are.
    pub fn days_late(&self, order: usize) -> i64 {
        self.problem.days_late(&self.problem.orders[order], self.ready[order])
    }

    /// Kinds that keep an order from being whole by a day.
    pub fn awaited(&self, order: usize, by: DayIx) -> Vec<KindIx> {
        self.own(order, by).into_iter().map(|own| own.kind).collect()
    }

    /// Another way for what keeps an order from being whole by a day, through `spare`: what is left, with or without limits.
    /// None where there is none.
    pub fn pull(&self, mut spare: Spare<'p>, order: usize, by: DayIx) -> Option<Pulled> {
        let mut own = self.own(order, by);
        let window = Window { from: 0, before: by + 1 };
        let mut pulled = Pulled::default();
        // What is on its way already, or pinned, goes on: sooner, or as it did.
        for own in &mut own {
            let (bound, loose): (Vec<Trail>, Vec<Trail>) = own.trails.iter().partition(|trail| self.is_bound(trail));
            for trail in bound {
                own.beyond += hasten(&mut spare, &trail, window, &mut pulled);
            }
            own.beyond += loose.iter().map(|trail| trail.quantity).sum::<i64>();
            loose.iter().for_each(|trail| spare.apply(trail, -1));
            pulled.removed.extend(loose);
        }
        for own in own.iter().filter(|own| own.beyond > 0) {
            pulled.added.extend(spare.place(own.kind, own.beyond, window)?);
        }
        Some(pulled)
    }

    /// Goes the other way from now on.
    pub fn take(&mut self, order: usize, by: DayIx, pulled: &Pulled) {
        let problem = self.problem;
        self.reserve(order, 1);
        for (trails, sign) in [(&pulled.removed, -1), (&pulled.added, 1)] {
            for trail in trails {
                self.spare.apply(trail, sign);
                add_trail(&mut self.schedule, trail, sign);
                shift(&mut self.free[problem.makes[trail.make].kind], trail.ready(problem), sign * trail.quantity);
            }
        }
        settle(&mut self.schedule);
        self.ready[order] = by;
        self.part[order].clear();
        self.reserve(order, -1);
        // Told apart by turn anew: who is oldest may have changed.
        self.trails.iter_mut().for_each(Vec::clear);
        trails(problem, &self.schedule).into_iter().for_each(|t| self.trails[problem.makes[t.make].kind].push(t));
    }

    /// Gives back what an order is promised, or is given, `sign` 1, or takes it, `sign` −1.
    fn reserve(&mut self, order: usize, sign: i64) {
        for (kind, day, quantity) in self.promised(order) {
            shift(&mut self.free[kind], day, sign * quantity);
        }
    }

    fn promised(&self, order: usize) -> Vec<(KindIx, DayIx, i64)> {
        let (o, ready) = (&self.problem.orders[order], self.ready[order]);
        if ready >= self.problem.len() {
            return self.part[order].clone();
        }
        o.lines.iter().map(|(kind, quantity)| (*kind, ready.max(o.due_ix), *quantity)).collect()
    }

    fn is_bound(&self, trail: &Trail) -> bool {
        trail.poured.is_none_or(|day| self.problem.pins[day].iter().any(|pin| pin.0 == trail.make))
    }

    /// What has to come another way for an order to be whole by a day. A kind is short on a day, and not on the next, only
    /// because panels come ready on the next: it is these that are told to come sooner, as long as there are any.
    fn own(&self, order: usize, by: DayIx) -> Vec<Own> {
        let days = self.problem.len();
        let back = self.promised(order);
        let line = |(kind, quantity): &(KindIx, i64)| {
            let mut free = self.free[*kind].clone();
            back.iter().filter(|row| row.0 == *kind).for_each(|row| shift(&mut free, row.1, row.2));
            let mut own = Own { kind: *kind, ..Own::default() };
            let mut moved = 0;
            for day in (by..self.ready[order].min(days)).rev() {
                let mut short = quantity - free[day] - moved;
                let next = self.trails[*kind].iter().filter(|trail| trail.ready(self.problem) == day + 1);
                for trail in next {
                    let quantity = short.min(trail.quantity);
                    if quantity > 0 {
                        own.trails.push(Trail { quantity, ..*trail });
                        (short, moved) = (short - quantity, moved + quantity);
                    }
                }
                if short > 0 {
                    (own.beyond, moved) = (own.beyond + short, moved + short);
                }
            }
            own
        };
        let lines = self.problem.orders[order].lines.iter().map(line);
        lines.filter(|own| own.beyond > 0 || !own.trails.is_empty()).collect()
    }
}

/// Leads panels that must go their way through it sooner, as many as can; gives how many cannot be ready in time.
fn hasten(spare: &mut Spare, trail: &Trail, window: Window, pulled: &mut Pulled) -> i64 {
    let start = match (trail.poured, trail.stripped, trail.tank) {
        (Some(day), ..) => Start::Pour(day),
        (None, None, Some(tank)) => Start::InTank(tank, trail.soaked),
        _ => Start::InMould(trail.ripe),
    };
    let mut left = trail.quantity;
    while left > 0 {
        let rest = Trail { quantity: left, ..*trail };
        spare.apply(&rest, -1);
        let Some(sooner) = spare.way(trail.make, left, start, window) else {
            spare.apply(&rest, 1);
            return left;
        };
        let stays = Trail { quantity: left - sooner.quantity, ..*trail };
        spare.apply(&stays, 1);
        spare.apply(&sooner, 1);
        pulled.removed.push(Trail { quantity: sooner.quantity, ..*trail });
        pulled.added.push(sooner);
        left = stays.quantity;
    }
    0
}

fn shift(levels: &mut [i64], from: DayIx, by: i64) {
    levels.iter_mut().skip(from).for_each(|level| *level += by);
}
