//! The columns that decide: pours, strips, lifts, batches, and when claims are met. Levels are added by the row families.

use good_lp::{Expression, Variable};
use workshop::documents::plan::LateFigure;

use super::keys::{Claim, LiftKey, StripKey, claims, lift_keys, live, pours, strip_keys};
use super::{Aim, Builder};
use crate::problem::{DayIx, KindIx, MakeIx, Problem};

/// The columns of a model.
pub(crate) struct Variables {
    /// By make and day: panels poured, none where they cannot be.
    pub pour: Vec<Vec<Option<Variable>>>,
    /// By place to strip to: panels on each day.
    pub strip: Vec<(StripKey, Vec<Variable>)>,
    /// By place to lift from and to: panels on each day.
    pub lift: Vec<(LiftKey, Vec<Variable>)>,
    /// By mix and day: litres mixed, batches, and whether there is any.
    pub mix: Vec<Vec<Mixing>>,
    /// By claim: whether it is met by each day from its first.
    pub met: Vec<(Claim, Vec<Variable>)>,
}

/// A mix on a day.
#[derive(Clone, Copy)]
pub(crate) struct Mixing {
    pub litres: Variable,
    pub batches: Variable,
    pub open: Variable,
}

impl Variables {
    pub fn new(problem: &Problem, figure: LateFigure, aim: Aim, to: &mut Builder) -> Self {
        let makes: Vec<MakeIx> = (0..problem.makes.len()).filter(|make| live(problem, *make)).collect();
        let mut series = |most: f64| (0..problem.len()).map(|_| to.column(0.0, most, true)).collect::<Vec<_>>();
        let most = |make: MakeIx| most_at_once(problem, make) as f64;
        let strips = makes.iter().flat_map(|make| strip_keys(problem, *make));
        let strip = strips.map(|key| (key, series(most(key.make)))).collect();
        let lifts = makes.iter().flat_map(|make| lift_keys(problem, *make).into_iter().flatten());
        let lift = lifts.map(|key| (key, series(1e4))).collect();
        Variables {
            pour: (0..problem.makes.len()).map(|make| pour(problem, make, aim, to)).collect(),
            strip,
            lift,
            mix: problem.mixes.iter().map(|mix| mixing(problem, mix, to)).collect(),
            met: claims(problem, figure).into_iter().map(|claim| met(problem, claim, to)).collect(),
        }
    }

    /// Panels poured of a make on a day.
    pub fn poured(&self, make: MakeIx, day: DayIx) -> Expression {
        self.pour[make][day].map_or_else(Expression::default, Expression::from)
    }

    /// Σ over makes of `each` × panels poured on a day.
    pub fn sum_poured(&self, day: DayIx, each: impl Fn(MakeIx) -> f64) -> Expression {
        let mut sum = Expression::default();
        for (make, pours) in self.pour.iter().enumerate() {
            if let Some(pour) = pours[day]
                && each(make) != 0.0
            {
                sum.add_mul(each(make), pour);
            }
        }
        sum
    }

    /// Σ over strips of `each` × panels stripped on a day.
    pub fn sum_stripped(&self, day: DayIx, each: impl Fn(&StripKey) -> f64) -> Expression {
        let mut sum = Expression::default();
        for (key, days) in self.strip.iter().filter(|(key, _)| each(key) != 0.0) {
            sum.add_mul(each(key), days[day]);
        }
        sum
    }

    /// Σ over lifts of `each` × panels lifted on a day.
    pub fn sum_lifted(&self, day: DayIx, each: impl Fn(&LiftKey) -> f64) -> Expression {
        let mut sum = Expression::default();
        for (key, days) in self.lift.iter().filter(|(key, _)| each(key) != 0.0) {
            sum.add_mul(each(key), days[day]);
        }
        sum
    }

    /// Panels of a kind that become ready on each day by lifts.
    pub fn ready(&self, problem: &Problem, kind: KindIx) -> Vec<Expression> {
        let mut ready = vec![Expression::default(); problem.len()];
        for (key, days) in self.lift.iter().filter(|(key, _)| problem.makes[key.make].kind == kind) {
            for (day, lift) in days.iter().enumerate() {
                if let Some(ready) = ready.get_mut(problem.mix_of(key.make).ready_from[day]) {
                    ready.add_mul(1.0, *lift);
                }
            }
        }
        ready
    }
}

/// Most panels of a make that can be in moulds at once.
fn most_at_once(problem: &Problem, make: MakeIx) -> i64 {
    let group = problem.panel_of(make).group;
    let in_mould = |lot: &&crate::problem::Lot| matches!(lot.at, crate::problem::At::Mould(_));
    let lots: i64 = problem.lots.iter().filter(in_mould).map(|lot| lot.quantity).sum();
    problem.groups[group].moulds + lots
}

/// Panels that cannot be ready within the horizon make nobody less late; poured they are not put off, which counts for the price.
fn pour(problem: &Problem, make: MakeIx, aim: Aim, to: &mut Builder) -> Vec<Option<Variable>> {
    let m = &problem.makes[make];
    let service = &problem.groups[problem.panel_of(make).group].in_service;
    let column = |day: DayIx| {
        if let Some((_, pinned)) = problem.pins[day].iter().find(|pin| pin.0 == make) {
            return Some(to.column(*pinned as f64, *pinned as f64, true));
        }
        let useful = (m.ready_soonest[day] < problem.len() || aim != Aim::Late) && m.may_pour[day];
        let most = service[day].min(problem.kinds[m.kind].ordered);
        (useful && most > 0 && pours(problem, make)).then(|| to.column(0.0, most as f64, true))
    };
    (0..problem.len()).map(column).collect()
}

fn mixing(problem: &Problem, mix: &crate::problem::Mix, to: &mut Builder) -> Vec<Mixing> {
    let most = problem.mixer_batches as f64;
    let day = |_| Mixing {
        litres: to.column(0.0, most * mix.batch_max, false),
        batches: to.column(0.0, most, true),
        open: to.column(0.0, 1.0, true),
    };
    (0..problem.len()).map(day).collect()
}

fn met(problem: &Problem, claim: Claim, to: &mut Builder) -> (Claim, Vec<Variable>) {
    let days = (claim.from..problem.len()).map(|_| to.column(0.0, 1.0, claim.whole)).collect();
    (claim, days)
}
