//! What the planner was told otherwise from one run to the next.

mod made;
mod supplies;
mod worked;

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;
use workshop::documents::facts::Order;
use workshop::documents::{Facts, Plan};

use super::because::{Because, FactChange};

/// A change, and what it touches.
#[derive(Clone, Debug)]
pub(super) struct Told {
    pub change: FactChange,
    /// Panels and finishes.
    pub kinds: BTreeSet<(String, String)>,
    /// Days; none where it is about all of them.
    pub days: BTreeSet<Day>,
}

/// What changed, but for the days that went by: those before the new first day are compared with what was planned for them.
pub(super) fn changes(old: &Facts, plan: &Plan, new: &Facts) -> Vec<Told> {
    let mut all = List { old, plan, new, told: Vec::new() };
    all.orders();
    all.actuals();
    all.stock();
    all.deliveries();
    all.supply();
    all.days();
    all.places();
    all.recipes();
    all.pins();
    all.policy();
    all.told
}

struct List<'a> {
    old: &'a Facts,
    plan: &'a Plan,
    new: &'a Facts,
    told: Vec<Told>,
}

/// Rows of both, by key.
fn both<'a, T>(old: &'a [T], new: &'a [T], key: impl Fn(&T) -> &String) -> Vec<(Option<&'a T>, Option<&'a T>)> {
    let mut rows: BTreeMap<String, (Option<&'a T>, Option<&'a T>)> = BTreeMap::new();
    old.iter().for_each(|row| rows.entry(key(row).clone()).or_default().0 = Some(row));
    new.iter().for_each(|row| rows.entry(key(row).clone()).or_default().1 = Some(row));
    rows.into_values().collect()
}

fn wanted(order: &Order) -> BTreeMap<(String, String), i64> {
    let mut lines = BTreeMap::new();
    for line in &order.lines {
        *lines.entry((line.panel.clone(), line.finish.clone())).or_insert(0) += line.quantity;
    }
    lines
}

impl List<'_> {
    fn add(&mut self, because: Because, subject: &str, sentence: String) -> &mut Told {
        let change = FactChange { because, subject: subject.to_owned(), sentence };
        self.told.push(Told { change, kinds: BTreeSet::new(), days: BTreeSet::new() });
        self.told.last_mut().expect("just pushed")
    }

    /// First day on which both plans have a say.
    fn first(&self) -> Day {
        self.new.first_day.max(self.old.first_day)
    }

    fn orders(&mut self) {
        for (was, is) in both(&self.old.orders, &self.new.orders, |order| &order.id) {
            let kinds = |order: &Order| wanted(order).into_keys().collect();
            match (was, is) {
                (None, Some(is)) => {
                    self.add(Because::OrderNew, &is.id, format!("order \"{}\" is new", is.id)).kinds = kinds(is);
                }
                (Some(was), None) => {
                    let sentence = format!("order \"{}\" is no longer open", was.id);
                    self.add(Because::OrderGone, &was.id, sentence).kinds = kinds(was);
                }
                (Some(was), Some(is)) => self.order(was, is),
                (None, None) => {}
            }
        }
    }

    fn order(&mut self, was: &Order, is: &Order) {
        if was.due_on != is.due_on {
            let sentence = format!("order \"{}\" is wanted on {} instead of {}", is.id, is.due_on, was.due_on);
            self.add(Because::DueMoved, &is.id, sentence).kinds = wanted(is).into_keys().collect();
        }
        let (before, after) = (wanted(was), wanted(is));
        if before != after {
            let sentence = format!("order \"{}\" wants other panels", is.id);
            let kinds = before.into_keys().chain(after.into_keys()).collect();
            self.add(Because::OrderChanged, &is.id, sentence).kinds = kinds;
        }
        if was.weight != is.weight {
            let sentence = format!("order \"{}\" weighs {} instead of {}", is.id, is.weight, was.weight);
            self.add(Because::OrderChanged, &is.id, sentence).kinds = wanted(is).into_keys().collect();
        }
    }

    /// Panels there otherwise than planned; those that left with orders are no surprise.
    fn actuals(&mut self) {
        let (expected, there) = (self.expected_panels(), panels(self.new));
        let mut left: BTreeMap<(String, String), i64> = BTreeMap::new();
        let add = |order: &Order, sign: i64, left: &mut BTreeMap<_, i64>| {
            wanted(order).into_iter().for_each(|(kind, quantity)| *left.entry(kind).or_default() += sign * quantity);
        };
        self.old.orders.iter().for_each(|order| add(order, 1, &mut left));
        let still = |order: &&Order| self.old.orders.iter().any(|old| old.id == order.id);
        self.new.orders.iter().filter(still).for_each(|order| add(order, -1, &mut left));
        let kinds: BTreeSet<(String, String)> = expected.keys().chain(there.keys()).cloned().collect();
        for kind in kinds {
            let count = |of: &BTreeMap<_, i64>| of.get(&kind).copied().unwrap_or(0);
            let more = count(&there) - count(&expected);
            let sent = count(&left).max(0);
            let surprise = if more < 0 { (more + sent).min(0) } else { more };
            if surprise != 0 {
                let (panel, finish) = &kind;
                let than = if surprise > 0 { "more" } else { "fewer" };
                let count = surprise.abs();
                let (noun, are) = if count == 1 { ("panel", "is") } else { ("panels", "are") };
                let sentence = format!("{count} {noun} \"{panel}\" in \"{finish}\" {than} than planned {are} there");
                self.add(Because::Actuals, panel, sentence).kinds = BTreeSet::from([kind.clone()]);
            }
        }
    }

    /// Panels that should be there by the new first day.
    fn expected_panels(&self) -> BTreeMap<(String, String), i64> {
        let mut expected = panels(self.old);
        for pour in self.plan.pours.iter().filter(|pour| pour.day < self.new.first_day) {
            if let Some(mix) = self.old.mixes.iter().find(|mix| mix.id == pour.mix) {
                *expected.entry((pour.panel.clone(), mix.finish.clone())).or_default() += pour.quantity;
            }
        }
        expected
    }
}

/// Ready, and on the way.
fn panels(facts: &Facts) -> BTreeMap<(String, String), i64> {
    let mut panels: BTreeMap<(String, String), i64> = BTreeMap::new();
    for stock in &facts.ready_stock {
        *panels.entry((stock.panel.clone(), stock.finish.clone())).or_default() += stock.quantity;
    }
    for lot in &facts.lots {
        if let Some(mix) = facts.mixes.iter().find(|mix| mix.id == lot.mix) {
            *panels.entry((lot.panel.clone(), mix.finish.clone())).or_default() += lot.quantity;
        }
    }
    panels
}
