//! What happens to panels, by working day: the part of a plan that every way has to decide.

use crate::problem::{At, DayIx, MakeIx, Problem};

/// Panels of one make stripped on a day into one tank, or straight through where that is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stripped {
    /// What.
    pub make: MakeIx,
    /// Where to.
    pub tank: Option<usize>,
    /// How many.
    pub quantity: i64,
}

/// Panels of one make lifted on a day out of one tank, onto one rack unless they need none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lifted {
    /// What.
    pub make: MakeIx,
    /// Where from.
    pub tank: Option<usize>,
    /// Where to.
    pub rack: Option<usize>,
    /// How many.
    pub quantity: i64,
}

/// Pours, strips and lifts by working day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Schedule {
    /// Make and panels poured.
    pub pours: Vec<Vec<(MakeIx, i64)>>,
    /// Panels stripped.
    pub strips: Vec<Vec<Stripped>>,
    /// Panels lifted.
    pub lifts: Vec<Vec<Lifted>>,
}

impl Schedule {
    /// Nothing happens on any of so many days.
    pub fn empty(days: usize) -> Self {
        Schedule { pours: vec![Vec::new(); days], strips: vec![Vec::new(); days], lifts: vec![Vec::new(); days] }
    }

    /// Forgets everything, keeps the room for it.
    pub fn clear(&mut self) {
        self.pours.iter_mut().for_each(Vec::clear);
        self.strips.iter_mut().for_each(Vec::clear);
        self.lifts.iter_mut().for_each(Vec::clear);
    }

    /// Litres poured of each mix on a day.
    pub fn litres(&self, problem: &Problem, day: DayIx) -> Vec<f64> {
        let mut litres = vec![0.0; problem.mixes.len()];
        for (make, quantity) in &self.pours[day] {
            litres[problem.makes[*make].mix] += *quantity as f64 * problem.panel_of(*make).litres;
        }
        litres
    }

    /// Panels that can be given by each day, by kind: stock, lots and lifts.
    pub fn supply(&self, problem: &Problem) -> Vec<Vec<i64>> {
        let days = problem.len();
        let mut supply = vec![vec![0; days]; problem.kinds.len()];
        let mut come = |kind: usize, day: DayIx, quantity: i64| {
            if let Some(level) = supply[kind].get_mut(day) {
                *level += quantity;
            }
        };
        problem.kinds.iter().enumerate().for_each(|(kind, k)| come(kind, 0, k.stock));
        for lot in &problem.lots {
            if let At::Rack(_, day) = lot.at {
                come(problem.makes[lot.make].kind, day, lot.quantity);
            }
        }
        for (day, lifts) in self.lifts.iter().enumerate() {
            for lift in lifts {
                let make = &problem.makes[lift.make];
                come(make.kind, problem.mixes[make.mix].ready_from[day], lift.quantity);
            }
        }
        for of_kind in &mut supply {
            (1..days).for_each(|day| of_kind[day] += of_kind[day - 1]);
        }
        supply
    }
}
