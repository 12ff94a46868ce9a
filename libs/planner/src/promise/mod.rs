//! A promise for an order not yet placed: the earliest day it can be ready without making any promised order later, and the
//! day if others may wait. The new lines are led through what the plan in force leaves of every resource, and the plan that
//! comes of it is checked before its day is promised.

mod desk;
mod words;

use chrono::NaiveDate as Day;
use workshop::documents::facts::{Order, OrderLine};
use workshop::documents::plan::LateFigure;
use workshop::documents::{Facts, Plan};

use crate::check::{Broken, check};
use crate::plan::write_plan;
use crate::problem::{DayIx, Fault, validate};
use crate::{Limits, Problem, Stopwatch};
use desk::{Answer, Desk};

/// What a customer asks for.
#[derive(Clone, Debug)]
pub struct Wish<'a> {
    /// Panels wanted; at least one line.
    pub lines: &'a [OrderLine],
    /// What a day late of it would weigh, above 0.
    pub weight: f64,
    /// Nothing is added to the plan before that day; from its first day on, where there is none.
    pub from: Option<Day>,
}

/// When an order not yet placed can be ready.
#[derive(Clone, Debug, PartialEq)]
pub struct Promise {
    /// Earliest day found that makes no promised order later; none within the horizon, where there is none.
    pub ready_on: Option<Day>,
    /// The plan with it, which the checker accepts.
    pub plan: Option<Plan>,
    /// Sooner days, if promised orders may wait: the earliest first, each later one with less to wait for.
    pub sooner: Vec<Sooner>,
    /// Material in its panels, minor units: washouts, deliveries and price breaks left out.
    pub material_price: i64,
    /// What materials cost more in the plan with it than in the plan without, minor units; what was there already and is
    /// not needed by anyone costs nothing.
    pub added_cost: Option<i64>,
    /// The same in plain words, a sentence each.
    pub sentences: Vec<String>,
}

/// A day that makes promised orders later.
#[derive(Clone, Debug, PartialEq)]
pub struct Sooner {
    /// The day.
    pub ready_on: Day,
    /// Who waits, the longest first.
    pub slips: Vec<Slip>,
    /// The plan with it, which the checker accepts.
    pub plan: Plan,
}

/// A promised order that would be later.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// Which order.
    pub order: String,
    /// The last day on which it would be ready, or in time, as promised now.
    pub from: Day,
    /// Day it would be ready; none where that is not by the last day.
    pub to: Option<Day>,
    /// Calendar days later; to the last day and the days the policy adds, where it is not ready.
    pub days: i64,
}

/// Why nothing can be promised.
#[derive(Clone, Debug, thiserror::Error)]
pub enum PromiseFailure {
    /// The facts, or the lines (`/lines/0/quantity`), contradict themselves.
    #[error("what is asked cannot be planned: {} faults", .0.len())]
    Facts(Vec<Fault>),
    /// The plan is not one for these facts.
    #[error("the plan does not fit the facts: it breaks {} rules", .0.len())]
    Plan(Vec<Broken>),
}

/// Looks for the earliest day. Goes on improving until the limits' seconds or evaluations are used up; without either, and
/// within a fraction of a second on a hundred orders, it gives its first answer.
///
/// # Errors
/// Contradictions in the facts or lines, or a plan that does not fit the facts.
pub fn promise(
    facts: &Facts,
    plan: &Plan,
    wish: &Wish,
    limits: &Limits,
    stopwatch: Stopwatch,
) -> Result<Promise, PromiseFailure> {
    let verdict = check(facts, plan);
    if !verdict.holds() {
        return Err(PromiseFailure::Plan(verdict.broken));
    }
    let asked = with_order(facts, wish);
    let new_id = asked.orders.last().map(|order| order.id.clone()).unwrap_or_default();
    let problem = validate(&asked).map_err(|faults| PromiseFailure::Facts(pointed(facts, faults)))?;
    let new = problem.orders.iter().position(|order| order.id == new_id).unwrap_or(0);
    let from = wish.from.map_or(0, |day| problem.calendar.on_or_after(problem.calendar.offset(day)));
    let desk = Desk::new(&problem, plan, new, from);
    let answers = desk.answer(limits, stopwatch);
    let written = Written { facts: &asked, problem: &problem, new };
    let kept = answers.kept.and_then(|answer| written.first(&desk, answer));
    let mut sooner: Vec<Sooner> = answers.sooner.iter().filter_map(|answer| written.sooner(&desk, answer)).collect();
    if let Some((_, answer)) = &kept {
        sooner.retain(|other| other.ready_on < problem.calendar.day(answer.ready));
    }
    let material_price = desk.material_price(kept.as_ref().map(|(_, answer)| answer)).round() as i64;
    let ready_on = kept.as_ref().map(|(_, answer)| problem.calendar.day(answer.ready));
    let plan_with = kept.map(|(plan, _)| plan);
    let added_cost = plan_with.as_ref().map(|with| with.figures.material_cost - plan.figures.material_cost);
    let sentences = words::sentences(facts, ready_on, &sooner, desk.never());
    Ok(Promise { ready_on, plan: plan_with, sooner, material_price, added_cost, sentences })
}

/// The facts with the order added under an id of its own, due on the last day.
fn with_order(facts: &Facts, wish: &Wish) -> Facts {
    let mut asked = facts.clone();
    let taken = |id: &String| facts.orders.iter().any(|order| order.id == *id);
    let mut id = "asked for".to_owned();
    while taken(&id) {
        id.push('+');
    }
    asked.orders.push(Order { id, due_on: facts.last_day, weight: wish.weight, lines: wish.lines.to_vec() });
    asked
}

/// Faults of the order asked for point into the wish.
fn pointed(facts: &Facts, faults: Vec<Fault>) -> Vec<Fault> {
    let prefix = format!("/orders/{}", facts.orders.len());
    let strip = |fault: Fault| match fault.pointer.strip_prefix(&prefix) {
        Some(rest) => Fault { pointer: rest.to_owned(), ..fault },
        None => fault,
    };
    faults.into_iter().map(strip).collect()
}

/// Answers written as plans.
struct Written<'a> {
    facts: &'a Facts,
    problem: &'a Problem,
    new: usize,
}

impl Written<'_> {
    /// The plan of an answer, if the checker accepts it.
    fn plan(&self, answer: &Answer) -> Option<Plan> {
        let day = self.problem.calendar.day(answer.ready);
        let (mut facts, mut problem) = (self.facts.clone(), self.problem.clone());
        if let Some(order) = facts.orders.last_mut() {
            order.due_on = day;
        }
        desk::due(&mut problem, self.new, answer.ready, self.facts.last_day, self.facts.policy.unmet_days);
        let plan = write_plan(&problem, &answer.schedule, &answer.whole, LateFigure::OrderDaysLate).ok()?;
        let broken = check(&facts, &plan).broken;
        debug_assert!(broken.is_empty(), "a promise that the checker refuses: {broken:?}");
        broken.is_empty().then_some(plan)
    }

    /// The answer with its plan; where its plan cannot be written, which is for its materials to say, the next later one.
    fn first(&self, desk: &Desk, answer: Answer) -> Option<(Plan, Answer)> {
        let ready = answer.ready;
        let later = (ready + 1..self.problem.len()).filter_map(|day| desk.by(day));
        std::iter::once(answer).chain(later).find_map(|answer| Some((self.plan(&answer)?, answer)))
    }

    fn sooner(&self, desk: &Desk, answer: &Answer) -> Option<Sooner> {
        let plan = self.plan(answer)?;
        let mut slips: Vec<Slip> = desk.slips(answer).map(|(order, was)| self.slip(order, was, &plan)).collect();
        slips.sort_by(|a, b| b.days.cmp(&a.days).then_with(|| a.order.cmp(&b.order)));
        Some(Sooner { ready_on: self.problem.calendar.day(answer.ready), slips, plan })
    }

    fn slip(&self, order: usize, was: DayIx, plan: &Plan) -> Slip {
        let (order, calendar) = (&self.problem.orders[order], &self.problem.calendar);
        let to = plan.orders.iter().find(|result| result.id == order.id).and_then(|result| result.ready_on);
        let from = calendar.day(was).max(order.due_on);
        let days = match to {
            Some(to) => (to - from).num_days(),
            None => order.unmet_late - (from - order.due_on).num_days(),
        };
        Slip { order: order.id.clone(), from, to, days: days.max(0) }
    }
}
