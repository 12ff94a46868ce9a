//! Forms of upkeep tasks and of what is said of them.

use chrono::{DateTime, NaiveDate, Utc};
use quantities::Minutes;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::checks;
use workshop::ids::{RackId, TankId, UpkeepTaskId};
use workshop::upkeep as domain;

use super::basics::{Id, id, sound};
use super::day::Progress;
use crate::http::body::Incoming;

/// Something a tank, a rack or the workshop needs every so many days.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "water-temperature", "name": "Temperature of the water", "tank": "north-tank", "every_days": 1, "first_on": "2026-05-04",
    "labour_minutes": 2, "measures": { "what": "temperature of the water", "unit": "°C", "low": 10.0 },
    "note": "panels soak slower in cold water; common practice, no source",
}))]
pub struct UpkeepTask {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// At which tank; null where it is not at a tank.
    pub tank: Option<Id>,
    /// At which rack; null where it is not at a rack. Without tank and rack it is done in the workshop.
    pub rack: Option<Id>,
    /// Days from one time to the next.
    #[schema(minimum = 1, maximum = 366)]
    pub every_days: i64,
    /// The first day it is to be done.
    pub first_on: NaiveDate,
    /// The last day it is to be done; null where there is no end.
    pub last_on: Option<NaiveDate>,
    /// Labour.
    #[schema(minimum = 0, maximum = 1440)]
    pub labour_minutes: i64,
    /// What is measured, if anything.
    pub measures: Option<Measure>,
    /// How and why, and on whose word.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

/// What is measured while a task is done.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// What it is.
    #[schema(min_length = 1, max_length = 200)]
    pub what: String,
    /// In which unit.
    #[schema(min_length = 1, max_length = 200)]
    pub unit: String,
    /// Least that is as it should be.
    #[schema(minimum = -1000000, maximum = 1000000)]
    pub low: Option<f64>,
    /// Most that is as it should be.
    #[schema(minimum = -1000000, maximum = 1000000)]
    pub high: Option<f64>,
}

impl Incoming for UpkeepTask {
    type Domain = domain::UpkeepTask;

    fn into_domain(self) -> Result<domain::UpkeepTask, Vec<Fault>> {
        let tank = self.tank.as_ref().map(|t| id("/tank", TankId::parse, t)).transpose()?;
        let rack = self.rack.as_ref().map(|r| id("/rack", RackId::parse, r)).transpose()?;
        let both = tank.is_some() && rack.is_some();
        let place = match (tank, rack) {
            (Some(tank), _) => domain::Place::Tank(tank),
            (None, Some(rack)) => domain::Place::Rack(rack),
            (None, None) => domain::Place::Workshop,
        };
        let measures = self.measures.map(|m| domain::Measure { what: m.what, unit: m.unit, low: m.low, high: m.high });
        let task = domain::UpkeepTask {
            id: id("/id", UpkeepTaskId::parse, &self.id)?,
            name: self.name,
            place,
            every_days: self.every_days,
            first_on: self.first_on,
            last_on: self.last_on,
            minutes: Minutes::new(self.labour_minutes),
            measures,
            note: self.note,
        };
        let mut faults = checks::upkeep::task_faults(&task);
        if both {
            faults.push(Fault::at("/rack", "is given beside a tank: a task is at one of them; make two tasks"));
        }
        sound(task, faults)
    }
}

impl From<domain::UpkeepTask> for UpkeepTask {
    fn from(task: domain::UpkeepTask) -> Self {
        let (tank, rack) = place(&task.place);
        let measure = |m: domain::Measure| Measure { what: m.what, unit: m.unit, low: m.low, high: m.high };
        Self {
            id: Id::of(&task.id),
            name: task.name,
            tank,
            rack,
            every_days: task.every_days,
            first_on: task.first_on,
            last_on: task.last_on,
            labour_minutes: task.minutes.get(),
            measures: task.measures.map(measure),
            note: task.note,
        }
    }
}

fn place(place: &domain::Place) -> (Option<Id>, Option<Id>) {
    match place {
        domain::Place::Tank(tank) => (Some(Id::of(tank)), None),
        domain::Place::Rack(rack) => (None, Some(Id::of(rack))),
        domain::Place::Workshop => (None, None),
    }
}

/// What is said of a task on a day.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "task": "water-temperature", "done": true, "value": 14.5 }))]
pub struct GivenUpkeep {
    /// Which task.
    pub task: Id,
    /// Whether it was done.
    pub done: bool,
    /// What was measured, in the task's unit; needed where something is measured and the task was done.
    #[schema(minimum = -1000000, maximum = 1000000)]
    pub value: Option<f64>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

/// It as it was given.
#[derive(Clone, Debug)]
pub struct UpkeepGiven {
    /// Which task.
    pub task: UpkeepTaskId,
    /// Whether it was done.
    pub done: bool,
    /// What was measured.
    pub value: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
}

impl Incoming for GivenUpkeep {
    type Domain = UpkeepGiven;

    fn into_domain(self) -> Result<UpkeepGiven, Vec<Fault>> {
        let task = id("/task", UpkeepTaskId::parse, &self.task)?;
        Ok(UpkeepGiven { task, done: self.done, value: self.value, note: self.note })
    }
}

/// What was said of a task.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "task": "water-temperature", "day": "2026-05-04", "done": true, "value": 9.0, "note": null, "by": "bench tablet", "at": "2026-05-04T08:12:00Z",
    "remark": "temperature of the water is 9 °C, below 10 °C: see to it today",
}))]
pub struct UpkeepReport {
    /// Which task.
    pub task: Id,
    /// The workshop's day.
    pub day: NaiveDate,
    /// Whether it was done.
    pub done: bool,
    /// What was measured, in the task's unit.
    pub value: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
    /// The name of the token it came with; null where there was none.
    pub by: Option<String>,
    /// When it was written down.
    pub at: Option<DateTime<Utc>>,
    /// What to look at: a value out of its limits.
    pub remark: Option<String>,
}

impl UpkeepReport {
    /// A report, held against what its task measures.
    pub fn of(report: domain::UpkeepReport, measures: Option<&domain::Measure>) -> Self {
        let remark = measures.zip(report.value).and_then(|(measure, value)| domain::out_of_limits(measure, value));
        Self {
            task: Id::of(&report.task),
            day: report.day,
            done: report.done,
            value: report.value,
            note: report.note,
            by: report.said.by,
            at: report.said.at,
            remark,
        }
    }
}

/// An upkeep task on a day's sheet.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct DueUpkeep {
    /// Which task.
    pub task: Id,
    /// Its name.
    pub name: String,
    /// At which tank.
    pub tank: Option<Id>,
    /// At which rack.
    pub rack: Option<Id>,
    /// The day it was due; before the sheet's day where it is overdue.
    pub due_on: NaiveDate,
    /// Labour.
    pub labour_minutes: i64,
    /// What is measured, if anything.
    pub measures: Option<Measure>,
    /// How far it has come.
    pub progress: Progress,
    /// What was measured, in its unit.
    pub value: Option<f64>,
    /// Who said so.
    pub by: Option<String>,
    /// When that was written down.
    pub at: Option<DateTime<Utc>>,
    /// Anything to remember.
    pub note: Option<String>,
    /// What to look at: a value out of its limits.
    pub remark: Option<String>,
}

impl From<domain::UpkeepEntry> for DueUpkeep {
    fn from(entry: domain::UpkeepEntry) -> Self {
        let task = UpkeepTask::from(entry.task);
        let (value, said, note) = entry.report.map(|r| (r.value, r.said, r.note)).unwrap_or_default();
        Self {
            task: task.id,
            name: task.name,
            tank: task.tank,
            rack: task.rack,
            due_on: entry.due_on,
            labour_minutes: task.labour_minutes,
            measures: task.measures,
            progress: entry.progress.into(),
            value,
            by: said.by,
            at: said.at,
            note: note.or(task.note),
            remark: entry.remark,
        }
    }
}
