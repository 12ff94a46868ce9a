//! The working calendar: which days are worked, how long, and how warm they are expected to be.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate as Day};
use quantities::Minutes;

use crate::site::{CalendarDay, Workshop};

/// Days searched for a working day before the calendar is taken to have none.
const SEARCHED: u64 = 400;

/// The workshop's weekdays and hours, with what the calendar says of single days.
pub struct WorkCalendar<'a> {
    workshop: &'a Workshop,
    said: BTreeMap<Day, &'a CalendarDay>,
}

impl<'a> WorkCalendar<'a> {
    /// Of a workshop and its named days.
    pub fn new(workshop: &'a Workshop, days: &'a [CalendarDay]) -> Self {
        Self { workshop, said: days.iter().map(|d| (d.day, d)).collect() }
    }

    /// Whether the day is worked.
    pub fn works_on(&self, day: Day) -> bool {
        self.workshop.works_on(day, self.said.get(&day).copied())
    }

    /// The first working day after `day`; none where the next 400 days have none.
    pub fn next_after(&self, day: Day) -> Option<Day> {
        (1..=SEARCHED).filter_map(|n| day.checked_add_days(Days::new(n))).find(|d| self.works_on(*d))
    }

    /// The last working day not after `day`; none where the 400 days before have none.
    pub fn last_until(&self, day: Day) -> Option<Day> {
        (0..=SEARCHED).filter_map(|n| day.checked_sub_days(Days::new(n))).find(|d| self.works_on(*d))
    }

    /// Expected mean air temperature, °C.
    pub fn air_c(&self, day: Day) -> f64 {
        self.said.get(&day).and_then(|d| d.air_c).unwrap_or(self.workshop.usual_air_c)
    }

    /// Labour of a day, where the calendar names it.
    pub fn labour_said(&self, day: Day) -> Option<Minutes> {
        self.said.get(&day).and_then(|d| d.labour_minutes)
    }
}

/// The days from `first` to `last`, both included.
pub fn days(first: Day, last: Day) -> impl Iterator<Item = Day> {
    first.iter_days().take_while(move |d| *d <= last)
}
