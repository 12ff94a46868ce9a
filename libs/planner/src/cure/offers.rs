//! Which changes are worth trying: a little more of whatever holds late orders back, first as much as they lack.

use chrono::NaiveDate as Day;
use workshop::documents::Facts;

use super::Change;
use crate::explain::{Binding, Held, gone, held, is_late};
use crate::problem::{KindIx, Problem};
use crate::spare::{Lack, Limit, Standing};

/// Most changes tried.
const MOST: usize = 24;
/// Most late orders looked into.
const MOST_ORDERS: usize = 40;
/// Overtime is worked in quarters of an hour.
const QUARTER: f64 = 15.0;
/// Longer days are tried by half an hour.
const HALF_HOUR: f64 = 30.0;

/// Changes to try, those that more of the late orders lack first.
pub(super) fn offers(facts: &Facts, standing: &Standing, go_on: impl Fn() -> bool) -> Vec<Change> {
    let problem = standing.problem;
    let mut late: Vec<usize> = (0..problem.orders.len()).filter(|order| is_late(standing, *order)).collect();
    let weighted = |order: &usize| problem.orders[*order].weight * standing.days_late(*order) as f64;
    late.sort_by(|a, b| weighted(b).total_cmp(&weighted(a)).then(a.cmp(b)));
    let mut found = Found::default();
    for order in late.iter().take(MOST_ORDERS) {
        if !go_on() {
            break;
        }
        if let Held::By(binding) = held(standing, *order) {
            bound(facts, standing, &binding, &mut found);
        }
    }
    for order in late.iter().take(MOST_ORDERS) {
        let by = standing.ready[*order].min(problem.len()).saturating_sub(1);
        standing.awaited(*order, by).into_iter().for_each(|kind| usual(problem, kind, &mut found));
    }
    // One that many lack comes first; the sort keeps the sequence in which they were found.
    found.0.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    found.0.into_iter().map(|(change, _)| change).take(MOST).collect()
}

/// Changes, and how often each was asked for.
#[derive(Default)]
struct Found(Vec<(Change, usize)>);

impl Found {
    fn add(&mut self, change: Change, weight: usize) {
        match self.0.iter_mut().find(|(known, _)| *known == change) {
            Some((_, count)) => *count += weight,
            None => self.0.push((change, weight)),
        }
    }
}

/// What an order lacks.
fn bound(facts: &Facts, standing: &Standing, binding: &Binding, found: &mut Found) {
    let problem = standing.problem;
    let after = gone(standing, &binding.pulled);
    for limit in &binding.limits {
        let lacks = after.lacks(*limit, &standing.spare);
        match limit {
            Limit::Moulds(group) => {
                let more = (lacks.iter().map(Lack::most).fold(0.0, f64::max).ceil() as i64).max(1);
                found.add(Change::Moulds { group: problem.groups[*group].id.clone(), more }, 2);
            }
            Limit::Tanks => lacks.iter().for_each(|lack| {
                found.add(Change::TankRow { tank: problem.tanks[lack.place].id.clone(), mm: lack.most().ceil() }, 2);
            }),
            Limit::Racks => lacks.iter().for_each(|lack| {
                found.add(Change::RackRow { rack: problem.racks[lack.place].id.clone(), mm: lack.most().ceil() }, 2);
            }),
            Limit::Labour => lacks.iter().for_each(|lack| overtime(problem, lack, found)),
            Limit::Mixer => found.add(Change::Batches { more: 1 }, 2),
            Limit::Material(ix) => lacks.iter().for_each(|lack| material(facts, problem, *ix, lack, found)),
            Limit::Cold | Limit::Pins => poured(problem, *limit, binding, found),
        }
    }
}

fn overtime(problem: &Problem, lack: &Lack, found: &mut Found) {
    if let [(day, minutes)] = lack.days[..] {
        let minutes = (minutes / QUARTER).ceil() * QUARTER;
        found.add(Change::Overtime { day: problem.calendar.day(day), minutes }, 2);
    }
    found.add(Change::Hours { minutes: HALF_HOUR }, 1);
}

fn material(facts: &Facts, problem: &Problem, ix: usize, lack: &Lack, found: &mut Found) {
    let (material, by) = (&problem.materials[ix], problem.calendar.day(lack.days[0].0));
    let packs = ((lack.most() / material.pack - 1e-9).ceil() as i64).max(1);
    found.add(Change::Packs { material: material.id.clone(), by, packs }, 2);
    let told = facts.materials.iter().find(|m| m.id == material.id);
    let later = told.iter().flat_map(|m| &m.expected).map(|expected| expected.day).filter(|day| *day > by);
    if let Some(from) = later.min() {
        found.add(Change::Sooner { material: material.id.clone(), from, to: by }, 2);
    }
}

/// Pours that the freed way has where they may not be.
fn poured(problem: &Problem, limit: Limit, binding: &Binding, found: &mut Found) {
    for trail in &binding.pulled.added {
        let Some(day) = trail.poured else { continue };
        let (make, mix) = (&problem.makes[trail.make], problem.mix_of(trail.make));
        if limit == Limit::Cold && !make.may_pour[day] {
            let cold = make.may_pour.iter().enumerate().filter(|(_, may)| !**may);
            let days: std::collections::BTreeSet<Day> = cold.map(|(day, _)| problem.calendar.day(day)).collect();
            found.add(Change::Warm { mix: mix.id.clone(), days }, 2);
        }
        if limit == Limit::Pins && problem.pins[day].iter().any(|pin| pin.0 == trail.make) {
            let panel = problem.panel_of(trail.make).id.clone();
            found.add(Change::Unpinned { day: problem.calendar.day(day), panel, mix: mix.id.clone() }, 2);
        }
    }
}

/// A little more of what every panel needs.
fn usual(problem: &Problem, kind: KindIx, found: &mut Found) {
    let kind = &problem.kinds[kind];
    let panel = &problem.panels[kind.panel];
    let any = |needs: &dyn Fn(&crate::problem::Mix) -> bool| kind.makes.iter().any(|make| needs(problem.mix_of(*make)));
    if kind.makes.is_empty() {
        return;
    }
    found.add(Change::Moulds { group: problem.groups[panel.group].id.clone(), more: 1 }, 1);
    if any(&|mix| !mix.soak_free) && panel.tank_mm > 0.0 {
        for tank in &panel.tanks {
            found.add(Change::TankRow { tank: problem.tanks[*tank].id.clone(), mm: panel.tank_mm }, 1);
        }
    }
    if any(&|mix| !mix.dry_free) && panel.rack_mm > 0.0 {
        for rack in &problem.racks {
            found.add(Change::RackRow { rack: rack.id.clone(), mm: panel.rack_mm }, 1);
        }
    }
    found.add(Change::Hours { minutes: HALF_HOUR }, 1);
    found.add(Change::Batches { more: 1 }, 1);
}
