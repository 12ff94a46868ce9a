//! Who is given what is ready where panels count one by one. Two ways to share out, of which the better is taken kind by
//! kind: each day the heaviest orders first; or for all days the heaviest orders first, each panel kept from the latest that come in time, so
//! that what comes sooner stays free for lighter ones. Panels of equal weight go by due day, which is best for them: the
//! days late of a panel, max(0, day − due), are a Monge array (Hoffman, On simple linear programming problems, 1963).

use crate::problem::{DayIx, KindIx, Problem};

/// The lines of one weight, by due day.
#[derive(Clone, Debug)]
struct Class {
    weight: f64,
    lines: Vec<Line>,
}

#[derive(Clone, Copy, Debug)]
struct Line {
    order: usize,
    due_ix: DayIx,
    quantity: i64,
}

/// Panels given: order, day, how many.
pub(crate) type Given = (usize, DayIx, i64);

/// The lines of all orders by kind and weight.
#[derive(Clone, Debug)]
pub(crate) struct Shelf {
    /// By kind: the heaviest first.
    kinds: Vec<Vec<Class>>,
}

impl Shelf {
    pub fn of(problem: &Problem) -> Self {
        let mut kinds: Vec<Vec<Class>> = vec![Vec::new(); problem.kinds.len()];
        for (ix, order) in problem.orders.iter().enumerate() {
            for (kind, quantity) in &order.lines {
                let classes = &mut kinds[*kind];
                let line = Line { order: ix, due_ix: order.due_ix, quantity: *quantity };
                match classes.iter_mut().find(|class| class.weight == order.weight) {
                    Some(class) => class.lines.push(line),
                    None => classes.push(Class { weight: order.weight, lines: vec![line] }),
                }
            }
        }
        for classes in &mut kinds {
            classes.sort_by(|a, b| b.weight.total_cmp(&a.weight));
            let by_due = |line: &Line| (problem.orders[line.order].due, line.order);
            classes.iter_mut().for_each(|class| class.lines.sort_by_key(by_due));
        }
        Shelf { kinds }
    }

    /// Σ weight × panels × days late of a kind's lines, panels coming ready by day as `come` says.
    pub fn late(&self, problem: &Problem, kind: KindIx, come: &[i64]) -> f64 {
        let one = self.worth(problem, kind, |give| self.by_day(kind, come, give));
        // With one weight there is nothing to choose.
        if one == 0.0 || self.kinds[kind].len() < 2 {
            return one;
        }
        one.min(self.worth(problem, kind, |give| self.by_weight(kind, come, give)))
    }

    /// Shares a kind out in the better way; `also` is another way to compare with.
    pub fn share(&self, problem: &Problem, kind: KindIx, come: &[i64], also: Vec<Given>) -> Vec<Given> {
        let (mut one, mut other) = (Vec::new(), Vec::new());
        self.by_day(kind, come, |order, day, quantity| one.push((order, day, quantity)));
        self.by_weight(kind, come, |order, day, quantity| other.push((order, day, quantity)));
        let late = |given: &Vec<Given>| {
            self.worth(problem, kind, |give| {
                given.iter().for_each(|(order, day, quantity)| give(*order, *day, *quantity))
            })
        };
        let ways = [one, other, also];
        let better = |a: &Vec<Given>, b: &Vec<Given>| late(a).total_cmp(&late(b));
        ways.into_iter().min_by(better).unwrap_or_default()
    }

    /// Lateness of what `way` gives and of what it leaves.
    fn worth(&self, problem: &Problem, kind: KindIx, way: impl FnOnce(&mut dyn FnMut(usize, DayIx, i64))) -> f64 {
        let never = problem.len();
        let unmet = |class: &Class| {
            let each = |line: &Line| (line.quantity * problem.days_late(&problem.orders[line.order], never)) as f64;
            class.weight * class.lines.iter().map(each).sum::<f64>()
        };
        let mut sum: f64 = self.kinds[kind].iter().map(unmet).sum();
        way(&mut |order, day, quantity| {
            let order = &problem.orders[order];
            let saved = problem.days_late(order, never) - problem.days_late(order, day);
            sum -= order.weight * (quantity * saved) as f64;
        });
        sum
    }

    /// Every day the heaviest lines that are due first.
    fn by_day(&self, kind: KindIx, come: &[i64], mut give: impl FnMut(usize, DayIx, i64)) {
        let classes = &self.kinds[kind];
        let mut turns = vec![Turn::default(); classes.len()];
        let mut there = 0;
        for (day, come) in come.iter().enumerate() {
            there += come;
            for (class, turn) in classes.iter().zip(&mut turns) {
                while there > 0
                    && let Some((order, most)) = turn.next(class, day)
                {
                    let quantity = most.min(there);
                    give(order, day, quantity);
                    turn.take(class, quantity);
                    there -= quantity;
                }
            }
        }
    }

    /// The heaviest lines first, for all days; the latest panels there are.
    fn by_weight(&self, kind: KindIx, come: &[i64], mut give: impl FnMut(usize, DayIx, i64)) {
        let mut come = come.to_vec();
        let mut stack: Vec<DayIx> = Vec::new();
        for class in &self.kinds[kind] {
            let mut turn = Turn::default();
            stack.clear();
            for day in 0..come.len() {
                if come[day] > 0 {
                    stack.push(day);
                }
                while let Some(latest) = stack.last().copied()
                    && let Some((order, most)) = turn.next(class, day)
                {
                    let quantity = most.min(come[latest]);
                    give(order, day, quantity);
                    turn.take(class, quantity);
                    come[latest] -= quantity;
                    if come[latest] == 0 {
                        stack.pop();
                    }
                }
            }
        }
    }
}

/// How far the lines of a class have been given theirs.
#[derive(Clone, Copy, Debug, Default)]
struct Turn {
    line: usize,
    given: i64,
}

impl Turn {
    /// The line whose turn it is on a day, if it is due, and the panels it still wants.
    fn next(&self, class: &Class, day: DayIx) -> Option<(usize, i64)> {
        let line = class.lines.get(self.line).filter(|line| line.due_ix <= day)?;
        Some((line.order, line.quantity - self.given))
    }

    fn take(&mut self, class: &Class, quantity: i64) {
        self.given += quantity;
        if self.given == class.lines[self.line].quantity {
            *self = Turn { line: self.line + 1, given: 0 };
        }
    }
}

/// Panels that come on each day, from those there by each day.
pub(crate) fn coming(there_by: &[i64]) -> Vec<i64> {
    let before = std::iter::once(0).chain(there_by.iter().copied());
    there_by.iter().zip(before).map(|(there, before)| there - before).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::problem::validate;

    fn problem() -> Problem {
        let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/outside/bench/small-0.json");
        let text = std::fs::read_to_string(file).unwrap();
        validate(&feeds::documents::read_facts(&text).unwrap()).unwrap()
    }

    proptest! {
        #[test]
        fn what_is_shared_out_is_there_and_due_and_as_late_as_said(seed in prop::collection::vec(0_i64..9, 1..60)) {
            let problem = problem();
            let shelf = Shelf::of(&problem);
            for kind in (0..problem.kinds.len()).filter(|kind| problem.kinds[*kind].ordered > 0) {
                let come: Vec<i64> = (0..problem.len()).map(|day| seed[(day * 7 + kind) % seed.len()] / 3).collect();
                let given = shelf.share(&problem, kind, &come, Vec::new());
                let mut wanted = std::collections::BTreeMap::new();
                for (ix, order) in problem.orders.iter().enumerate() {
                    for line in order.lines.iter().filter(|line| line.0 == kind) {
                        wanted.insert(ix, line.1);
                    }
                }
                let late = |order: usize, day| {
                    let order = &problem.orders[order];
                    order.weight * problem.days_late(order, day) as f64
                };
                let mut by_hand: f64 = wanted.iter().map(|(order, left)| *left as f64 * late(*order, problem.len())).sum();
                let mut left = come.clone();
                (1..left.len()).for_each(|day| left[day] += left[day - 1]);
                for (order, day, quantity) in &given {
                    prop_assert!(problem.orders[*order].due_ix <= *day, "nobody is given a panel before it is due");
                    *wanted.get_mut(order).unwrap() -= quantity;
                    left[*day..].iter_mut().for_each(|there| *there -= quantity);
                    by_hand -= *quantity as f64 * (late(*order, problem.len()) - late(*order, *day));
                }
                prop_assert!(wanted.values().all(|left| *left >= 0), "no line is given more than it asks for");
                prop_assert!(left.iter().all(|there| *there >= 0), "no panel is given before it is there: {left:?}");
                prop_assert!((shelf.late(&problem, kind, &come) - by_hand).abs() < 1e-6);
            }
        }
    }
}
