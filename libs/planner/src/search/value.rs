//! What a walked diary is worth: who is given what is ready, and how late that is. Only kinds of which something else comes
//! ready, or whose lines have other keys, are given out anew.

use workshop::documents::plan::LateFigure;

use super::diary::{Diary, Lines};
use super::walk::{Step, Walker};
use crate::plan::Shelf;
use crate::problem::{DayIx, KindIx, Problem};

/// Lateness of a walked diary.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Late {
    /// Σ weight × days late of orders.
    pub orders: f64,
    /// Σ weight × panels × days late.
    pub panels: f64,
    /// Minor units that need not be paid to keep panels until the last day, because they were given before.
    pub kept_no_longer: f64,
}

/// Works the lateness out, and keeps what it needs from one time to the next.
#[derive(Debug)]
pub(super) struct Giver<'p> {
    problem: &'p Problem,
    lines: &'p Lines,
    /// Where panels count one by one: who is given what does not hang on keys then.
    shelf: Option<Shelf>,
    /// By kind and day (`kind * days + day`): panels that come ready.
    ready: Vec<i64>,
    /// Kinds to be given out anew.
    others: Vec<KindIx>,
    /// By line: the day it has all its panels.
    on: Vec<DayIx>,
    /// By order: day it is whole, and how late that is.
    pub whole: Vec<DayIx>,
    late: Vec<f64>,
    /// By kind: Σ weight × panels × days late, and minor units that need not be paid to keep panels.
    panels: Vec<(f64, f64)>,
    /// Whether nothing was given out yet.
    empty: bool,
    /// Orders of which a line comes on another day.
    moved: Vec<usize>,
    before: Before,
}

/// What the last giving out changed, to change it back.
#[derive(Debug, Default)]
struct Before {
    ready: Vec<(usize, i64)>,
    on: Vec<(usize, DayIx)>,
    whole: Vec<(usize, DayIx, f64)>,
    panels: Vec<(KindIx, (f64, f64))>,
}

impl<'p> Giver<'p> {
    pub fn new(problem: &'p Problem, lines: &'p Lines, figure: LateFigure) -> Self {
        let cells = problem.kinds.len() * problem.len();
        Giver {
            problem,
            lines,
            shelf: (figure == LateFigure::PanelDaysLate).then(|| Shelf::of(problem)),
            ready: vec![0; cells],
            others: Vec::new(),
            on: vec![0; lines.all.len()],
            whole: problem.orders.iter().map(|order| order.due_ix).collect(),
            late: problem.orders.iter().map(|order| late(problem, order, order.due_ix)).collect(),
            panels: vec![(0.0, 0.0); problem.kinds.len()],
            empty: true,
            moved: Vec::new(),
            before: Before::default(),
        }
    }

    /// What comes ready by kind and day in the days walked: `already`, and what is lifted. After the first time only where lifts are
    /// others than on the days as they are.
    fn gather(&mut self, walker: &Walker, already: &[Vec<i64>]) {
        let days = self.problem.len();
        if self.empty {
            for (kind, of_kind) in already.iter().enumerate() {
                self.ready[kind * days..(kind + 1) * days].copy_from_slice(of_kind);
            }
            (0..days).for_each(|day| self.lifted(&walker.day(day).lifts, 1));
            self.others.extend(0..already.len());
            return;
        }
        for day in walker.walked() {
            let (is, was) = (&walker.day(day).lifts, &walker.days[day].lifts);
            if is != was {
                self.lifted(was, -1);
                self.lifted(is, 1);
            }
        }
    }

    /// Adds or takes off what comes ready by lifts.
    fn lifted(&mut self, lifts: &[Step], sign: i64) {
        let days = self.problem.len();
        for step in lifts.iter().filter(|step| step.next < days) {
            let kind = self.problem.makes[step.make].kind;
            self.ready[kind * days + step.next] += sign * step.quantity;
            self.before.ready.push((kind * days + step.next, sign * step.quantity));
            self.others.push(kind);
        }
    }

    /// Gives panels of each kind to its lines in the sequence of their keys; `rekeyed` are the kinds whose lines have other keys than the
    /// last time. What was given before comes back with `refuse`.
    pub fn by_keys(
        &mut self,
        walker: &Walker,
        already: &[Vec<i64>],
        diary: &Diary,
        rekeyed: impl Iterator<Item = KindIx>,
    ) -> Late {
        self.accept();
        self.gather(walker, already);
        let mut others = std::mem::take(&mut self.others);
        others.extend(rekeyed);
        others.sort_unstable();
        others.dedup();
        others.drain(..).for_each(|kind| self.give(kind, diary));
        self.others = others;
        self.empty = false;
        self.settle();
        let sum = |of: fn(&(f64, f64)) -> f64| self.panels.iter().map(of).sum();
        Late { orders: self.late.iter().sum(), panels: sum(|of| of.0), kept_no_longer: sum(|of| of.1) }
    }

    fn give(&mut self, kind: KindIx, diary: &Diary) {
        let (problem, days, turn) = (self.problem, self.problem.len(), &diary.turns[kind]);
        let come = &self.ready[kind * days..(kind + 1) * days];
        let (mut day, mut there) = (0, come.first().copied().unwrap_or(0));
        let keeps = problem.panels[problem.kinds[kind].panel].keep_price > 0.0;
        let (mut panels, mut kept_no_longer) = (0.0, 0.0);
        for (line, upto) in turn.lines.iter().zip(&turn.upto) {
            while there < *upto && day + 1 < days {
                day += 1;
                there += come[day];
            }
            let (line, on) = (*line as usize, if there < *upto { days } else { day });
            let of = self.lines.all[line];
            let order = &problem.orders[of.order];
            panels += of.quantity as f64 * late(problem, order, on);
            if keeps {
                kept_no_longer += of.quantity as f64 * problem.kept_no_longer(order, kind, on);
            }
            if self.on[line] != on {
                self.before.on.push((line, self.on[line]));
                self.on[line] = on;
                self.moved.push(of.order);
            }
        }
        self.before.panels.push((kind, self.panels[kind]));
        let panels = self.shelf.as_ref().map_or(panels, |shelf| shelf.late(problem, kind, come));
        self.panels[kind] = (panels, kept_no_longer);
    }

    /// Works out anew when the orders are whole of which a line comes on another day.
    fn settle(&mut self) {
        for order in self.moved.drain(..) {
            let of_order = self.lines.first[order]..self.lines.first[order + 1];
            let o = &self.problem.orders[order];
            let whole = self.on[of_order].iter().copied().fold(o.due_ix, DayIx::max);
            if whole != self.whole[order] {
                self.before.whole.push((order, self.whole[order], self.late[order]));
                self.whole[order] = whole;
                self.late[order] = late(self.problem, o, whole);
            }
        }
    }

    /// What was given out last is how things are.
    pub fn accept(&mut self) {
        self.before.ready.clear();
        self.before.on.clear();
        self.before.whole.clear();
        self.before.panels.clear();
    }

    /// What was given out last is forgotten.
    pub fn refuse(&mut self) {
        self.before.ready.drain(..).for_each(|(cell, more)| self.ready[cell] -= more);
        self.before.on.drain(..).rev().for_each(|(line, on)| self.on[line] = on);
        self.before.panels.drain(..).rev().for_each(|(kind, panels)| self.panels[kind] = panels);
        for (order, whole, late) in self.before.whole.drain(..).rev() {
            (self.whole[order], self.late[order]) = (whole, late);
        }
    }
}

/// Weight × days late.
fn late(problem: &Problem, order: &crate::problem::Order, on: DayIx) -> f64 {
    order.weight * problem.days_late(order, on) as f64
}
