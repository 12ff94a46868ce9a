//! Forms of planning runs and of the plan in force.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::documents::plan::{self, LateFigure};
use workshop::documents::{Explanation, Plan as PlanDocument};
use workshop::ids::RunId;
use workshop::runs as domain;

use super::basics::words;
use crate::http::body::Incoming;

words!(
    /// Where a planning run stands.
    RunState for domain::RunState {
        /// Asked for.
        Waiting,
        /// At work.
        Running,
        /// Brought a plan that the checker accepts.
        Planned,
        /// Brought none; the remark says why.
        Failed,
    }
);

/// That a plan is wanted.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "reason": "two large orders came in" }))]
pub struct GivenRun {
    /// Why, for whoever reads the list of runs.
    #[schema(min_length = 1, max_length = 500)]
    pub reason: Option<String>,
}

impl Incoming for GivenRun {
    type Domain = Option<String>;

    fn into_domain(self) -> Result<Option<String>, Vec<Fault>> {
        Ok(self.reason)
    }
}

/// The four figures plans are compared by, in this order: the last only decides between plans that are otherwise equal.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Figures {
    /// Σ weight × calendar days late, over orders.
    pub order_days_late: f64,
    /// Materials drawn and put off, deliveries charged, price breaks taken, in minor currency units.
    pub material_cost_minor: i64,
    /// Panels poured otherwise than published in the next working days.
    pub changes: i64,
    /// Σ weight × calendar days late, over panels ordered.
    pub panel_days_late: f64,
}

impl From<plan::Figures> for Figures {
    fn from(f: plan::Figures) -> Self {
        Self {
            order_days_late: f.order_days_late,
            material_cost_minor: f.material_cost,
            changes: f.changes,
            panel_days_late: f.panel_days_late,
        }
    }
}

/// One run of the planner.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 7, "state": "planned", "asked_at": "2026-05-04T05:00:00Z", "reason": "two large orders came in",
    "facts_at": "2026-05-04T05:00:02Z", "first_day": "2026-05-04", "ended_at": "2026-05-04T05:00:22Z", "parent": 6,
    "figures": { "order_days_late": 14.0, "material_cost_minor": 183250, "changes": 2, "panel_days_late": 61.0 },
    "bound_order_days_late": 9.0, "gap": 0.357, "planned_seconds": 20.0, "way": "search", "remark": null,
}))]
pub struct PlanningRun {
    /// Its number.
    pub id: i64,
    /// Where it stands.
    pub state: RunState,
    /// When it was asked for.
    pub asked_at: DateTime<Utc>,
    /// Why it was asked for.
    pub reason: Option<String>,
    /// When its facts were read.
    pub facts_at: Option<DateTime<Utc>>,
    /// First day of its facts.
    pub first_day: Option<NaiveDate>,
    /// When it ended.
    pub ended_at: Option<DateTime<Utc>>,
    /// The run whose plan was in force when its facts were read.
    pub parent: Option<i64>,
    /// The figures of its plan.
    pub figures: Option<Figures>,
    /// No plan has fewer order-days late than this.
    pub bound_order_days_late: Option<f64>,
    /// How far the plan is from the bound, as a share of the plan's value.
    pub gap: Option<f64>,
    /// How long it planned.
    pub planned_seconds: Option<f64>,
    /// Which way found the plan: foreman, search or exact.
    pub way: Option<String>,
    /// Why there is no plan, or why it was not put in force.
    pub remark: Option<String>,
}

impl From<domain::PlanningRun> for PlanningRun {
    fn from(r: domain::PlanningRun) -> Self {
        Self {
            id: r.id.get(),
            state: r.state.into(),
            asked_at: r.asked_at,
            reason: r.reason,
            facts_at: r.facts_at,
            first_day: r.first_day,
            ended_at: r.ended_at,
            parent: r.parent.map(RunId::get),
            figures: r.figures.map(Figures::from),
            bound_order_days_late: r.bound,
            gap: r.gap,
            planned_seconds: r.seconds,
            way: r.way,
            remark: r.remark,
        }
    }
}

/// Which run's plan is to be put in force.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "run": 7 }))]
pub struct GivenPlan {
    /// The number of a run that brought a plan.
    #[schema(minimum = 1)]
    pub run: i64,
}

impl Incoming for GivenPlan {
    type Domain = RunId;

    fn into_domain(self) -> Result<RunId, Vec<Fault>> {
        Ok(RunId::new(self.run))
    }
}

/// Something that changed since the facts of the plan in force were read.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "at": "2026-05-04T09:12:00Z", "what": "order", "detail": "order 'TH-1042' is new" }))]
pub struct Mark {
    /// When it was written down.
    pub at: DateTime<Utc>,
    /// What kind of thing changed.
    pub what: String,
    /// What happened to it, in a few words.
    pub detail: String,
}

impl From<store::marks::Mark> for Mark {
    fn from(mark: store::marks::Mark) -> Self {
        Self { at: mark.at, what: mark.what, detail: mark.detail }
    }
}

/// The plan in force.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "run": 7, "in_force_since": "2026-05-04T05:00:22Z", "first_day": "2026-05-04",
    "figures": { "order_days_late": 14.0, "material_cost_minor": 183250, "changes": 2, "panel_days_late": 61.0 },
    "proof": { "figure": "order_days_late", "bound": 9.0, "gap": 0.357, "ended": "time", "way": "search" },
    "pours": [{ "day": "2026-05-04", "panel": "bed-side-900", "mix": "foamed-grey@2", "quantity_panels": 6 }],
    "batches": [{ "day": "2026-05-04", "mix": "foamed-grey@2", "volumes_l": [31.5, 31.5] }],
    "deliveries": [{ "arrives_on": "2026-05-11", "material": "cement", "quantity_packs": 20 }],
    "orders": [{ "order": "TH-1042", "ready_on": "2026-06-14" }],
    "late": [{ "order": "TH-1042", "due_on": "2026-06-12", "ready_on": "2026-06-14", "late_days": 2, "cause": "moulds",
        "freed_on": "2026-06-12",
        "sentence": "order \"TH-1042\" is 2 days late: panel \"bed-side-900\" in \"grey-smooth\" comes last, on 2026-06-14; the moulds of group \"sides\" hold it back: with 1 mould more of group \"sides\" it would be ready on 2026-06-12" }],
    "cures": [{ "remedy": "moulds", "subject": "sides", "order_days_fewer": 4.0, "worth_minor": 2000, "materials_cost_more_minor": 0,
        "orders": [{ "order": "TH-1042", "ready_on": "2026-06-12", "days_sooner": 2 }],
        "sentence": "1 mould more of group \"sides\" would save 4 weighted order-days: order \"TH-1042\" 2 days less late" }],
    "shorts": [{ "material": "cement", "day": "2026-05-08", "short_by": 12500.0,
        "sentence": "material \"cement\" is short by 12.5 kg on 2026-05-08 for the late panels it keeps back" }],
    "overfull": ["tank \"small-tank\" holds 1600 mm of panels and has 1400 mm of row: nothing is added until 200 have left it"],
    "strips": [{ "day": "2026-05-05", "panel": "bed-side-900", "mix": "foamed-grey@2", "quantity_panels": 6, "tank": "north-tank" }],
    "lifts": [{ "day": "2026-05-12", "panel": "bed-side-900", "mix": "foamed-grey@2", "quantity_panels": 6, "tank": "north-tank",
        "rack": "long-rack" }],
}))]
pub struct Plan {
    /// The run that brought it.
    pub run: i64,
    /// Since when it is in force.
    pub in_force_since: DateTime<Utc>,
    /// Its first day.
    pub first_day: Option<NaiveDate>,
    /// Its figures.
    pub figures: Figures,
    /// How good it is known to be.
    pub proof: Option<Proof>,
    /// What is poured.
    pub pours: Vec<Pour>,
    /// What is mixed.
    pub batches: Vec<Batches>,
    /// What is to be ordered.
    pub deliveries: Vec<PlannedDelivery>,
    /// When each order is whole.
    pub orders: Vec<OrderReady>,
    /// Orders late or not ready, and why.
    pub late: Vec<LateOrder>,
    /// What would make them less late, with what each gains; the one worth most first.
    pub cures: Vec<Cure>,
    /// Materials that kept panels from being poured.
    pub shorts: Vec<MaterialShort>,
    /// Moulds, tanks and racks that hold more than they have room for, and what the plan does about it: one sentence each.
    pub overfull: Vec<String>,
    /// What is taken out of moulds.
    pub strips: Vec<Strip>,
    /// What is taken out of tanks.
    pub lifts: Vec<Lift>,
}

/// How good a plan is known to be.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Proof {
    /// The figure bounded: order_days_late or panel_days_late.
    pub figure: String,
    /// No plan has less than this of it.
    pub bound: f64,
    /// How far the plan is from it, as a share of the plan's value.
    pub gap: f64,
    /// Why planning ended.
    pub ended: String,
    /// Which way found the plan.
    pub way: String,
}

/// Panels poured on a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Pour {
    /// When.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity_panels: i64,
}

/// Panels taken out of their moulds on a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Strip {
    /// When.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity_panels: i64,
    /// Into which tank; null where there is one tank, or where strip and lift fall on one day.
    pub tank: Option<String>,
}

impl From<workshop::documents::plan::Strip> for Strip {
    fn from(s: workshop::documents::plan::Strip) -> Self {
        Self { day: s.day, panel: s.panel, mix: s.mix, quantity_panels: s.quantity, tank: s.tank }
    }
}

/// Panels taken out of a tank on a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Lift {
    /// When.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity_panels: i64,
    /// Out of which tank.
    pub tank: Option<String>,
    /// Onto which rack.
    pub rack: Option<String>,
}

impl From<workshop::documents::plan::Lift> for Lift {
    fn from(l: workshop::documents::plan::Lift) -> Self {
        Self { day: l.day, panel: l.panel, mix: l.mix, quantity_panels: l.quantity, tank: l.tank, rack: l.rack }
    }
}

/// The batches of one mix on a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Batches {
    /// When.
    pub day: NaiveDate,
    /// Which mix revision.
    pub mix: String,
    /// Litres of each.
    pub volumes_l: Vec<f64>,
}

/// Packs to be ordered.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PlannedDelivery {
    /// When they should be here.
    pub arrives_on: NaiveDate,
    /// Of which material.
    pub material: String,
    /// How many packs.
    pub quantity_packs: i64,
}

/// When an order is whole.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OrderReady {
    /// Which order.
    pub order: String,
    /// When; null where that is not by the plan's last day.
    pub ready_on: Option<NaiveDate>,
}

/// Why an order is late.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LateOrder {
    /// Which order.
    pub order: String,
    /// Day wanted.
    pub due_on: NaiveDate,
    /// Day it is whole.
    pub ready_on: Option<NaiveDate>,
    /// Calendar days late.
    pub late_days: i64,
    /// What holds it back, in a word: moulds, no_mould, no_mix, tank, rack, hours, mixer, material, cold_days, lead_time, pins,
    /// turn, or unknown where there was no time to look.
    pub cause: String,
    /// Day it would be whole beside the others, were there enough of what holds it back.
    pub freed_on: Option<NaiveDate>,
    /// The same in plain words.
    pub sentence: String,
}

/// What would make late orders less late. Each was tried by planning on from the plan with it; the one worth most comes first.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Cure {
    /// What there would be more of, in a word: moulds, tank_row, rack_row, hours, overtime, batches, packs, delivery (sooner),
    /// warmth (a mix poured on days on which it may not be), pin (set free).
    pub remedy: String,
    /// Which: the id of a mould group, tank, rack, material, mix or panel, a day, or `labour` or `mixer`.
    pub subject: String,
    /// Σ weight × calendar days late that it saves.
    pub order_days_fewer: f64,
    /// What that is worth by the workshop's price of a late day; what the cure itself costs is not in it.
    pub worth_minor: i64,
    /// What materials would cost more; below 0 where they cost less.
    pub materials_cost_more_minor: i64,
    /// Orders less late with it.
    pub orders: Vec<CuredOrder>,
    /// The same in plain words.
    pub sentence: String,
}

/// An order less late with a cure.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CuredOrder {
    /// Which order.
    pub order: String,
    /// Day it would be whole; null where that is not by the plan's last day even so.
    pub ready_on: Option<NaiveDate>,
    /// Days late that it would be spared.
    pub days_sooner: i64,
}

/// A material that was short.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MaterialShort {
    /// Which material.
    pub material: String,
    /// First day it kept panels from being poured.
    pub day: NaiveDate,
    /// By how much, in the material's own unit.
    pub short_by: f64,
    /// The same in plain words.
    pub sentence: String,
}

/// The word for a figure.
const fn figure(figure: LateFigure) -> &'static str {
    match figure {
        LateFigure::OrderDaysLate => "order_days_late",
        LateFigure::PanelDaysLate => "panel_days_late",
    }
}

impl Plan {
    /// From the run that brought it and its documents.
    pub fn of(run: &domain::PlanningRun, since: DateTime<Utc>, plan: PlanDocument, why: Explanation) -> Self {
        let pour = |p: plan::Pour| Pour { day: p.day, panel: p.panel, mix: p.mix, quantity_panels: p.quantity };
        let delivery = |d: plan::Delivery| PlannedDelivery {
            arrives_on: d.arrives,
            material: d.material,
            quantity_packs: d.packs,
        };
        Self {
            run: run.id.get(),
            in_force_since: since,
            first_day: run.first_day,
            figures: plan.figures.into(),
            proof: plan.proof.map(|p| Proof {
                figure: figure(p.figure).to_owned(),
                bound: p.bound,
                gap: p.gap,
                ended: p.ended,
                way: p.way,
            }),
            pours: plan.pours.into_iter().map(pour).collect(),
            batches: plan
                .batches
                .into_iter()
                .map(|b| Batches { day: b.day, mix: b.mix, volumes_l: b.litres })
                .collect(),
            deliveries: plan.deliveries.into_iter().map(delivery).collect(),
            orders: plan.orders.into_iter().map(|o| OrderReady { order: o.id, ready_on: o.ready_on }).collect(),
            late: why.late.into_iter().map(LateOrder::from).collect(),
            cures: why.cures.into_iter().map(Cure::from).collect(),
            shorts: why.shorts.into_iter().map(MaterialShort::from).collect(),
            overfull: why.overfull.into_iter().map(|place| place.sentence).collect(),
            strips: plan.strips.into_iter().map(Strip::from).collect(),
            lifts: plan.lifts.into_iter().map(Lift::from).collect(),
        }
    }
}

impl From<workshop::documents::explanation::LateOrder> for LateOrder {
    fn from(l: workshop::documents::explanation::LateOrder) -> Self {
        Self {
            order: l.order,
            due_on: l.due_on,
            ready_on: l.ready_on,
            late_days: l.days_late,
            cause: l.cause.word().to_owned(),
            freed_on: l.freed_on,
            sentence: l.sentence,
        }
    }
}

impl From<workshop::documents::explanation::Cure> for Cure {
    fn from(c: workshop::documents::explanation::Cure) -> Self {
        let cured = |o: workshop::documents::explanation::Cured| CuredOrder {
            order: o.order,
            ready_on: o.ready_on,
            days_sooner: o.days_sooner,
        };
        Self {
            remedy: c.remedy.word().to_owned(),
            subject: c.subject,
            order_days_fewer: c.order_days_fewer,
            worth_minor: c.worth,
            materials_cost_more_minor: c.cost_more,
            orders: c.orders.into_iter().map(cured).collect(),
            sentence: c.sentence,
        }
    }
}

impl From<workshop::documents::explanation::MaterialShort> for MaterialShort {
    fn from(s: workshop::documents::explanation::MaterialShort) -> Self {
        Self { material: s.material, day: s.day, short_by: s.short_by, sentence: s.sentence }
    }
}
