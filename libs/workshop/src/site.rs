//! The workshop itself: its clock, its days, its limits, its ways.

use chrono::{Datelike, NaiveDate as Day, NaiveTime, Timelike, Weekday};
use quantities::{Grams, Millimetres, Minutes};

use crate::soaking::SoakStep;
use crate::writing::Writing;

/// Which units pages, tickets and exports show. Ledgers and JSON stay in SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DisplayUnits {
    /// kg, L, mm, °C.
    Metric,
    /// lb, US gal, in, °F.
    UsCustomary,
}

/// What happens when a run brings a new plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TakingOver {
    /// It is put in force at once.
    ByItself,
    /// It waits until a person puts it in force.
    WaitForAPerson,
}

/// The one site being planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Workshop {
    /// Its name.
    pub name: String,
    /// IANA name of its time zone, as `Europe/Dublin`.
    pub time_zone: String,
    /// ISO 4217 code of its currency.
    pub currency: String,
    /// What people see.
    pub display_units: DisplayUnits,
    /// How people write days, decimals and times of day.
    pub writing: Writing,
    /// Weekdays usually worked.
    pub working_weekdays: Vec<Weekday>,
    /// Labour on a usual working day.
    pub labour_minutes: Minutes,
    /// Most batches on one day.
    pub mixer_batches: i64,
    /// Local time at which the day's tickets are issued.
    pub issue_at: NaiveTime,
    /// Local time from which the hold in the mould is counted.
    pub pour_at: NaiveTime,
    /// Local time at which panels are stripped.
    pub strip_at: NaiveTime,
    /// No pouring on a day expected colder than this, °C.
    pub least_air_c: f64,
    /// Air temperature where the calendar says nothing, °C.
    pub usual_air_c: f64,
    /// Gap between panels in a tank.
    pub tank_gap: Millimetres,
    /// Gap between panels on a rack.
    pub rack_gap: Millimetres,
    /// Smallest step of the scale.
    pub scale_resolution: Grams,
    /// Above this a panel is lifted by two people.
    pub lifting_limit: Grams,
    /// Least days in water by its temperature, in any order.
    pub soaking: Vec<SoakStep>,
    /// New plans.
    pub taking_over: TakingOver,
    /// How to plan.
    pub policy: Policy,
}

/// How to plan; goes into the facts.
#[derive(Clone, Debug, PartialEq)]
pub struct Policy {
    /// Days beyond the first that the horizon covers at least, 1 to 300.
    pub horizon_days: i64,
    /// Days added to what is not ready by the last day, 0 to 400.
    pub unmet_days: i64,
    /// Working days within which changes to the plan in force count, 0 to 30.
    pub steady_days: i64,
    /// Minor units an order-day late is worth.
    pub late_price: i64,
    /// Limit of a run, seconds, 1 to 3600; none where the run is limited by nodes.
    pub seconds: i64,
    /// Limit of a run by steps instead of the clock, for runs that repeat exactly.
    pub evaluations: Option<i64>,
    /// Threads of a run, 1 to 64.
    pub threads: i64,
    /// Seed of a run.
    pub seed: i64,
    /// Seconds without a further change after which a plan that is out of date is made anew; none where that waits for a
    /// person. 0 to 86400.
    pub calm_seconds: Option<i64>,
    /// Local time at which a plan is made every night, whatever changed; none where that is not wanted.
    pub night_at: Option<NaiveTime>,
}

/// How a named day differs from its weekday.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayWork {
    /// As its weekday says.
    Usual,
    /// Not worked.
    Closed,
    /// Worked, whatever its weekday.
    Worked,
}

/// What the calendar says of one day.
#[derive(Clone, Debug, PartialEq)]
pub struct CalendarDay {
    /// Which day.
    pub day: Day,
    /// Worked or not.
    pub work: DayWork,
    /// Labour, where not the usual.
    pub labour_minutes: Option<Minutes>,
    /// Expected mean air temperature, °C, -40 to 60.
    pub air_c: Option<f64>,
    /// Why.
    pub note: Option<String>,
}

/// A time of day as hours since midnight, 0 up to 24.
pub fn hours_of(time: NaiveTime) -> f64 {
    f64::from(time.num_seconds_from_midnight()) / 3600.0
}

impl Workshop {
    /// Whether `day` is worked, given what the calendar says of it.
    pub fn works_on(&self, day: Day, said: Option<&CalendarDay>) -> bool {
        match said.map(|s| s.work) {
            Some(DayWork::Closed) => false,
            Some(DayWork::Worked) => true,
            Some(DayWork::Usual) | None => self.working_weekdays.contains(&day.weekday()),
        }
    }
}
