//! Upkeep of a small workshop in the week of Monday 4 May 2026; Saturdays and Sundays are not worked.

use super::*;
use crate::planning::example::{day, snapshot};

fn task(id: &str, every_days: i64) -> UpkeepTask {
    UpkeepTask {
        id: UpkeepTaskId::parse(id).unwrap(),
        name: id.into(),
        place: Place::Tank(TankId::parse("north").unwrap()),
        every_days,
        first_on: day("2026-05-01"),
        last_on: None,
        minutes: Minutes::new(5),
        measures: None,
        note: None,
    }
}

fn report(id: &str, on: &str, done: bool) -> UpkeepReport {
    let task = UpkeepTaskId::parse(id).unwrap();
    UpkeepReport { task, day: day(on), done, value: None, note: None, said: Said::default() }
}

/// What stands on a day's sheet: the task, the day it was due, how far it has come.
fn sheet(tasks: &[UpkeepTask], last: Option<&str>, reports: &[UpkeepReport], on: &str) -> Vec<(String, Day, Progress)> {
    let snapshot = snapshot();
    let last_done = tasks.iter().filter_map(|t| Some((t.id.clone(), day(last?)))).collect();
    let known = Known { tasks, last_done: &last_done, reports };
    let found = entries(&known, &snapshot.work_calendar(), day(on), day("2026-05-05"));
    found.into_iter().map(|e| (e.task.id.to_string(), e.due_on, e.progress)).collect()
}

#[test]
fn a_task_is_due_so_many_days_after_it_was_done_and_stays_until_it_is() {
    let water = [task("water", 7)];
    // When it was last done, the day of the sheet, the day it was due; none where it is not on the sheet.
    let cases = [
        (Some("2026-04-28"), "2026-05-05", Some("2026-05-05")),
        (Some("2026-04-29"), "2026-05-05", None),
        (Some("2026-04-24"), "2026-05-05", Some("2026-05-01")),
        (None, "2026-05-05", Some("2026-05-01")),
        (None, "2026-04-30", None),
    ];
    for (last, on, due) in cases {
        let found: Vec<Day> = sheet(&water, last, &[], on).into_iter().map(|(_, due, _)| due).collect();
        assert_eq!(found, due.map(day).into_iter().collect::<Vec<_>>(), "last {last:?}, sheet of {on}");
    }
}

#[test]
fn days_to_come_show_it_when_it_falls_due_and_never_on_a_day_off() {
    let every_third = [task("turn", 3)];
    // Last done on Monday the 4th: due on the 7th, the 10th (a Sunday, so Monday the 11th) and the 13th.
    let days = ["2026-05-06", "2026-05-07", "2026-05-08", "2026-05-10", "2026-05-11", "2026-05-12", "2026-05-13"];
    let shown: Vec<&str> =
        days.into_iter().filter(|on| !sheet(&every_third, Some("2026-05-04"), &[], on).is_empty()).collect();
    assert_eq!(shown, ["2026-05-07", "2026-05-11", "2026-05-13"]);
    let ended = [UpkeepTask { last_on: Some(day("2026-05-10")), ..every_third[0].clone() }];
    assert_eq!(sheet(&ended, Some("2026-05-04"), &[], "2026-05-11"), []);
}

#[test]
fn the_last_word_of_a_day_counts_and_a_past_day_without_one_was_not_done() {
    let daily = [task("cover", 1)];
    let on = "2026-05-05";
    let progress = |reports: &[UpkeepReport], on| {
        sheet(&daily, Some("2026-05-01"), reports, on).into_iter().map(|(.., p)| p).collect::<Vec<_>>()
    };
    assert_eq!(progress(&[], on), [Progress::ToDo]);
    assert_eq!(progress(&[report("cover", on, true)], on), [Progress::Done]);
    assert_eq!(progress(&[report("cover", on, true), report("cover", on, false)], on), [Progress::NotDone]);
    assert_eq!(progress(&[], "2026-05-04"), [Progress::NotDone]);
    // Done on a Saturday though nobody works then: it stands on that day's sheet.
    assert_eq!(progress(&[report("cover", "2026-05-02", true)], "2026-05-02"), [Progress::Done]);
}

#[test]
fn a_value_out_of_its_limits_is_remarked_on() {
    let measure = Measure { what: "the water".into(), unit: "°C".into(), low: Some(10.0), high: Some(25.0) };
    for (value, says) in [(9.5, Some("below 10")), (10.0, None), (25.0, None), (30.0, Some("above 25"))] {
        let said = out_of_limits(&measure, value);
        assert_eq!(said.is_some(), says.is_some(), "{value}");
        assert!(said.unwrap_or_default().contains(says.unwrap_or_default()), "{value}");
    }
}
