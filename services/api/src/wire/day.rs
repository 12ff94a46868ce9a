//! The form of a day sheet.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::day_sheet as domain;
use workshop::ids::{DeliveryId, RunId};
use workshop::planning::tasks;

use super::basics::{Id, RevisionText};
use super::planning::Pour;
use super::tickets::TicketState;

/// Everything one day needs, in the order it happens.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "day": "2026-05-04", "run": 7, "issued": true, "labour_minutes": 412.0,
    "deliveries": [{ "material": "cement", "quantity_packs": 20, "delivery": 4, "overdue_since": null }],
    "ready": [{ "panel": "bed-end-600", "revision": "foamed-grey@2", "tank": null, "rack": "long-rack", "quantity_panels": 4, "done_panels": 0 }],
    "lifts": [{ "panel": "bed-side-900", "revision": "foamed-grey@2", "tank": "north-tank", "rack": "long-rack", "quantity_panels": 6, "done_panels": 6 }],
    "strips": [{ "panel": "bed-side-900", "revision": "foamed-grey@2", "tank": "north-tank", "rack": null, "quantity_panels": 6, "done_panels": 2 }],
    "pours": [], "tickets": [{ "number": "2026-05-04-01", "revision": "foamed-grey@2", "batch_volume_l": 31.5, "state": "issued", "moulds_filled": "bed-side-900 ×3" }],
    "whole_orders": ["TH-1042"],
}))]
pub struct DaySheet {
    /// The day.
    pub day: NaiveDate,
    /// The run whose plan it comes from.
    pub run: Option<i64>,
    /// Whether the day's tickets are out.
    pub issued: bool,
    /// Labour of all of it.
    pub labour_minutes: f64,
    /// What arrives.
    pub deliveries: Vec<DueDelivery>,
    /// Panels that leave a rack, ready.
    pub ready: Vec<Task>,
    /// Panels out of a tank onto a rack.
    pub lifts: Vec<Task>,
    /// Panels out of their moulds into a tank: held down and fully covered, because light panels float.
    pub strips: Vec<Task>,
    /// What is poured, as long as no tickets are out.
    pub pours: Vec<Pour>,
    /// What is mixed, in mixing order.
    pub tickets: Vec<TicketInBrief>,
    /// Orders that are whole on this day and can go out.
    pub whole_orders: Vec<String>,
}

/// Packs due on the day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DueDelivery {
    /// Of which material.
    pub material: String,
    /// How many packs.
    pub quantity_packs: i64,
    /// The delivery, where it is on its way; null where the plan only asks for it.
    pub delivery: Option<i64>,
    /// Day it was expected, where that is past.
    pub overdue_since: Option<NaiveDate>,
}

/// Panels to be moved.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Task {
    /// Which panel.
    pub panel: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// The tank they go into or come out of.
    pub tank: Option<Id>,
    /// The rack they go onto or come off.
    pub rack: Option<Id>,
    /// How many.
    pub quantity_panels: i64,
    /// How many of them are recorded as done.
    pub done_panels: i64,
}

/// A ticket in one line.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TicketInBrief {
    /// Its number.
    pub number: String,
    /// The mix revision.
    pub revision: RevisionText,
    /// Litres for the moulds.
    pub batch_volume_l: f64,
    /// Where it stands.
    pub state: TicketState,
    /// Which moulds it fills.
    pub moulds_filled: String,
}

impl From<tasks::Task> for Task {
    fn from(t: tasks::Task) -> Self {
        Self {
            panel: Id::of(&t.panel),
            revision: RevisionText::of(&t.revision),
            tank: t.tank.as_ref().map(Id::of),
            rack: t.rack.as_ref().map(Id::of),
            quantity_panels: t.quantity,
            done_panels: t.done,
        }
    }
}

impl DaySheet {
    /// A sheet, the run it comes from, and whether its tickets are out.
    pub fn of(sheet: domain::DaySheet, run: Option<RunId>, issued: bool) -> Self {
        let arrival = |a: domain::Arrival| DueDelivery {
            material: a.material,
            quantity_packs: a.packs,
            delivery: a.delivery.map(DeliveryId::get),
            overdue_since: a.overdue_since,
        };
        let brief = |t: workshop::tickets::Ticket| TicketInBrief {
            number: t.number.to_string(),
            revision: RevisionText::of(&t.revision),
            batch_volume_l: t.batch.get() as f64 / 1000.0,
            state: t.state.into(),
            moulds_filled: feeds::words::fills(&t.fills),
        };
        let pour = |p: workshop::documents::plan::Pour| Pour {
            day: p.day,
            panel: p.panel,
            mix: p.mix,
            quantity_panels: p.quantity,
        };
        Self {
            day: sheet.day,
            run: run.map(RunId::get),
            issued,
            labour_minutes: sheet.labour_minutes,
            deliveries: sheet.arrivals.into_iter().map(arrival).collect(),
            ready: sheet.ready.into_iter().map(Task::from).collect(),
            lifts: sheet.lifts.into_iter().map(Task::from).collect(),
            strips: sheet.strips.into_iter().map(Task::from).collect(),
            pours: sheet.pours.into_iter().map(pour).collect(),
            tickets: sheet.tickets.into_iter().map(brief).collect(),
            whole_orders: sheet.whole,
        }
    }
}
