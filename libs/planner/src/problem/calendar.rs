//! The working days of the horizon.

use chrono::NaiveDate as Day;

use super::DayIx;

/// The working days within the horizon, in order.
#[derive(Clone, Debug)]
pub struct Calendar {
    first: Day,
    days: Vec<Day>,
    offsets: Vec<i64>,
}

impl Calendar {
    /// Of the working days given, those from `first` to `last`.
    pub fn new(first: Day, last: Day, working_days: impl IntoIterator<Item = Day>) -> Self {
        let mut days: Vec<Day> = working_days.into_iter().filter(|day| (first..=last).contains(day)).collect();
        days.sort_unstable();
        days.dedup();
        let offsets = days.iter().map(|day| (*day - first).num_days()).collect();
        Calendar { first, days, offsets }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.days.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.days.is_empty()
    }

    /// The working day of an index below `len`.
    pub fn day(&self, at: DayIx) -> Day {
        self.days[at]
    }

    /// All working days.
    pub fn days(&self) -> &[Day] {
        &self.days
    }

    /// Calendar days from the first day to each working day.
    pub fn offsets(&self) -> &[i64] {
        &self.offsets
    }

    /// Index of that working day, if it is one.
    pub fn index(&self, day: Day) -> Option<DayIx> {
        self.days.binary_search(&day).ok()
    }

    /// First working day not before so many calendar days from the first day.
    pub fn on_or_after(&self, offset: i64) -> DayIx {
        self.offsets.partition_point(|o| *o < offset)
    }

    /// Calendar days from the first day to any day.
    pub fn offset(&self, day: Day) -> i64 {
        (day - self.first).num_days()
    }
}
