//! Panels that can be ready by a day, by where they are today, and what each has before it.

use good_lp::Variable;

use crate::model::Builder;
use crate::problem::{At, DayIx, MakeIx, Problem};

/// A step on the way of panels: the first day it can be taken, the latest that still leads to their being ready in time, the
/// soonest day of the next step, and the fewest nights that they stay where this one brings them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Leg {
    pub from: DayIx,
    pub by: DayIx,
    pub then: DayIx,
    pub nights: usize,
}

impl Leg {
    /// Over the days from `first` on which it may be taken and after which the next step, on `next[day]` at the soonest, is not
    /// after `last`.
    fn of(next: &[DayIx], first: DayIx, last: DayIx, may: impl Fn(DayIx) -> bool) -> Option<Leg> {
        let days = || next.iter().copied().enumerate().skip(first).filter(|(day, next)| *next <= last && may(*day));
        let (from, by) = (days().next()?.0, days().last()?.0);
        let (then, nights) = (days().map(|day| day.1).min()?, days().map(|(day, next)| next - day).min()?);
        Some(Leg { from, by, then, nights })
    }
}

/// Panels of a make that can be ready by a day: to be poured, or lots in moulds or tanks. Steps behind them are none.
#[derive(Clone, Copy)]
pub(super) struct Passage {
    pub make: MakeIx,
    pub column: Variable,
    pub pour: Option<Leg>,
    pub strip: Option<Leg>,
    pub lift: Leg,
}

/// What can be ready by the evening of a day.
pub(super) fn passages(problem: &Problem, by: DayIx, to: &mut Builder) -> Vec<Passage> {
    (0..problem.makes.len()).flat_map(|make| of_make(problem, make, by, to)).collect()
}

fn of_make(problem: &Problem, make: MakeIx, by: DayIx, to: &mut Builder) -> Vec<Passage> {
    let (m, mix) = (&problem.makes[make], problem.mix_of(make));
    let mut passages = Vec::new();
    let lift_after = |first: DayIx| Leg::of(&mix.ready_from, first, by, |_| true);
    let Some(Leg { by: lift_by, .. }) = lift_after(0) else { return passages };
    let strip_after = |first: DayIx| Leg::of(&mix.lift_from, first, lift_by, |_| true);
    let (in_tanks, first) = lots(problem, make, |at| if let At::Tank(_, day) = at { Some(day) } else { None }, lift_by);
    if let Some(lift) = lift_after(first).filter(|_| in_tanks > 0) {
        let column = to.column(0.0, in_tanks as f64, false);
        passages.push(Passage { make, column, pour: None, strip: None, lift });
    }
    let Some(Leg { by: strip_by, .. }) = strip_after(0) else { return passages };
    let (in_moulds, first) = lots(problem, make, |at| if let At::Mould(day) = at { Some(day) } else { None }, strip_by);
    let strip = strip_after(first).filter(|_| in_moulds > 0);
    if let Some((strip, lift)) = strip.and_then(|strip| Some((strip, lift_after(strip.then)?))) {
        let column = to.column(0.0, in_moulds as f64, false);
        passages.push(Passage { make, column, pour: None, strip: Some(strip), lift });
    }
    let wanted = m.suits && problem.kinds[m.kind].ordered > 0;
    let pinned = |day: DayIx| problem.pins[day].iter().any(|pin| pin.0 == make);
    let pour = Leg::of(&m.strip_from, 0, strip_by, |day| (m.may_pour[day] && wanted) || pinned(day));
    let strip = pour.and_then(|pour| strip_after(pour.then));
    if let Some((strip, lift)) = strip.and_then(|strip| Some((strip, lift_after(strip.then)?))) {
        let column = to.column(0.0, f64::INFINITY, false);
        passages.push(Passage { make, column, pour, strip: Some(strip), lift });
    }
    passages
}

/// Panels of a make on the way that may go on by a day from where `ripe` says when they may, and the first of these days.
fn lots(problem: &Problem, make: MakeIx, ripe: impl Fn(At) -> Option<DayIx>, by: DayIx) -> (i64, DayIx) {
    let of_make = problem.lots.iter().filter(|lot| lot.make == make);
    let in_time = of_make.filter_map(|lot| Some((lot.quantity, ripe(lot.at).filter(|day| *day <= by)?)));
    in_time.fold((0, by), |(sum, first), (quantity, day)| (sum + quantity, first.min(day)))
}
