//! Local days and hours of issue, in ordinary nights and in those on which clocks change.

use chrono::{DateTime, Duration, NaiveTime, Utc, Weekday};
use workshop::site::DayWork;

use super::*;
use crate::issue::tests::workshop;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// A workshop that works every day and issues its tickets at this hour.
fn issuing(zone: &str, hour: u32, minute: u32) -> Workshop {
    let mut workshop = workshop();
    workshop.time_zone = zone.into();
    workshop.issue_at = NaiveTime::from_hms_opt(hour, minute, 0).unwrap();
    workshop.working_weekdays =
        [Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri, Weekday::Sat, Weekday::Sun].to_vec();
    workshop
}

fn due(workshop: &Workshop, now: DateTime<Utc>) -> Option<Day> {
    due_day(workshop, &[], local(workshop, now).unwrap())
}

/// The instants, minute by minute, at which a day becomes due that was not due before.
fn first_due(workshop: &Workshop, from: DateTime<Utc>, hours: i64) -> Vec<(String, String)> {
    let mut seen = due(workshop, from);
    let mut found = Vec::new();
    for minute in 1..=hours * 60 {
        let now = from + Duration::minutes(minute);
        let day = due(workshop, now);
        if let Some(due) = day.filter(|_| day != seen) {
            found.push((now.format("%Y-%m-%dT%H:%MZ").to_string(), due.to_string()));
            seen = day;
        }
    }
    found
}

fn pairs(of: &[(&str, &str)]) -> Vec<(String, String)> {
    of.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect()
}

#[test]
fn tickets_are_due_from_the_hour_of_issue_on_working_days() {
    let dublin = workshop();
    assert_eq!(due(&dublin, at("2026-05-04T04:59:59Z")), None);
    assert_eq!(due(&dublin, at("2026-05-04T05:00:00Z")), Some("2026-05-04".parse().unwrap()));
    assert_eq!(due(&dublin, at("2026-05-04T22:59:59Z")), Some("2026-05-04".parse().unwrap()));
    assert_eq!(due(&dublin, at("2026-05-03T12:00:00Z")), None, "a Sunday");
}

#[test]
fn the_calendar_closes_and_opens_days() {
    let dublin = workshop();
    let said = |day: &str, work| {
        let day = day.parse().unwrap();
        [CalendarDay { day, work, labour_minutes: None, air_c: None, note: None }]
    };
    let noon = |day: &str| local(&dublin, at(&format!("{day}T12:00:00Z"))).unwrap();
    assert_eq!(due_day(&dublin, &said("2026-05-04", DayWork::Closed), noon("2026-05-04")), None);
    assert!(due_day(&dublin, &said("2026-05-03", DayWork::Worked), noon("2026-05-03")).is_some());
}

#[test]
fn in_dublin_the_hour_that_does_not_exist_is_passed() {
    // 29 March 2026: 01:00 becomes 02:00 at 01:00 UTC, so 01:30 never comes.
    let found = first_due(&issuing("Europe/Dublin", 1, 30), at("2026-03-28T12:00:00Z"), 48);
    assert_eq!(found, pairs(&[("2026-03-29T01:00Z", "2026-03-29"), ("2026-03-30T00:30Z", "2026-03-30")]));
}

#[test]
fn in_dublin_the_hour_that_comes_twice_is_taken_at_its_first_coming() {
    // 25 October 2026: 02:00 becomes 01:00 at 01:00 UTC; 01:30 comes at 00:30 and at 01:30 UTC.
    let dublin = issuing("Europe/Dublin", 1, 30);
    let found = first_due(&dublin, at("2026-10-24T12:00:00Z"), 48);
    assert_eq!(found, pairs(&[("2026-10-25T00:30Z", "2026-10-25"), ("2026-10-26T01:30Z", "2026-10-26")]));
    // Between the two comings the clock shows less than 01:30 again: the day is simply not due for a while.
    assert_eq!(due(&dublin, at("2026-10-25T01:10:00Z")), None);
}

#[test]
fn in_new_york_both_nights_have_one_issue_each() {
    let new_york = issuing("America/New_York", 2, 30);
    // 8 March 2026: 02:00 becomes 03:00 at 07:00 UTC.
    let spring = first_due(&new_york, at("2026-03-07T12:00:00Z"), 48);
    assert_eq!(spring, pairs(&[("2026-03-08T07:00Z", "2026-03-08"), ("2026-03-09T06:30Z", "2026-03-09")]));
    // 1 November 2026: 02:00 becomes 01:00 at 06:00 UTC.
    let new_york = issuing("America/New_York", 1, 30);
    let autumn = first_due(&new_york, at("2026-10-31T12:00:00Z"), 48);
    assert_eq!(autumn, pairs(&[("2026-11-01T05:30Z", "2026-11-01"), ("2026-11-02T06:30Z", "2026-11-02")]));
}

#[test]
fn where_the_night_itself_has_no_midnight_the_day_still_begins() {
    // 25 April 2025 in Cairo began at 01:00: midnight did not exist.
    let cairo = issuing("Africa/Cairo", 0, 0);
    let found = first_due(&cairo, at("2025-04-24T12:00:00Z"), 24);
    assert_eq!(found, pairs(&[("2025-04-24T22:00Z", "2025-04-25")]));
}

#[test]
fn after_an_outage_only_today_is_due() {
    let dublin = workshop();
    assert_eq!(due(&dublin, at("2026-05-11T15:00:00Z")), Some("2026-05-11".parse().unwrap()));
}

#[test]
fn a_zone_no_one_knows_says_so() {
    let mut nowhere = workshop();
    nowhere.time_zone = "Ternland/Hollow".into();
    let error = local(&nowhere, at("2026-05-04T12:00:00Z")).unwrap_err().to_string();
    assert!(error.contains("Ternland/Hollow") && error.contains("IANA"), "{error}");
}
