//! What would cure lateness: each change is tried by taking the plan up again on the changed facts, and told with what that
//! gains against the same on the facts as they are.

mod advise;
mod change;
mod offers;
mod rerun;

use std::collections::BTreeMap;

use workshop::documents::explanation::{Cure, Cured, Remedy};
use workshop::documents::{Facts, Plan};

pub use advise::run_and_advise;
pub use change::Change;
pub use rerun::rerun;

use crate::check::{Broken, check};
use crate::problem::{Fault, validate};
use crate::stop::is_to_stop;
use crate::{Limits, Stopwatch};
use rerun::{WORTH_SEARCHING, standing};

/// Most changes searched by the clock.
const MOST_SEARCHED: usize = 4;
/// Most orders a sentence names.
const MOST_NAMED: usize = 3;

/// Why nothing can be said of cures.
#[derive(Clone, Debug, thiserror::Error)]
pub enum CureFailure {
    /// The facts contradict themselves.
    #[error("the facts contradict themselves in {} places", .0.len())]
    Facts(Vec<Fault>),
    /// The plan is not one for these facts.
    #[error("the plan does not fit the facts: it breaks {} rules", .0.len())]
    Plan(Vec<Broken>),
    /// Something is short for what the plan pours.
    #[error("{0}")]
    Short(String),
}

/// Changes that would make a plan's orders less late, the one that is worth most first, with what each gains. Every change is
/// planned on from the plan with as much effort as the plan on the facts as they are. By the clock, in the limits' seconds
/// altogether: late orders are only pulled forward at first, then the changes asked for most that gained nothing so are searched.
/// Without a clock each has the limits' evaluations, and the answer is the same every time.
///
/// # Errors
/// Contradictions in the facts, or a plan that does not fit them.
pub fn cures(
    facts: &Facts,
    plan: &Plan,
    limits: &Limits,
    stopwatch: Stopwatch,
) -> Result<Vec<(Change, Cure)>, CureFailure> {
    let problem = validate(facts).map_err(CureFailure::Facts)?;
    let verdict = check(facts, plan);
    if !verdict.holds() {
        return Err(CureFailure::Plan(verdict.broken));
    }
    if plan.figures.order_days_late <= 0.0 {
        return Ok(Vec::new());
    }
    let trying = Trying { facts, plan, limits, stopwatch, until: limits.seconds.map(|s| stopwatch() + s) };
    let offers = offers::offers(facts, &standing(&problem, plan), || trying.left().is_none_or(|left| left > 0.7));
    let mut cures = trying.pulled(&offers)?;
    cures.extend(trying.searched(&offers, &cures)?);
    let mut cures = telling(cures);
    let gain = |cure: &Cure| cure.worth - cure.cost_more;
    cures.sort_by(|(_, a), (_, b)| gain(b).cmp(&gain(a)).then_with(|| a.sentence.cmp(&b.sentence)));
    Ok(cures)
}

/// Tries changes, as long as there is time.
struct Trying<'a> {
    facts: &'a Facts,
    plan: &'a Plan,
    limits: &'a Limits,
    stopwatch: Stopwatch<'a>,
    until: Option<f64>,
}

impl Trying<'_> {
    /// Share of the seconds that is left; none without a clock.
    fn left(&self) -> Option<f64> {
        let left = self.until? - (self.stopwatch)();
        Some(left / self.limits.seconds?.max(f64::MIN_POSITIVE))
    }

    /// All changes, by the clock in half of the time and without a search.
    fn pulled(&self, offers: &[Change]) -> Result<Vec<(Change, Cure)>, CureFailure> {
        let Some(until) = self.until else { return self.tried(offers, self.limits) };
        let seconds = (until - (self.stopwatch)()).max(0.0) / 2.0 / (offers.len() + 2) as f64;
        self.tried(offers, &Limits { seconds: Some(seconds), evaluations: Some(0), ..self.limits.clone() })
    }

    /// By the clock: as many as there is time for of the changes that gained nothing yet.
    fn searched(&self, offers: &[Change], known: &[(Change, Cure)]) -> Result<Vec<(Change, Cure)>, CureFailure> {
        let Some(until) = self.until else { return Ok(Vec::new()) };
        let left = (until - (self.stopwatch)()).max(0.0);
        // The plan as it is takes two such searches itself.
        let most = ((left / WORTH_SEARCHING) as usize).saturating_sub(2).min(MOST_SEARCHED);
        let unknown = offers.iter().filter(|offer| known.iter().all(|(change, _)| change != *offer));
        let offers: Vec<Change> = unknown.take(most).cloned().collect();
        if offers.is_empty() || self.limits.evaluations == Some(0) {
            return Ok(Vec::new());
        }
        let seconds = left / (offers.len() + 2) as f64;
        self.tried(&offers, &Limits { seconds: Some(seconds), ..self.limits.clone() })
    }

    fn tried(&self, offers: &[Change], limits: &Limits) -> Result<Vec<(Change, Cure)>, CureFailure> {
        let base = Base::of(self.facts, self.plan, limits, self.stopwatch)?;
        let mut cures = Vec::new();
        for change in offers {
            if self.left().is_some_and(|left| left <= 0.0) || is_to_stop(self.stopwatch) {
                break;
            }
            let changed = change.applied(self.facts);
            // A change that is no help, or cannot be planned with, is none to offer.
            let Ok(with) = rerun(&changed, self.plan, limits, self.stopwatch) else { continue };
            cures.extend(base.cure(self.facts, change, &with).map(|cure| (change.clone(), cure)));
        }
        Ok(cures)
    }
}

/// Of changes that differ in nothing but how much of it there is: the least, and the least of those that gain most.
fn telling(cures: Vec<(Change, Cure)>) -> Vec<(Change, Cure)> {
    let (mut told, mut alike) = (Vec::new(), BTreeMap::<(Remedy, String), Vec<(f64, Change, Cure)>>::new());
    for (change, cure) in cures {
        match change.size() {
            Some(size) => alike.entry((cure.remedy, cure.subject.clone())).or_default().push((size, change, cure)),
            None => told.push((change, cure)),
        }
    }
    for mut alike in alike.into_values() {
        let by = |a: &(f64, Change, Cure), b: &(f64, Change, Cure)| {
            a.0.total_cmp(&b.0).then(a.2.order_days_fewer.total_cmp(&b.2.order_days_fewer))
        };
        alike.sort_by(by);
        let most = alike.iter().map(|(.., cure)| cure.order_days_fewer).fold(0.0, f64::max);
        let best = alike.iter().position(|(.., cure)| cure.order_days_fewer >= most);
        let two = alike.into_iter().enumerate().filter(|(ix, _)| *ix == 0 || Some(*ix) == best);
        told.extend(two.map(|(_, (_, change, cure))| (change, cure)));
    }
    told
}

/// What the plan comes to without any change.
struct Base {
    plan: Plan,
    /// By how much two searches of it differ, order-days.
    noise: f64,
}

impl Base {
    fn of(facts: &Facts, plan: &Plan, limits: &Limits, stopwatch: Stopwatch) -> Result<Self, CureFailure> {
        let one = rerun(facts, plan, limits, stopwatch)?;
        let seed = limits.seed.wrapping_add(1);
        let other = rerun(facts, plan, &Limits { seed, ..limits.clone() }, stopwatch)?;
        let noise = (one.figures.order_days_late - other.figures.order_days_late).abs();
        let better = if other.figures.better_than(&one.figures) { other } else { one };
        Ok(Base { plan: better, noise })
    }

    /// The cure that a change is, if it gains anything.
    fn cure(&self, facts: &Facts, change: &Change, with: &Plan) -> Option<Cure> {
        let gain = self.plan.figures.order_days_late - with.figures.order_days_late;
        if gain <= self.noise + 1e-6 {
            return None;
        }
        let orders = self.sooner(facts, with);
        let sentence = sentence(&change.words(facts), gain, &orders);
        Some(Cure {
            remedy: change.remedy(),
            subject: change.subject(),
            order_days_fewer: gain,
            worth: (gain * facts.policy.late_price).round() as i64,
            cost_more: with.figures.material_cost - self.plan.figures.material_cost,
            orders,
            sentence,
        })
    }

    /// Late orders that would be ready sooner, those that gain most first.
    fn sooner(&self, facts: &Facts, with: &Plan) -> Vec<Cured> {
        let late = |plan: &Plan, order: &workshop::documents::facts::Order| {
            let ready = plan.orders.iter().find(|result| result.id == order.id).and_then(|result| result.ready_on);
            let beyond = (facts.last_day - order.due_on).num_days() + facts.policy.unmet_days;
            (ready, ready.map_or(beyond, |day| (day - order.due_on).num_days()).max(0))
        };
        let of = |order: &workshop::documents::facts::Order| {
            let ((_, before), (ready_on, after)) = (late(&self.plan, order), late(with, order));
            (after < before).then(|| Cured { order: order.id.clone(), ready_on, days_sooner: before - after })
        };
        let mut sooner: Vec<Cured> = facts.orders.iter().filter_map(of).collect();
        sooner.sort_by(|a, b| b.days_sooner.cmp(&a.days_sooner).then_with(|| a.order.cmp(&b.order)));
        sooner
    }
}

fn sentence(change: &str, gain: f64, orders: &[Cured]) -> String {
    let gain = (gain * 100.0).round() / 100.0;
    let days = if gain == 1.0 { "1 weighted order-day".to_owned() } else { format!("{gain} weighted order-days") };
    let one = |cured: &Cured| {
        let days = if cured.days_sooner == 1 { "1 day".to_owned() } else { format!("{} days", cured.days_sooner) };
        format!("order \"{}\" {days} less late", cured.order)
    };
    let named: Vec<String> = orders.iter().take(MOST_NAMED).map(one).collect();
    let rest = match orders.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        1 => " and 1 order more".to_owned(),
        more => format!(" and {more} orders more"),
    };
    format!("{change} would save {days}: {}{rest}", named.join(", "))
}
