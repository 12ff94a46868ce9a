//! Rules 7 and 8: what orders are given is ready and ordered, and orders are ready on the day the plan says.

use std::collections::{BTreeMap, BTreeSet};

use workshop::documents::facts::Order;
use workshop::documents::plan::OrderResult;

use super::passage::Arrivals;
use super::sheet::{Count, Sheet};
use super::{Broken, Rule, tell};

/// The two figures of lateness.
#[derive(Default)]
pub(super) struct Late {
    pub order_days: f64,
    pub panel_days: f64,
}

/// Panels given by panel and finish, by day.
type Given<'a> = BTreeMap<(&'a str, &'a str), Vec<Count>>;

pub(super) fn check(sheet: &Sheet, arrivals: &Arrivals, broken: &mut Vec<Broken>) -> Late {
    let mut results: BTreeMap<&str, &OrderResult> = BTreeMap::new();
    let known: BTreeSet<&str> = sheet.facts.orders.iter().map(|order| order.id.as_str()).collect();
    for result in &sheet.plan.orders {
        if !known.contains(result.id.as_str()) {
            tell(broken, Rule::Orders, format!("order \"{}\"", result.id), "the facts know no such order");
        }
        if results.insert(&result.id, result).is_some() {
            tell(broken, Rule::Orders, format!("order \"{}\"", result.id), "it is twice in the plan");
        }
    }
    let (mut late, mut given) = (Late::default(), Given::new());
    for order in &sheet.facts.orders {
        match results.get(order.id.as_str()) {
            Some(result) => of_order(sheet, order, result, &mut late, &mut given, broken),
            None => {
                let nothing = OrderResult { id: order.id.clone(), ready_on: None, met: Vec::new() };
                tell(broken, Rule::Orders, format!("order \"{}\"", order.id), "it is not in the plan");
                of_order(sheet, order, &nothing, &mut late, &mut Given::new(), broken);
            }
        }
    }
    for (key, given) in &given {
        let (mut sum, mut ready): (Count, Count) = (0, 0);
        for (day, date) in sheet.days.iter().enumerate() {
            sum += given[day];
            ready += arrivals.get(key).map_or(0, |ready| ready[day]);
            if sum > ready {
                let sentence = format!("{sum} are given by {date}, only {ready} are ready");
                tell(broken, Rule::Promises, format!("{} in {}", key.0, key.1), sentence);
                break;
            }
        }
    }
    late
}

fn of_order<'a>(
    sheet: &Sheet,
    order: &Order,
    result: &'a OrderResult,
    late: &mut Late,
    given: &mut Given<'a>,
    broken: &mut Vec<Broken>,
) {
    let place = format!("order \"{}\"", order.id);
    let beyond = (sheet.facts.last_day - order.due_on).num_days();
    let unmet = beyond.saturating_add(sheet.facts.policy.unmet_days).max(0);
    let mut wanted: BTreeMap<(&str, &str), Count> = BTreeMap::new();
    for line in &order.lines {
        *wanted.entry((&line.panel, &line.finish)).or_default() += Count::from(line.quantity);
    }
    let mut got: BTreeMap<(&str, &str), Count> = BTreeMap::new();
    let mut ready = sheet.facts.first_day;
    for met in &result.met {
        let Some(day) = sheet.index(met.day).filter(|_| met.quantity >= 1) else {
            let sentence = format!("{} on {} is not 1 or more on a working day", met.quantity, met.day);
            tell(broken, Rule::Rows, &place, sentence);
            continue;
        };
        let key = (met.panel.as_str(), met.finish.as_str());
        *got.entry(key).or_default() += Count::from(met.quantity);
        given.entry(key).or_insert_with(|| vec![0; sheet.days.len()])[day] += Count::from(met.quantity);
        ready = ready.max(met.day);
        let days = (met.day - order.due_on).num_days().max(0);
        late.panel_days += order.weight * met.quantity as f64 * days as f64;
    }
    let mut whole = true;
    for (key, wanted) in &wanted {
        let got = got.get(key).copied().unwrap_or(0);
        if got > *wanted {
            let sentence = format!("{got} of {} in {} are given, {wanted} are ordered", key.0, key.1);
            tell(broken, Rule::Promises, &place, sentence);
        }
        if got < *wanted {
            whole = false;
            late.panel_days += order.weight * (wanted - got) as f64 * unmet as f64;
        }
    }
    for (panel, finish) in got.keys().filter(|key| !wanted.contains_key(*key)) {
        tell(broken, Rule::Promises, &place, format!("{panel} in {finish} is given and was not ordered"));
    }
    let is = whole.then_some(ready);
    if result.ready_on != is {
        let word = |day: Option<chrono::NaiveDate>| day.map_or("not whole".to_owned(), |day| format!("ready on {day}"));
        tell(broken, Rule::Orders, &place, format!("the plan says {}, it is {}", word(result.ready_on), word(is)));
    }
    let days = is.map_or(unmet, |ready| (ready - order.due_on).num_days().max(0));
    late.order_days += order.weight * days as f64;
}
