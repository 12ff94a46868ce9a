//! Who is given what, tried in every way: part of the brute force.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use workshop::documents::facts::{Facts, Order};
use workshop::documents::plan::{LateFigure, Met, OrderResult};

/// By kind and day, one more for "not within the horizon": panels that come ready.
pub type Curves = Vec<Vec<u8>>;
/// What every order gets.
pub type Given = Vec<OrderResult>;

/// The least lateness with what comes ready, and who gets what for it.
pub fn best(facts: &Facts, days: &[Day], kinds: &[(&str, &str)], ready: &Curves, figure: LateFigure) -> (f64, Given) {
    let mut hand = Hand { facts, days, kinds, free: cumulated(ready, days.len()) };
    match figure {
        LateFigure::OrderDaysLate => {
            let (late, when) = hand.orders(0);
            let given = facts.orders.iter().zip(when).map(|(order, day)| hand.whole(order, day)).collect();
            (late, given)
        }
        LateFigure::PanelDaysLate => hand.panels(),
    }
}

fn cumulated(ready: &Curves, days: usize) -> Vec<Vec<i64>> {
    let cumulate = |of_kind: &Vec<u8>| {
        let mut sum = 0;
        let mut add = |count: &u8| {
            sum += i64::from(*count);
            sum
        };
        of_kind[..days].iter().map(&mut add).collect()
    };
    ready.iter().map(cumulate).collect()
}

struct Hand<'a> {
    facts: &'a Facts,
    days: &'a [Day],
    kinds: &'a [(&'a str, &'a str)],
    /// By kind and day: panels ready by then that nobody has been given.
    free: Vec<Vec<i64>>,
}

impl Hand<'_> {
    fn wanted(&self, order: &Order) -> BTreeMap<usize, i64> {
        let mut wanted = BTreeMap::new();
        for line in &order.lines {
            let kind = (line.panel.as_str(), line.finish.as_str());
            *wanted.entry(self.kinds.iter().position(|k| *k == kind).unwrap()).or_insert(0) += line.quantity;
        }
        wanted
    }

    fn late(&self, order: &Order, day: usize) -> f64 {
        let days = match self.days.get(day) {
            Some(day) => (*day - order.due_on).num_days(),
            None => (self.facts.last_day - order.due_on).num_days() + self.facts.policy.unmet_days,
        };
        order.weight * days.max(0) as f64
    }

    /// Takes panels from a day on; whether there were as many.
    fn take(&mut self, kind: usize, day: usize, count: i64) -> bool {
        self.free[kind][day..].iter_mut().for_each(|free| *free -= count);
        self.free[kind][day..].iter().all(|free| *free >= 0)
    }

    fn give_back(&mut self, kind: usize, day: usize, count: i64) {
        self.free[kind][day..].iter_mut().for_each(|free| *free += count);
    }

    /// Orders from `at` on: each on every day it can be whole, or never.
    fn orders(&mut self, at: usize) -> (f64, Vec<usize>) {
        let facts = self.facts;
        let Some(order) = facts.orders.get(at) else { return (0.0, Vec::new()) };
        let wanted = self.wanted(order);
        let mut least = (f64::INFINITY, Vec::new());
        for day in 0..=self.days.len() {
            let taken: Vec<(usize, i64)> =
                if day < self.days.len() { wanted.clone().into_iter().collect() } else { Vec::new() };
            let enough = taken.iter().fold(true, |enough, (kind, count)| self.take(*kind, day, *count) && enough);
            if enough {
                let (late, mut when) = self.orders(at + 1);
                if late + self.late(order, day) < least.0 {
                    when.insert(0, day);
                    least = (late + self.late(order, day), when);
                }
            }
            taken.iter().for_each(|(kind, count)| self.give_back(*kind, day, *count));
        }
        least
    }

    fn whole(&self, order: &Order, day: usize) -> OrderResult {
        let ready_on = self.days.get(day).copied();
        let met = |(kind, quantity): (usize, i64)| {
            let (panel, finish) = self.kinds[kind];
            ready_on.map(|day| Met { panel: panel.to_owned(), finish: finish.to_owned(), day, quantity })
        };
        OrderResult { id: order.id.clone(), ready_on, met: self.wanted(order).into_iter().filter_map(met).collect() }
    }

    /// Every panel wanted, kind by kind: on every day there is one for it, or never.
    fn panels(&mut self) -> (f64, Given) {
        let facts = self.facts;
        let (mut sum, mut met) = (0.0, vec![Vec::new(); facts.orders.len()]);
        for kind in 0..self.kinds.len() {
            let each = |(order, o): (usize, &Order)| {
                let count = self.wanted(o).get(&kind).copied().unwrap_or(0);
                std::iter::repeat_n(order, count as usize)
            };
            let units: Vec<usize> = facts.orders.iter().enumerate().flat_map(each).collect();
            let (late, when) = self.units(kind, &units, 0);
            sum += late;
            for (order, day) in units.into_iter().zip(when).filter(|(_, day)| *day < self.days.len()) {
                let (panel, finish) = self.kinds[kind];
                let (panel, finish) = (panel.to_owned(), finish.to_owned());
                met[order].push(Met { panel, finish, day: self.days[day], quantity: 1 });
            }
        }
        let result = |(order, met): (&Order, Vec<Met>)| {
            let whole = met.len() as i64 == order.lines.iter().map(|line| line.quantity).sum::<i64>();
            let last = met.iter().map(|met| met.day).max().filter(|_| whole);
            OrderResult { id: order.id.clone(), ready_on: last, met }
        };
        (sum, facts.orders.iter().zip(met).map(result).collect())
    }

    /// Units from the first of `units` on; those of one order are alike, so the later ones come no sooner.
    fn units(&mut self, kind: usize, units: &[usize], from: usize) -> (f64, Vec<usize>) {
        let Some((order, rest)) = units.split_first() else { return (0.0, Vec::new()) };
        let mut least = (f64::INFINITY, Vec::new());
        for day in from..=self.days.len() {
            if day == self.days.len() || self.take(kind, day, 1) {
                let next = if rest.first() == Some(order) { day } else { 0 };
                let (late, mut when) = self.units(kind, rest, next);
                let here = self.late(&self.facts.orders[*order], day);
                if late + here < least.0 {
                    when.insert(0, day);
                    least = (late + here, when);
                }
            }
            if day < self.days.len() {
                self.give_back(kind, day, 1);
            }
        }
        least
    }
}
