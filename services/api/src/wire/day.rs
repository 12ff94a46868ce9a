//! The form of a day sheet.

use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use workshop::catalogue::Amount;
use workshop::day_sheet as domain;
use workshop::ids::{DeliveryId, RunId};
use workshop::planning::tasks;
use workshop::said;
use workshop::soaking;

use super::basics::{Id, RevisionText, words};
use super::tickets::TicketState;
use super::upkeep::DueUpkeep;

/// Everything one day needs, in the order it happens.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "day": "2026-05-04", "run": 7, "issued": true, "labour_minutes": 412.0,
    "deliveries": [{ "material": "cement", "quantity_packs": 20, "delivery": 4, "overdue_since": null, "received": null, "progress": "to_do", "by": null, "at": null }],
    "ready": [{ "panel": "bed-end-600", "revision": "foamed-grey@2", "tank": null, "rack": "long-rack", "quantity_panels": 4, "done_panels": 0, "labour_minutes": 0.0, "progress": "to_do", "by": [], "at": null }],
    "lifts": [{ "panel": "bed-side-900", "revision": "foamed-grey@2", "tank": "north-tank", "rack": "long-rack", "quantity_panels": 6, "done_panels": 6, "labour_minutes": 18.0, "progress": "done", "by": ["bench tablet"], "at": "2026-05-04T07:40:00Z" }],
    "strips": [{ "panel": "bed-side-900", "revision": "foamed-grey@2", "tank": "north-tank", "rack": null, "quantity_panels": 6, "done_panels": 2, "labour_minutes": 30.0, "progress": "partly_done", "by": ["bench tablet"], "at": "2026-05-04T07:10:00Z" }],
    "slow": [{ "tank": "north-tank", "panel": "bed-end-600", "revision": "foamed-grey@2", "quantity_panels": 4, "usually_on": "2026-05-06", "lifted_from": "2026-05-09", "water_c": 14.5, "measured_on": "2026-05-04" }],
    "upkeep": [{ "task": "water-temperature", "name": "Temperature of the water", "tank": "north-tank", "rack": null, "due_on": "2026-05-04", "labour_minutes": 2,
        "measures": { "what": "temperature of the water", "unit": "°C", "low": 10.0, "high": null }, "progress": "done", "value": 14.5, "by": "bench tablet", "at": "2026-05-04T07:05:00Z", "note": null, "remark": null }],
    "pours": [], "tickets": [{ "number": "2026-05-04-01", "revision": "foamed-grey@2", "batch_volume_l": 31.5, "state": "issued", "moulds_filled": "bed-side-900 ×3", "labour_minutes": 50, "progress": "to_do", "by": null, "at": null }],
    "whole_orders": ["TH-1042"], "dispatches": [{ "order": "TH-1042", "panels_sent": 0, "progress": "to_do", "by": [], "at": null }],
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
    /// Panels that cold water keeps in their tank longer than usual.
    pub slow: Vec<Slow>,
    /// Panels out of their moulds into a tank: held down and fully covered, because light panels float.
    pub strips: Vec<Task>,
    /// Upkeep of tanks, racks and workshop: what is due, and what was said of it.
    pub upkeep: Vec<DueUpkeep>,
    /// What is poured, as long as no tickets are out.
    pub pours: Vec<DuePour>,
    /// What is mixed, in mixing order.
    pub tickets: Vec<TicketInBrief>,
    /// Orders that are whole on this day and can go out.
    pub whole_orders: Vec<String>,
    /// Orders to be sent out on this day by the plan, and those of which something went.
    pub dispatches: Vec<Dispatch>,
}

/// Panels that cold water keeps in their tank: a day in it counts as less than a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = SlowSoaking)]
pub struct Slow {
    /// In which tank.
    pub tank: String,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub revision: String,
    /// How many.
    pub quantity_panels: i64,
    /// Day they could be lifted in warm water.
    pub usually_on: NaiveDate,
    /// Day they may be lifted.
    pub lifted_from: NaiveDate,
    /// The last temperature measured in the tank, °C.
    pub water_c: f64,
    /// The day it was.
    pub measured_on: NaiveDate,
}

impl From<soaking::Slow> for Slow {
    fn from(slow: soaking::Slow) -> Self {
        Self {
            tank: slow.tank.to_string(),
            panel: slow.panel.to_string(),
            revision: slow.revision.to_string(),
            quantity_panels: slow.quantity,
            usually_on: slow.usual,
            lifted_from: slow.until,
            water_c: slow.water_c,
            measured_on: slow.measured_on,
        }
    }
}

words!(
    /// How far something has come.
    Progress for said::Progress {
        /// Nobody has said anything of it yet.
        ToDo,
        /// A part of it is done.
        PartlyDone,
        /// All of it is done.
        Done,
        /// A person said that it was not done, or the day ended without a word.
        NotDone,
    }
);

/// A pour to be made.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DuePour {
    /// The day.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity_panels: i64,
    /// Labour of the pour, without its batches.
    pub labour_minutes: f64,
    /// How far it has come.
    pub progress: Progress,
}

/// An order to be sent out, or sent.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Dispatch {
    /// The order.
    pub order: String,
    /// Panels that went on this day.
    pub panels_sent: i64,
    /// How far it has come.
    pub progress: Progress,
    /// Who recorded it, each name once.
    pub by: Vec<String>,
    /// When the last of it was written down.
    pub at: Option<DateTime<Utc>>,
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
    /// What came, in the material's own unit; null where nothing has.
    pub received: Option<i64>,
    /// How far it has come: partly_done where less came than was ordered.
    pub progress: Progress,
    /// Who said that it is here.
    pub by: Option<String>,
    /// When that was written down.
    pub at: Option<DateTime<Utc>>,
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
    /// Labour of all of them.
    pub labour_minutes: f64,
    /// How far it has come.
    pub progress: Progress,
    /// Who recorded what is done, each name once.
    pub by: Vec<String>,
    /// When the last of it was written down.
    pub at: Option<DateTime<Utc>>,
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
    /// Labour of it.
    pub labour_minutes: i64,
    /// How far it has come.
    pub progress: Progress,
    /// Who completed or voided it.
    pub by: Option<String>,
    /// When it was completed or voided.
    pub at: Option<DateTime<Utc>>,
}

/// The names of who said something, and when the last of it was written down.
fn said_by(said: &[said::Said]) -> (Vec<String>, Option<DateTime<Utc>>) {
    (said.iter().filter_map(|s| s.by.clone()).collect(), said.iter().filter_map(|s| s.at).max())
}

impl Task {
    /// A task; `over` where its day has ended.
    fn of(t: tasks::Task, over: bool) -> Self {
        let (by, at) = said_by(&t.said);
        Self {
            labour_minutes: t.minutes,
            progress: t.progress(over).into(),
            by,
            at,
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
        let over = sheet.over;
        let whole_orders = sheet.whole().map(str::to_owned).collect();
        let tickets = sheet.tickets.iter().map(|ticket| Progress::from(sheet.ticket_progress(ticket)));
        let tickets: Vec<Progress> = tickets.collect();
        let arrival = |a: domain::Arrival| DueDelivery {
            material: a.material,
            quantity_packs: a.packs,
            delivery: a.delivery.map(DeliveryId::get),
            overdue_since: a.overdue_since,
            received: a.received.map(Amount::get),
            progress: a.progress.into(),
            by: a.said.by,
            at: a.said.at,
        };
        let brief = |(t, progress): (workshop::tickets::Ticket, Progress)| TicketInBrief {
            number: t.number.to_string(),
            revision: RevisionText::of(&t.revision),
            batch_volume_l: t.batch.get() as f64 / 1000.0,
            state: t.state.into(),
            moulds_filled: feeds::words::fills(&t.fills),
            labour_minutes: t.labour.get(),
            progress,
            by: t.mixing.by,
            at: t.closed_at,
        };
        let pour = |p: domain::PlannedPour| DuePour {
            day: p.pour.day,
            panel: p.pour.panel,
            mix: p.pour.mix,
            quantity_panels: p.pour.quantity,
            labour_minutes: p.minutes,
            progress: workshop::said::Progress::of(0, 1, over).into(),
        };
        let dispatch = |d: domain::Dispatch| {
            let (by, at) = said_by(&d.said);
            Dispatch { order: d.order, panels_sent: d.panels, progress: d.progress.into(), by, at }
        };
        Self {
            day: sheet.day,
            run: run.map(RunId::get),
            issued,
            labour_minutes: sheet.labour_minutes,
            deliveries: sheet.arrivals.into_iter().map(arrival).collect(),
            ready: sheet.ready.into_iter().map(|t| Task::of(t, over)).collect(),
            lifts: sheet.lifts.into_iter().map(|t| Task::of(t, over)).collect(),
            slow: sheet.slow.into_iter().map(Slow::from).collect(),
            strips: sheet.strips.into_iter().map(|t| Task::of(t, over)).collect(),
            upkeep: sheet.upkeep.into_iter().map(DueUpkeep::from).collect(),
            pours: sheet.pours.into_iter().map(pour).collect(),
            tickets: sheet.tickets.into_iter().zip(tickets).map(brief).collect(),
            whole_orders,
            dispatches: sheet.dispatches.into_iter().map(dispatch).collect(),
        }
    }
}
