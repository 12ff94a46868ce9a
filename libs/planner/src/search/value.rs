//! What a walked diary is worth: who is given what is ready, and how late that is.

use super::diary::{Diary, Lines};
use super::walk::Walker;
use crate::problem::{DayIx, Problem};

/// Lateness of a walked diary.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Late {
    /// Σ weight × days late of orders.
    pub orders: f64,
    /// Σ weight × panels × days late.
    pub panels: f64,
}

/// Works the lateness out; keeps what it needs from one time to the next.
#[derive(Debug)]
pub(super) struct Giver {
    /// By kind and day (`kind * days + day`): panels that come ready.
    ready: Vec<i64>,
    /// By order: day it is whole.
    pub whole: Vec<DayIx>,
}

impl Giver {
    pub fn new(problem: &Problem) -> Self {
        Giver { ready: vec![0; problem.kinds.len() * problem.len()], whole: vec![0; problem.orders.len()] }
    }

    /// What comes ready by kind and day in the days walked.
    fn gather(&mut self, walker: &Walker, ready: &[Vec<i64>]) {
        let problem = walker.problem;
        let days = problem.len();
        for (kind, of_kind) in ready.iter().enumerate() {
            self.ready[kind * days..(kind + 1) * days].copy_from_slice(of_kind);
        }
        for day in 0..days {
            for step in &walker.day(day).lifts {
                if step.next < days {
                    self.ready[problem.makes[step.make].kind * days + step.next] += step.quantity;
                }
            }
        }
    }

    /// Gives panels of each kind to its lines in the sequence of their keys.
    pub fn by_keys(&mut self, walker: &Walker, ready: &[Vec<i64>], lines: &Lines, diary: &Diary) -> Late {
        self.gather(walker, ready);
        let problem = walker.problem;
        let days = problem.len();
        for (whole, order) in self.whole.iter_mut().zip(&problem.orders) {
            *whole = order.due_ix;
        }
        let mut panels = 0.0;
        for (kind, turn) in diary.turns.iter().enumerate() {
            let come = &self.ready[kind * days..(kind + 1) * days];
            let (mut day, mut there) = (0, come.first().copied().unwrap_or(0));
            for (line, upto) in turn.lines.iter().zip(&turn.upto) {
                while there < *upto && day + 1 < days {
                    day += 1;
                    there += come[day];
                }
                let on = if there < *upto { days } else { day };
                let line = lines.all[*line as usize];
                let order = &problem.orders[line.order];
                panels += order.weight * (line.quantity * problem.days_late(order, on)) as f64;
                let whole = &mut self.whole[line.order];
                *whole = (*whole).max(on);
            }
        }
        let mut orders = 0.0;
        for (order, whole) in problem.orders.iter().zip(&self.whole) {
            orders += order.weight * problem.days_late(order, *whole) as f64;
        }
        Late { orders, panels }
    }
}
