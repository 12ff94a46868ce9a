//! Faults of upkeep tasks and of what is said of them.

use chrono::NaiveDate as Day;

use super::found::Found;
use crate::Fault;
use crate::upkeep::{UpkeepReport, UpkeepTask};

/// Values that any instrument of a workshop shows.
const VALUES: core::ops::RangeInclusive<f64> = -1_000_000.0..=1_000_000.0;

/// Every fault of a task.
pub fn task_faults(task: &UpkeepTask) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &task.name);
    found.whole("/every_days", task.every_days, 1..=366);
    found.day("/first_on", task.first_on);
    if let Some(last) = task.last_on {
        found.day("/last_on", last);
        found.ensure(task.first_on <= last, "/last_on", || {
            format!("{last} is before the first day, {}: give that day or a later one", task.first_on)
        });
    }
    found.whole("/labour_minutes", task.minutes.get(), 0..=1440);
    if let Some(measure) = &task.measures {
        found.name("/measures/what", &measure.what);
        found.name("/measures/unit", &measure.unit);
        for (field, value) in [("low", measure.low), ("high", measure.high)] {
            if let Some(value) = value {
                found.number(&format!("/measures/{field}"), value, VALUES);
            }
        }
        if let Some((low, high)) = measure.low.zip(measure.high) {
            found.ensure(low <= high, "/measures/high", || format!("{high} is below the least, {low}: give more"));
        }
    }
    found.note("/note", task.note.as_deref());
    found.all()
}

/// Every fault of a report, given the task it is of and the workshop's day.
pub fn report_faults(report: &UpkeepReport, task: &UpkeepTask, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    let day = report.day;
    found.day("/path/day", day);
    found.ensure(day <= today, "/path/day", || format!("{day} has not come yet: today is {today}"));
    match (&task.measures, report.value) {
        (None, Some(_)) => {
            found.add("/value", format!("is given, but nothing is measured at '{}': leave it out", task.id))
        }
        (Some(measure), None) if report.done => {
            found.add("/value", format!("is missing: give {} in {}", measure.what, measure.unit));
        }
        (_, Some(value)) => found.number("/value", value, VALUES),
        _ => {}
    }
    found.note("/note", report.note.as_deref());
    found.all()
}
