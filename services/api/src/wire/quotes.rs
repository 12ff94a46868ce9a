//! Forms of quotes: the day an order not yet placed can be promised for.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::checks;
use workshop::orders as domain;
use workshop::runs::PlanningRun;

use super::basics::each;
use super::orders::{OrderLine, Priority, read_line, usual};
use crate::http::body::Incoming;

/// What a customer asks for.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "lines": [{ "set": "bed-900x600", "finish": "grey-smooth", "quantity": 2 }] }))]
pub struct AskedQuote {
    /// What is wanted.
    #[schema(min_items = 1, max_items = 200)]
    pub lines: Vec<OrderLine>,
    /// How much a day late of it would weigh.
    #[serde(default = "usual")]
    pub priority: Priority,
    /// Nothing is begun for it before that day; today, or tomorrow where today's tickets are out, if none is named.
    pub not_before: Option<NaiveDate>,
}

/// What is asked, in the workshop's own words.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// What is wanted.
    pub lines: Vec<domain::OrderLine>,
    /// What a day late of it would weigh.
    pub weight: f64,
    /// First day on which anything is begun for it.
    pub not_before: Option<NaiveDate>,
}

impl Incoming for AskedQuote {
    type Domain = Wanted;

    fn into_domain(self) -> Result<Wanted, Vec<Fault>> {
        let lines = each(self.lines, read_line)?;
        let faults = checks::order::lines_faults(&lines);
        if !faults.is_empty() {
            return Err(faults);
        }
        let weight = domain::Priority::from(self.priority).weight() as f64;
        Ok(Wanted { lines, weight, not_before: self.not_before })
    }
}

/// When an order not yet placed can be ready, by the plan in force.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "run": 7, "in_force_since": "2026-05-04T05:00:22Z", "ready_on": "2026-06-19",
    "sooner": [{ "ready_on": "2026-06-12", "slips": [{ "order": "TH-1042", "from": "2026-06-12", "to": "2026-06-14", "late_days_more": 2 }] }],
    "materials_price_minor": 2450, "plan_costs_more_minor": 2610, "orders_not_planned": [],
    "sentences": ["it can be ready on 2026-06-19 without making any promised order later",
        "it can be ready on 2026-06-12 if others wait: order \"TH-1042\" 2 days later, on 2026-06-14"],
}))]
pub struct Quote {
    /// The run whose plan it rests on.
    pub run: i64,
    /// Since when that plan is in force.
    pub in_force_since: DateTime<Utc>,
    /// The earliest day found that makes no promised order later; null where there is none by the plan's last day.
    pub ready_on: Option<NaiveDate>,
    /// Sooner days, if others may wait: the earliest first.
    pub sooner: Vec<SoonerDay>,
    /// Material in its panels; washouts, deliveries and price breaks left out.
    pub materials_price_minor: i64,
    /// What materials would cost more in the plan with it than in the plan without.
    pub plan_costs_more_minor: Option<i64>,
    /// Open orders that the plan does not know yet: they came in after it was made and are not reckoned with.
    pub orders_not_planned: Vec<String>,
    /// The same in plain words.
    pub sentences: Vec<String>,
}

/// A day that makes promised orders later.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SoonerDay {
    /// The day.
    pub ready_on: NaiveDate,
    /// Who would wait, the longest first.
    pub slips: Vec<SlippedOrder>,
}

/// A promised order that would be later.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SlippedOrder {
    /// Which order.
    pub order: String,
    /// The last day on which it would be ready, or in time, as planned now.
    pub from: NaiveDate,
    /// Day it would be ready; null where that is not by the plan's last day.
    pub to: Option<NaiveDate>,
    /// Calendar days later.
    pub late_days_more: i64,
}

impl Quote {
    /// From what was found on a run's plan.
    pub fn of(
        run: &PlanningRun,
        since: DateTime<Utc>,
        promise: planner::Promise,
        orders_not_planned: Vec<String>,
    ) -> Self {
        Self {
            run: run.id.get(),
            in_force_since: since,
            ready_on: promise.ready_on,
            sooner: promise.sooner.into_iter().map(SoonerDay::from).collect(),
            materials_price_minor: promise.material_price,
            plan_costs_more_minor: promise.added_cost,
            orders_not_planned,
            sentences: promise.sentences,
        }
    }
}

impl From<planner::Sooner> for SoonerDay {
    fn from(sooner: planner::Sooner) -> Self {
        let slip = |s: planner::Slip| SlippedOrder { order: s.order, from: s.from, to: s.to, late_days_more: s.days };
        Self { ready_on: sooner.ready_on, slips: sooner.slips.into_iter().map(slip).collect() }
    }
}
