//! The ways panels go: poured, stripped into a tank, lifted onto a rack. Panels of one make are told apart by turn only, the
//! oldest first, as in the plan itself.

use crate::plan::{Lifted, Schedule, Stripped};
use crate::problem::{At, DayIx, MakeIx, Problem};

/// The way of some panels of one make, to the rack's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Trail {
    /// What.
    pub make: MakeIx,
    /// How many.
    pub quantity: i64,
    /// Day poured; none for lots.
    pub poured: Option<DayIx>,
    /// First day it may be stripped; 0 for what was in a tank.
    pub ripe: DayIx,
    /// Day stripped; none for what was in a tank at the start.
    pub stripped: Option<DayIx>,
    /// First day it may be lifted.
    pub soaked: DayIx,
    /// The tank it soaks in; none for what goes straight through.
    pub tank: Option<usize>,
    /// Day lifted.
    pub lifted: DayIx,
    /// The rack it dries on; none for what needs none.
    pub rack: Option<usize>,
}

impl Trail {
    /// The day it is ready.
    pub fn ready(&self, problem: &Problem) -> DayIx {
        problem.mix_of(self.make).ready_from[self.lifted]
    }
}

/// Every way in a schedule that ends on a rack, or ready, within the horizon.
pub(crate) fn trails(problem: &Problem, schedule: &Schedule) -> Vec<Trail> {
    (0..problem.makes.len()).flat_map(|make| of_make(problem, schedule, make)).collect()
}

/// Writes a way into a schedule.
pub(crate) fn add_trail(schedule: &mut Schedule, trail: &Trail, sign: i64) {
    let Trail { make, tank, rack, .. } = *trail;
    let quantity = sign * trail.quantity;
    if let Some(day) = trail.poured {
        schedule.pours[day].push((make, quantity));
    }
    if let Some(day) = trail.stripped {
        schedule.strips[day].push(Stripped { make, tank, quantity });
    }
    schedule.lifts[trail.lifted].push(Lifted { make, tank, rack, quantity });
}

/// Adds up rows alike and drops those that come to nothing.
pub(crate) fn settle(schedule: &mut Schedule) {
    schedule.pours.iter_mut().for_each(|rows| merge(rows, |row| row.0, |row| &mut row.1));
    schedule.strips.iter_mut().for_each(|rows| merge(rows, |row| (row.make, row.tank), |row| &mut row.quantity));
    schedule
        .lifts
        .iter_mut()
        .for_each(|rows| merge(rows, |row| (row.make, row.tank, row.rack), |row| &mut row.quantity));
}

fn merge<R: Ord + Copy, K: PartialEq>(rows: &mut Vec<R>, key: impl Fn(&R) -> K, quantity: impl Fn(&mut R) -> &mut i64) {
    rows.sort_unstable();
    rows.dedup_by(|later, first| {
        key(later) == key(first) && {
            *quantity(first) += *quantity(later);
            true
        }
    });
    rows.retain_mut(|row| *quantity(row) != 0);
}

/// Takes `quantity` off the oldest in a queue, in pieces.
fn take(queue: &mut Vec<Trail>, mut quantity: i64, mut go: impl FnMut(Trail)) {
    let mut gone = 0;
    for waiting in queue.iter_mut() {
        if quantity == 0 {
            break;
        }
        let taken = quantity.min(waiting.quantity);
        waiting.quantity -= taken;
        quantity -= taken;
        gone += usize::from(waiting.quantity == 0);
        go(Trail { quantity: taken, ..*waiting });
    }
    queue.drain(..gone);
}

fn of_make(problem: &Problem, schedule: &Schedule, make: MakeIx) -> Vec<Trail> {
    let (m, mix) = (&problem.makes[make], problem.mix_of(make));
    let blank = Trail {
        make,
        quantity: 0,
        poured: None,
        ripe: 0,
        stripped: None,
        soaked: 0,
        tank: None,
        lifted: 0,
        rack: None,
    };
    let mut in_mould = Vec::new();
    let mut in_tank: Vec<(Option<usize>, Vec<Trail>)> = Vec::new();
    for lot in problem.lots.iter().filter(|lot| lot.make == make) {
        let trail = Trail { quantity: lot.quantity, ..blank };
        match lot.at {
            At::Mould(day) => in_mould.push(Trail { ripe: day, ..trail }),
            At::Tank(tank, day) => {
                queue(&mut in_tank, Some(tank)).push(Trail { soaked: day, tank: Some(tank), ..trail })
            }
            At::Rack(..) => {}
        }
    }
    for (day, pours) in schedule.pours.iter().enumerate() {
        let quantity = pours.iter().filter(|pour| pour.0 == make).map(|pour| pour.1).sum();
        if quantity > 0 {
            in_mould.push(Trail { poured: Some(day), ripe: m.strip_from[day], quantity, ..blank });
        }
    }
    in_mould.sort_by_key(|trail| trail.ripe);
    for (day, strips) in schedule.strips.iter().enumerate() {
        for strip in strips.iter().filter(|strip| strip.make == make) {
            let queue = queue(&mut in_tank, strip.tank);
            let soaked = mix.lift_from[day];
            take(&mut in_mould, strip.quantity, |trail| {
                queue.push(Trail { stripped: Some(day), soaked, tank: strip.tank, ..trail });
            });
        }
    }
    in_tank.iter_mut().for_each(|(_, queue)| queue.sort_by_key(|trail| trail.soaked));
    let mut done = Vec::new();
    for (day, lifts) in schedule.lifts.iter().enumerate() {
        for lift in lifts.iter().filter(|lift| lift.make == make) {
            take(queue(&mut in_tank, lift.tank), lift.quantity, |trail| {
                done.push(Trail { lifted: day, rack: lift.rack, ..trail });
            });
        }
    }
    done
}

fn queue(queues: &mut Vec<(Option<usize>, Vec<Trail>)>, tank: Option<usize>) -> &mut Vec<Trail> {
    let at = queues.iter().position(|queue| queue.0 == tank).unwrap_or_else(|| {
        queues.push((tank, Vec::new()));
        queues.len() - 1
    });
    &mut queues[at].1
}
