//! The columns: panels stripped and lifted, by make and day, and what ties them to lots and to each other.

use good_lp::{Expression, Variable};

use super::{Detail, add, none};
use crate::model::Builder;
use crate::model::keys::{live, pours};
use crate::problem::{At, DayIx, Lot, MakeIx, Problem};

/// Panels of a make stripped on a day.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strip {
    pub make: MakeIx,
    pub day: DayIx,
    /// The latest day on which they can have been poured; none for lots.
    pub pour: Option<DayIx>,
    pub column: Variable,
}

/// Panels of a make lifted on a day.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lift {
    pub make: MakeIx,
    pub day: DayIx,
    /// The latest day on which they can have been stripped, or the tank in which they lie as a lot.
    pub from: Result<DayIx, usize>,
    pub column: Variable,
}

/// What is stripped and lifted.
pub(super) struct Flow {
    pub strips: Vec<Strip>,
    pub(super) lifts: Option<Vec<Lift>>,
}

impl Flow {
    pub(super) fn new(problem: &Problem, detail: Detail, to: &mut Builder) -> Self {
        let mut flow = Flow { strips: Vec::new(), lifts: detail.lifts.then(Vec::new) };
        for make in 0..problem.makes.len() {
            flow.strips_of(problem, make, to);
            if detail.lifts {
                flow.lifts_of(problem, make, to);
            }
        }
        flow
    }

    fn strips_of(&mut self, problem: &Problem, make: MakeIx, to: &mut Builder) {
        let mut series = |pour: &dyn Fn(DayIx) -> Option<Option<DayIx>>, most: f64| {
            for day in 0..problem.len() {
                if let Some(pour) = pour(day) {
                    self.strips.push(Strip { make, day, pour, column: to.column(0.0, most, false) });
                }
            }
        };
        if pours(problem, make) {
            let latest = latest_pours(problem, make);
            series(&|day| latest[day].map(Some).filter(|_| in_time(problem, make, day)), f64::INFINITY);
        }
        let lots = in_moulds(problem, make);
        if let Some(first) = lots.first() {
            let all = lots.iter().map(|lot| lot.1 as f64).sum();
            // However late they are stripped: their moulds are free then.
            series(&|day| (day >= first.0).then_some(None), all);
        }
    }

    fn lifts_of(&mut self, problem: &Problem, make: MakeIx, to: &mut Builder) {
        let mix = problem.mix_of(make);
        let mut lifts = Vec::new();
        let first = self.strips.iter().filter(|strip| strip.make == make).map(|strip| strip.day).min();
        let mut strip = None;
        for day in (0..problem.len()).filter(|day| mix.ready_from[*day] < problem.len()) {
            let next = |strip: Option<DayIx>| strip.map_or(0, |strip| strip + 1);
            while mix.lift_from.get(next(strip)).is_some_and(|lift| *lift <= day) {
                strip = Some(next(strip));
            }
            if let (Some(first), Some(strip)) = (first, strip)
                && first <= strip
            {
                lifts.push(Lift { make, day, from: Ok(strip), column: to.column(0.0, f64::INFINITY, false) });
            }
        }
        for tank in 0..problem.tanks.len() {
            let lots = in_tank(problem, make, tank);
            let Some(first) = lots.first() else { continue };
            let all: f64 = lots.iter().map(|lot| lot.1 as f64).sum();
            for day in first.0..problem.len() {
                lifts.push(Lift { make, day, from: Err(tank), column: to.column(0.0, all, false) });
            }
        }
        self.lifts.iter_mut().for_each(|all| all.append(&mut lifts));
    }

    /// Σ_{s < e} lots stripped (lifted) ≤ lots ripe before e, for each day `e` on which more of them get ripe   [panels]
    pub(super) fn lots(&self, problem: &Problem, to: &mut Builder) {
        let mut rows = |lots: &[(DayIx, i64)], columns: &[(DayIx, Variable)]| {
            let mut ripe = 0;
            for (at, (_, quantity)) in lots.iter().enumerate() {
                ripe += quantity;
                let next = lots.get(at + 1).map_or(problem.len(), |lot| lot.0);
                let before = columns.iter().filter(|column| column.0 < next).map(|column| column.1);
                to.row("lots", before.sum::<Expression>().leq(ripe as f64));
            }
        };
        for make in 0..problem.makes.len() {
            let lots = in_moulds(problem, make);
            if !lots.is_empty() {
                let of_make = self.strips.iter().filter(|strip| strip.make == make && strip.pour.is_none());
                rows(&lots, &of_make.map(|strip| (strip.day, strip.column)).collect::<Vec<_>>());
            }
            for tank in 0..problem.tanks.len() {
                let lots = in_tank(problem, make, tank);
                if let Some(lifts) = self.lifts.as_ref().filter(|_| !lots.is_empty()) {
                    let of_lots = lifts.iter().filter(|lift| lift.make == make && lift.from == Err(tank));
                    rows(&lots, &of_lots.map(|lift| (lift.day, lift.column)).collect::<Vec<_>>());
                }
            }
        }
    }

    /// soaked_{k,t} = soaked_{k,t−1} + Σ_{s : lift_from(s) = t} strip_{k,s} − lift_{k,t} ≥ 0   [panels]
    pub(super) fn soaking(&self, problem: &Problem, to: &mut Builder) {
        for (make, m) in problem.makes.iter().enumerate().filter(|(make, _)| live(problem, *make)) {
            let mut change = none(problem);
            for strip in self.strips.iter().filter(|strip| strip.make == make) {
                add(&mut change, problem.mixes[m.mix].lift_from[strip.day], 1.0, strip.column);
            }
            for lift in self.lifts.iter().flatten().filter(|lift| lift.make == make && lift.from.is_ok()) {
                add(&mut change, lift.day, -1.0, lift.column);
            }
            let mut before = Expression::default();
            for change in change {
                before = to.level("soaking", f64::INFINITY, before + change).into();
            }
        }
    }

    /// Panels of a kind that come ready on each day, those under way that no column stands for among them.
    pub(super) fn ready(&self, problem: &Problem, kind: usize) -> super::ByDay {
        let mut ready = none(problem);
        let of_kind = |make: MakeIx| problem.makes[make].kind == kind;
        ready.iter_mut().take(1).for_each(|first| *first += problem.kinds[kind].stock as f64);
        for lot in problem.lots.iter().filter(|lot| of_kind(lot.make)) {
            let known = match lot.at {
                At::Mould(_) => false,
                At::Tank(..) => self.lifts.is_none(),
                At::Rack(..) => true,
            };
            if let Some(ready) = ready.get_mut(problem.soonest(lot)).filter(|_| known) {
                *ready += lot.quantity as f64;
            }
        }
        match &self.lifts {
            Some(lifts) => lifts.iter().filter(|lift| of_kind(lift.make)).for_each(|lift| {
                add(&mut ready, problem.mix_of(lift.make).ready_from[lift.day], 1.0, lift.column);
            }),
            None => self.strips.iter().filter(|strip| of_kind(strip.make)).for_each(|strip| {
                let mix = problem.mix_of(strip.make);
                if let Some(day) = mix.ready_from.get(mix.lift_from[strip.day]) {
                    add(&mut ready, *day, 1.0, strip.column);
                }
            }),
        }
        ready
    }
}

/// Whether panels stripped on a day can be ready within the horizon.
fn in_time(problem: &Problem, make: MakeIx, strip: DayIx) -> bool {
    let mix = problem.mix_of(make);
    mix.ready_from.get(mix.lift_from[strip]).is_some_and(|ready| *ready < problem.len())
}

/// By day: the latest on which panels stripped then can have been poured.
fn latest_pours(problem: &Problem, make: MakeIx) -> Vec<Option<DayIx>> {
    let m = &problem.makes[make];
    let wanted = m.suits && problem.kinds[m.kind].ordered > 0;
    let pinned = |day: DayIx| problem.pins[day].iter().any(|pin| pin.0 == make);
    let mut latest = vec![None; problem.len()];
    for day in (0..problem.len()).filter(|day| (m.may_pour[*day] && wanted) || pinned(*day)) {
        latest.iter_mut().skip(m.strip_from[day]).for_each(|latest| *latest = Some(day));
    }
    latest
}

/// Lots in moulds by the day they are ripe.
fn in_moulds(problem: &Problem, make: MakeIx) -> Vec<(DayIx, i64)> {
    ripe(problem, |lot| match lot.at {
        At::Mould(day) if lot.make == make => Some(day),
        _ => None,
    })
}

/// Lots in a tank by the day they are ripe.
fn in_tank(problem: &Problem, make: MakeIx, tank: usize) -> Vec<(DayIx, i64)> {
    ripe(problem, |lot| match lot.at {
        At::Tank(there, day) if lot.make == make && there == tank => Some(day),
        _ => None,
    })
}

fn ripe(problem: &Problem, day: impl Fn(&Lot) -> Option<DayIx>) -> Vec<(DayIx, i64)> {
    let mut lots: Vec<(DayIx, i64)> = problem.lots.iter().filter_map(|lot| Some((day(lot)?, lot.quantity))).collect();
    lots.sort_unstable();
    lots
}
