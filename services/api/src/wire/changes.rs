//! Forms of what changed from one plan to the next.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::ids::RunId;

use super::planning::Figures;

/// What a run's plan has otherwise than the plan that was in force when its facts were read.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "run": 7, "before": 6,
    "figures_before": { "order_days_late": 10.0, "material_cost_minor": 180100, "changes": 0, "panel_days_late": 40.0 },
    "figures": { "order_days_late": 14.0, "material_cost_minor": 183250, "changes": 2, "panel_days_late": 61.0 },
    "told": [{ "because": "order_new", "subject": "TH-1051", "sentence": "order \"TH-1051\" is new" }],
    "orders": [{ "order": "TH-1042", "ready_before": "2026-06-12", "ready_on": "2026-06-14", "because": "order_new",
        "sentence": "order \"TH-1042\" is ready on 2026-06-14, 2 days later than 2026-06-12, as order \"TH-1051\" is new" }],
    "pours": [{ "day": "2026-05-11", "panel": "bed-side-900", "mix": "foamed-grey@2", "quantity_before_panels": 4, "quantity_panels": 6,
        "because": "order_new", "sentence": "6 of panel \"bed-side-900\" in mix \"foamed-grey@2\" are poured on 2026-05-11 instead of 4, as order \"TH-1051\" is new" }],
    "deliveries": [{ "arrives_on": "2026-05-11", "material": "cement", "quantity_before_packs": 20, "quantity_packs": 22, "because": "room",
        "sentence": "22 packs of material \"cement\" to come on 2026-05-11 are to be ordered instead of 20, to make room, as order \"TH-1051\" is new" }],
}))]
pub struct RunChanges {
    /// The run.
    pub run: i64,
    /// The run it is compared with.
    pub before: i64,
    /// Figures of the plan before.
    pub figures_before: Figures,
    /// Figures of this plan.
    pub figures: Figures,
    /// What the planner was told otherwise, but for the days that went by.
    pub told: Vec<ToldOtherwise>,
    /// Orders ready on another day.
    pub orders: Vec<OrderOtherwise>,
    /// Pours otherwise, from the plan's first day on.
    pub pours: Vec<PourOtherwise>,
    /// Deliveries to order otherwise, from the plan's first day on.
    pub deliveries: Vec<DeliveryOtherwise>,
}

/// Something the planner was told otherwise.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ToldOtherwise {
    /// What kind of thing, in a word: order_new, order_gone, due_moved, order_changed, actuals, stock, delivery, supply,
    /// calendar, hours, mixer, moulds, rooms, weather, recipe, pin, policy.
    pub because: String,
    /// What it is about: an id, or nothing for the whole workshop.
    pub subject: String,
    /// In plain words.
    pub sentence: String,
}

/// An order ready on another day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OrderOtherwise {
    /// Which order.
    pub order: String,
    /// Day it was ready before; null where that was not by the last day, or where it was not planned.
    pub ready_before: Option<NaiveDate>,
    /// Day it is ready now; null in the same way.
    pub ready_on: Option<NaiveDate>,
    /// The cause, in a word of `told`; `room` where another change needed room; where nothing changed `better`, or `anew`
    /// if it is no better.
    pub because: String,
    /// In plain words, with the cause.
    pub sentence: String,
}

/// Panels poured otherwise.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PourOtherwise {
    /// When.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many before.
    pub quantity_before_panels: i64,
    /// How many now.
    pub quantity_panels: i64,
    /// The cause, in a word of `told`; `room` where another change needed room; where nothing changed `better`, or `anew`
    /// if it is no better.
    pub because: String,
    /// In plain words, with the cause.
    pub sentence: String,
}

/// Packs to order otherwise.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DeliveryOtherwise {
    /// When they come.
    pub arrives_on: NaiveDate,
    /// Of which material.
    pub material: String,
    /// How many before.
    pub quantity_before_packs: i64,
    /// How many now.
    pub quantity_packs: i64,
    /// The cause, in a word of `told`; `room` where another change needed room; where nothing changed `better`, or `anew`
    /// if it is no better.
    pub because: String,
    /// In plain words, with the cause.
    pub sentence: String,
}

impl RunChanges {
    /// From two runs and their comparison.
    pub fn of(run: RunId, before: RunId, comparison: planner::Comparison) -> Self {
        let mut changes = Self {
            run: run.get(),
            before: before.get(),
            figures_before: comparison.before.into(),
            figures: comparison.after.into(),
            told: comparison.facts.into_iter().map(ToldOtherwise::from).collect(),
            orders: Vec::new(),
            pours: Vec::new(),
            deliveries: Vec::new(),
        };
        comparison.lines.into_iter().for_each(|change| changes.add(change));
        changes
    }

    fn add(&mut self, change: planner::PlanChange) {
        let (because, sentence) = (change.because.word().to_owned(), change.sentence);
        match change.line {
            planner::Line::Ready { order, was, is } => {
                self.orders.push(OrderOtherwise { order, ready_before: was, ready_on: is, because, sentence });
            }
            planner::Line::Pour { day, panel, mix, was, is } => self.pours.push(PourOtherwise {
                day,
                panel,
                mix,
                quantity_before_panels: was,
                quantity_panels: is,
                because,
                sentence,
            }),
            planner::Line::Delivery { day, material, was, is } => self.deliveries.push(DeliveryOtherwise {
                arrives_on: day,
                material,
                quantity_before_packs: was,
                quantity_packs: is,
                because,
                sentence,
            }),
        }
    }
}

impl From<planner::FactChange> for ToldOtherwise {
    fn from(f: planner::FactChange) -> Self {
        Self { because: f.because.word().to_owned(), subject: f.subject, sentence: f.sentence }
    }
}
