//! A plan document read back as a schedule.

use std::collections::BTreeMap;

use workshop::documents::Plan;

use crate::plan::{Lifted, Schedule, Stripped};
use crate::problem::{DayIx, Problem};

/// A plan in the problem's numbers.
#[derive(Clone, Debug)]
pub(crate) struct Read {
    /// What happens to panels.
    pub schedule: Schedule,
    /// By order: the day it is whole; past the horizon where it is not, or where the plan does not know it.
    pub ready: Vec<DayIx>,
    /// By order: what it is given, kind, day and panels, where it is not whole.
    pub part: Vec<Vec<(usize, DayIx, i64)>>,
}

/// Reads a plan made for these facts; rows that name what the facts do not know are left out, as the checker tells of them.
pub(crate) fn read_plan(problem: &Problem, plan: &Plan) -> Read {
    let names = Names::of(problem);
    let mut schedule = Schedule::empty(problem.len());
    for pour in &plan.pours {
        if let (Some(day), Some(make)) = (problem.calendar.index(pour.day), names.make(&pour.panel, &pour.mix)) {
            schedule.pours[day].push((make, pour.quantity));
        }
    }
    for strip in &plan.strips {
        if let (Some(day), Some(make)) = (problem.calendar.index(strip.day), names.make(&strip.panel, &strip.mix)) {
            let tank = names.room(&names.tanks, &strip.tank);
            schedule.strips[day].push(Stripped { make, tank, quantity: strip.quantity });
        }
    }
    for lift in &plan.lifts {
        if let (Some(day), Some(make)) = (problem.calendar.index(lift.day), names.make(&lift.panel, &lift.mix)) {
            let rack = if problem.mix_of(make).dry_free { None } else { names.room(&names.racks, &lift.rack) };
            let tank = names.room(&names.tanks, &lift.tank);
            schedule.lifts[day].push(Lifted { make, tank, rack, quantity: lift.quantity });
        }
    }
    let (ready, part) = orders(problem, plan, &names);
    Read { schedule, ready, part }
}

type Parts = Vec<Vec<(usize, DayIx, i64)>>;

fn orders(problem: &Problem, plan: &Plan, names: &Names) -> (Vec<DayIx>, Parts) {
    let (mut ready, mut part) = (vec![problem.len(); problem.orders.len()], vec![Vec::new(); problem.orders.len()]);
    for result in &plan.orders {
        let Ok(order) = problem.orders.binary_search_by(|order| order.id.cmp(&result.id)) else { continue };
        match result.ready_on.and_then(|day| problem.calendar.index(day)) {
            Some(day) => ready[order] = day,
            None => {
                let met = |met: &workshop::documents::plan::Met| {
                    let kind = *names.kinds.get(&(met.panel.as_str(), met.finish.as_str()))?;
                    Some((kind, problem.calendar.index(met.day)?, met.quantity))
                };
                part[order] = result.met.iter().filter_map(met).collect();
            }
        }
    }
    (ready, part)
}

struct Names<'p> {
    makes: BTreeMap<(&'p str, &'p str), usize>,
    kinds: BTreeMap<(&'p str, &'p str), usize>,
    tanks: BTreeMap<&'p str, usize>,
    racks: BTreeMap<&'p str, usize>,
}

impl<'p> Names<'p> {
    fn of(problem: &'p Problem) -> Self {
        let make = |ix: usize| ((problem.panel_of(ix).id.as_str(), problem.mix_of(ix).id.as_str()), ix);
        let kind = |(ix, kind): (usize, &'p crate::problem::Kind)| {
            ((problem.panels[kind.panel].id.as_str(), kind.finish_name.as_str()), ix)
        };
        let rooms =
            |rooms: &'p [crate::problem::Room]| rooms.iter().enumerate().map(|(ix, r)| (r.id.as_str(), ix)).collect();
        Names {
            makes: (0..problem.makes.len()).map(make).collect(),
            kinds: problem.kinds.iter().enumerate().map(kind).collect(),
            tanks: rooms(&problem.tanks),
            racks: rooms(&problem.racks),
        }
    }

    fn make(&self, panel: &str, mix: &str) -> Option<usize> {
        self.makes.get(&(panel, mix)).copied()
    }

    /// Where there is one, none named means that one.
    fn room(&self, rooms: &BTreeMap<&'p str, usize>, named: &Option<String>) -> Option<usize> {
        match named {
            Some(id) => rooms.get(id.as_str()).copied(),
            None if rooms.len() == 1 => Some(0),
            None => None,
        }
    }
}
