//! The way each panel went: when it was poured, could be stripped, was, could be lifted, was. Panels of one make are told
//! apart by turn only, the oldest first, as in the plan itself.

use crate::plan::Schedule;
use crate::problem::{At, DayIx, KindIx, MakeIx, Problem};

/// The way of some panels of one make.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Trail {
    pub make: MakeIx,
    /// Day poured; none for lots.
    pub poured: Option<DayIx>,
    pub may_strip: DayIx,
    pub stripped: DayIx,
    pub may_lift: DayIx,
    pub lifted: DayIx,
    quantity: i64,
}

/// The ways of all panels lifted.
pub(super) struct Trails {
    /// By make, in the sequence lifted.
    by_make: Vec<Vec<Trail>>,
}

/// Splits the panels that come by turn among the events that take them, oldest first.
fn in_turn(mut comes: Vec<Trail>, events: Vec<(DayIx, i64)>, mut set: impl FnMut(&mut Trail, DayIx)) -> Vec<Trail> {
    let (mut gone, mut at) = (Vec::new(), 0);
    for (day, mut quantity) in events {
        while quantity > 0 && at < comes.len() {
            let taken = quantity.min(comes[at].quantity);
            let mut trail = Trail { quantity: taken, ..comes[at] };
            set(&mut trail, day);
            gone.push(trail);
            quantity -= taken;
            comes[at].quantity -= taken;
            at += usize::from(comes[at].quantity == 0);
        }
    }
    gone
}

impl Trails {
    pub fn of(problem: &Problem, schedule: &Schedule) -> Self {
        let by_make = (0..problem.makes.len()).map(|make| Self::of_make(problem, schedule, make)).collect();
        Trails { by_make }
    }

    fn of_make(problem: &Problem, schedule: &Schedule, make: MakeIx) -> Vec<Trail> {
        let (m, mix) = (&problem.makes[make], problem.mix_of(make));
        let blank = Trail { make, poured: None, may_strip: 0, stripped: 0, may_lift: 0, lifted: 0, quantity: 0 };
        let (mut in_moulds, mut in_tanks) = (Vec::new(), Vec::new());
        for lot in problem.lots.iter().filter(|lot| lot.make == make) {
            let trail = Trail { quantity: lot.quantity, ..blank };
            match lot.at {
                At::Mould(day) => in_moulds.push(Trail { may_strip: day, ..trail }),
                At::Tank(_, day) => in_tanks.push(Trail { may_lift: day, ..trail }),
                At::Rack(..) => {}
            }
        }
        for (day, pours) in schedule.pours.iter().enumerate() {
            let quantity = pours.iter().filter(|pour| pour.0 == make).map(|pour| pour.1).sum();
            in_moulds.push(Trail { poured: Some(day), may_strip: m.strip_from[day], quantity, ..blank });
        }
        in_moulds.retain(|trail| trail.quantity > 0);
        in_moulds.sort_by_key(|trail| trail.may_strip);
        let days = |of: &dyn Fn(DayIx) -> i64| (0..problem.len()).map(|day| (day, of(day))).collect::<Vec<_>>();
        let strips = days(&|day| schedule.strips[day].iter().filter(|s| s.make == make).map(|s| s.quantity).sum());
        let lifts = days(&|day| schedule.lifts[day].iter().filter(|l| l.make == make).map(|l| l.quantity).sum());
        let stripped = in_turn(in_moulds, strips, |trail, day| {
            (trail.stripped, trail.may_lift) = (day, mix.lift_from[day]);
        });
        in_tanks.extend(stripped);
        in_tanks.sort_by_key(|trail| trail.may_lift);
        in_turn(in_tanks, lifts, |trail, day| trail.lifted = day)
    }

    /// The panels of a kind that came ready last, not after a day.
    pub fn last_ready(&self, problem: &Problem, kind: KindIx, day: DayIx) -> Option<Trail> {
        let ready = |trail: &Trail| problem.mix_of(trail.make).ready_from[trail.lifted];
        let of_kind = self.by_make.iter().flatten().filter(|trail| problem.makes[trail.make].kind == kind);
        let in_time = of_kind.filter(|trail| day < problem.len() && ready(trail) <= day);
        in_time.max_by_key(|trail| (ready(trail), trail.lifted)).copied()
    }
}
