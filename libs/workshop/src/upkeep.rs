//! Upkeep tasks: what a tank, a rack or the workshop needs every so many days, and what was said of it.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate as Day};
use quantities::Minutes;

use crate::ids::{RackId, TankId, UpkeepTaskId};
use crate::planning::WorkCalendar;
use crate::said::{Progress, Said};

/// Where an upkeep task is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// At a tank.
    Tank(TankId),
    /// At a rack.
    Rack(RackId),
    /// Anywhere else in the workshop.
    Workshop,
}

/// What is measured while a task is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// What it is, as `temperature of the water`.
    pub what: String,
    /// In which unit, as `°C`.
    pub unit: String,
    /// Least that is as it should be.
    pub low: Option<f64>,
    /// Most that is as it should be.
    pub high: Option<f64>,
}

/// Something that has to be done again and again.
#[derive(Clone, Debug, PartialEq)]
pub struct UpkeepTask {
    /// Its id.
    pub id: UpkeepTaskId,
    /// As people say it.
    pub name: String,
    /// Where.
    pub place: Place,
    /// Days from one time to the next, 1 to 366.
    pub every_days: i64,
    /// The first day it is to be done.
    pub first_on: Day,
    /// The last day it is to be done; none where there is no end.
    pub last_on: Option<Day>,
    /// Labour, 0 to 1440 minutes.
    pub minutes: Minutes,
    /// What is measured, if anything.
    pub measures: Option<Measure>,
    /// How and why, and on whose word.
    pub note: Option<String>,
}

impl UpkeepTask {
    /// The tank whose water's temperature it measures: what a task at a tank measures in °C.
    pub fn measures_water(&self) -> Option<&TankId> {
        let celsius = self.measures.as_ref().is_some_and(|m| m.unit.trim() == "°C");
        match &self.place {
            Place::Tank(tank) if celsius => Some(tank),
            _ => None,
        }
    }
}

/// What a person said of a task on a day. A later report of the same day takes the place of an earlier one; both are kept.
#[derive(Clone, Debug, PartialEq)]
pub struct UpkeepReport {
    /// Of which task.
    pub task: UpkeepTaskId,
    /// The workshop's day.
    pub day: Day,
    /// Whether it was done.
    pub done: bool,
    /// What was measured, in the task's unit.
    pub value: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
    /// Who said so, and when.
    pub said: Said,
}

/// A task on a day's sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct UpkeepEntry {
    /// The task.
    pub task: UpkeepTask,
    /// The day it was due; before the sheet's day where it is overdue.
    pub due_on: Day,
    /// How far it has come.
    pub progress: Progress,
    /// What was said of it that day.
    pub report: Option<UpkeepReport>,
    /// What to look at: a measure out of its limits.
    pub remark: Option<String>,
}

/// What is known of tasks on the day whose sheet is written.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a> {
    /// All tasks.
    pub tasks: &'a [UpkeepTask],
    /// When each was last done before the day.
    pub last_done: &'a BTreeMap<UpkeepTaskId, Day>,
    /// What was said on the day, the last word of each task.
    pub reports: &'a [UpkeepReport],
}

/// The day a task is due next, after it was last done.
pub fn due_on(task: &UpkeepTask, last_done: Option<Day>) -> Day {
    let every = Days::new(task.every_days.max(1).unsigned_abs());
    last_done.map_or(task.first_on, |day| (day + every).max(task.first_on))
}

/// The tasks on the sheet of `day`, by their place and name. A task that is due stays on each working day's sheet until it is
/// done; on days to come it is shown as if it were done whenever it is due.
pub fn entries(known: &Known, calendar: &WorkCalendar, day: Day, today: Day) -> Vec<UpkeepEntry> {
    let mut found: Vec<UpkeepEntry> =
        known.tasks.iter().filter_map(|task| entry(task, known, calendar, day, today)).collect();
    found.sort_by(|a, b| (place_key(&a.task), &a.task.name).cmp(&(place_key(&b.task), &b.task.name)));
    found
}

fn entry(task: &UpkeepTask, known: &Known, calendar: &WorkCalendar, day: Day, today: Day) -> Option<UpkeepEntry> {
    let report = known.reports.iter().rfind(|r| r.task == task.id && r.day == day);
    let due = due_on(task, known.last_done.get(&task.id).copied());
    let asked = if day > today { falls_on(task, due, calendar, day) } else { due <= day && calendar.works_on(day) };
    let ended = task.last_on.is_some_and(|last| day > last);
    if report.is_none() && (!asked || ended) {
        return None;
    }
    let progress = match report {
        Some(report) if report.done => Progress::Done,
        Some(_) => Progress::NotDone,
        None => Progress::of(0, 1, day < today),
    };
    let remark = report.and_then(|r| out_of_limits(task.measures.as_ref()?, r.value?));
    let due_on = if day > today { day } else { due.min(day) };
    Some(UpkeepEntry { task: task.clone(), due_on, progress, report: report.cloned(), remark })
}

/// Whether a day to come is the one on which a task is next to be done: its own day, or the first working day after it.
fn falls_on(task: &UpkeepTask, due: Day, calendar: &WorkCalendar, day: Day) -> bool {
    let every = task.every_days.max(1);
    let since = (day - due).num_days();
    if since < 0 || !calendar.works_on(day) {
        return false;
    }
    let own_day = day - Days::new((since % every).unsigned_abs());
    calendar.next_after(own_day - Days::new(1)) == Some(day)
}

fn place_key(task: &UpkeepTask) -> (u8, &str) {
    match &task.place {
        Place::Tank(tank) => (0, tank.as_str()),
        Place::Rack(rack) => (1, rack.as_str()),
        Place::Workshop => (2, ""),
    }
}

/// What to say of a value that is not as it should be.
pub fn out_of_limits(measure: &Measure, value: f64) -> Option<String> {
    let Measure { what, unit, low, high } = measure;
    match (low.filter(|low| value < *low), high.filter(|high| value > *high)) {
        (Some(low), _) => Some(format!("{what} is {value} {unit}, below {low} {unit}: see to it today")),
        (_, Some(high)) => Some(format!("{what} is {value} {unit}, above {high} {unit}: see to it today")),
        _ => None,
    }
}
