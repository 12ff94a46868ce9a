//! Holds from temperatures. The arithmetic is the mix library's; here it is which temperatures, which days, which kind.

use workshop::site::{CalendarDay, DayWork};

use super::*;
use crate::issue::tests::snapshot;

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

fn air(on: &str, air_c: f64) -> CalendarDay {
    CalendarDay { day: day(on), work: DayWork::Usual, labour_minutes: None, air_c: Some(air_c), note: None }
}

fn of<'a>(holds: &'a Holds, revision: &str) -> &'a Hold {
    holds.iter().find(|(id, _)| id.to_string() == revision).map(|(_, hold)| hold).unwrap()
}

#[test]
fn at_the_usual_temperature_every_day_holds_alike() {
    let holds = holds(&snapshot(), day("2026-05-04")).unwrap();
    // 15:00 to 08:00 is 17 hours; at 15 °C an hour counts for exp(-5000 (1/288.15 - 1/293.15)) = 0.744 hours. 20 hours at
    // 20 °C take 26.9 hours: not there at 8 in the morning (12.6), there the morning after (30.5).
    let grey = of(&holds, "grey@2");
    assert_eq!(grey.usual, 2);
    assert!(grey.on.is_empty(), "{grey:?}");
    assert_eq!(of(&holds, "rapid@1").usual, 2, "20 trial hours by the clock");
}

#[test]
fn cold_days_hold_longer_and_warm_days_shorter() {
    let mut s = snapshot();
    s.calendar = ["2026-05-05", "2026-05-06", "2026-05-07"].map(|d| air(d, 2.0)).to_vec();
    s.calendar.extend(["2026-06-01", "2026-06-02"].map(|d| air(d, 30.0)));
    let holds = holds(&s, day("2026-05-04")).unwrap();
    let grey = of(&holds, "grey@2");
    // At 2 °C an hour counts for 0.328: 5.6 hours by the first morning, 13.4 by the second; the third brings it to 24.6.
    assert_eq!(grey.when_poured_on(day("2026-05-05")), 3);
    // At 30 °C an hour counts for 1.755: 9 × 1.755 + 8 × 1.755 = 29.8 hours by the next morning.
    assert_eq!(grey.when_poured_on(day("2026-06-01")), 1);
    assert_eq!(grey.when_poured_on(day("2026-07-01")), 2);
    // Rapid-setting cement goes by its own trial hours, whatever the air.
    assert!(of(&holds, "rapid@1").on.is_empty());
}

#[test]
fn a_mix_that_never_hardens_is_a_fault() {
    let mut s = snapshot();
    s.workshop.usual_air_c = -10.0;
    let faults = holds(&s, day("2026-05-04")).unwrap_err();
    assert!(faults.iter().any(|f| f.pointer.contains("grey@2") && f.detail.contains("not harden")), "{faults:?}");
}

#[test]
fn a_winter_without_end_holds_longer_than_any_plan() {
    let mut s = snapshot();
    s.calendar = days(day("2026-05-04"), day("2027-12-31")).map(|d| air(&d.to_string(), -5.0)).collect();
    let holds = holds(&s, day("2026-05-04")).unwrap();
    assert!(of(&holds, "grey@2").when_poured_on(day("2026-05-04")) > 400);
}
