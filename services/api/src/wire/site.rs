//! Forms of the workshop and its calendar.

use chrono::{NaiveDate, NaiveTime, Weekday};
use quantities::{Grams, Millimetres, Minutes};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::checks;
use workshop::site as domain;
use workshop::soaking::SoakStep;
use workshop::writing as written;

use super::basics::{sound, words};
use crate::http::body::Incoming;

words!(
    /// Which units pages, tickets and exports show.
    DisplayUnits for domain::DisplayUnits { Metric, UsCustomary }
);

words!(
    /// What happens when a run brings a new plan.
    TakingOver for domain::TakingOver {
        /// It is put in force at once.
        ByItself,
        /// It waits until a person puts it in force.
        WaitForAPerson,
    }
);

words!(
    /// In which order people write the parts of a day.
    DateOrder for written::DateOrder { DayFirst, MonthFirst, YearFirst }
);

words!(
    /// What people write before decimals.
    DecimalSign for written::DecimalSign { Point, Comma }
);

/// How people write a time of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub enum Clock {
    /// 15:30.
    #[serde(rename = "hours_24")]
    Hours24,
    /// 3:30 pm.
    #[serde(rename = "hours_12")]
    Hours12,
}

/// How pages and paper write days, decimals and times of day, and how decimals are typed there; JSON and feeds are written one
/// way only.
#[derive(Clone, Copy, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Writing {
    /// Days.
    pub dates: DateOrder,
    /// Decimals.
    pub decimals: DecimalSign,
    /// Times of day.
    pub clock: Clock,
}

impl From<Writing> for written::Writing {
    fn from(w: Writing) -> Self {
        let clock = match w.clock {
            Clock::Hours24 => written::Clock::Hours24,
            Clock::Hours12 => written::Clock::Hours12,
        };
        Self { dates: w.dates.into(), decimals: w.decimals.into(), clock }
    }
}

impl From<written::Writing> for Writing {
    fn from(w: written::Writing) -> Self {
        let clock = match w.clock {
            written::Clock::Hours24 => Clock::Hours24,
            written::Clock::Hours12 => Clock::Hours12,
        };
        Self { dates: w.dates.into(), decimals: w.decimals.into(), clock }
    }
}

/// A day of the week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(as = Weekday)]
pub enum WeekdayText {
    /// Monday.
    Monday,
    /// Tuesday.
    Tuesday,
    /// Wednesday.
    Wednesday,
    /// Thursday.
    Thursday,
    /// Friday.
    Friday,
    /// Saturday.
    Saturday,
    /// Sunday.
    Sunday,
}

const WEEK: [(WeekdayText, Weekday); 7] = [
    (WeekdayText::Monday, Weekday::Mon),
    (WeekdayText::Tuesday, Weekday::Tue),
    (WeekdayText::Wednesday, Weekday::Wed),
    (WeekdayText::Thursday, Weekday::Thu),
    (WeekdayText::Friday, Weekday::Fri),
    (WeekdayText::Saturday, Weekday::Sat),
    (WeekdayText::Sunday, Weekday::Sun),
];

impl From<WeekdayText> for Weekday {
    fn from(text: WeekdayText) -> Self {
        WEEK.iter().find(|(t, _)| *t == text).map_or(Weekday::Mon, |(_, day)| *day)
    }
}

impl From<Weekday> for WeekdayText {
    fn from(day: Weekday) -> Self {
        WEEK.iter().find(|(_, d)| *d == day).map_or(WeekdayText::Monday, |(text, _)| *text)
    }
}

/// The one site being planned.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "name": "Tern Hollow Garden Castings", "time_zone": "Europe/Dublin", "currency": "EUR", "display_units": "metric",
    "writing": { "dates": "day_first", "decimals": "point", "clock": "hours_24" },
    "working_weekdays": ["monday", "tuesday", "wednesday", "thursday", "friday"], "labour_minutes": 840, "mixer_batches": 6,
    "issue_at": "06:00", "pour_at": "15:00", "strip_at": "08:00", "least_air_c": 5.0, "usual_air_c": 15.0,
    "tank_gap_mm": 15, "rack_gap_mm": 40, "scale_resolution_g": 5, "lifting_limit_g": 25000,
    "soaking": [{ "water_c": 20.0, "least_days": 5 }, { "water_c": 15.0, "least_days": 7 }, { "water_c": 10.0, "least_days": 11 }], "taking_over": "by_itself",
    "policy": { "horizon_days": 60, "unmet_days": 30, "steady_days": 3, "late_price_minor": 500, "seconds": 30, "threads": 2, "seed": 1, "calm_seconds": 120, "night_at": "02:00" },
}))]
pub struct Workshop {
    /// Its name.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// IANA name of its time zone.
    #[schema(min_length = 1, max_length = 60)]
    pub time_zone: String,
    /// ISO 4217 code of its currency.
    #[schema(min_length = 3, max_length = 3)]
    pub currency: String,
    /// What people see; JSON stays in SI.
    pub display_units: DisplayUnits,
    /// How people write days, decimals and times of day; left out: day first, a point, 24 hours.
    pub writing: Option<Writing>,
    /// Weekdays usually worked.
    #[schema(min_items = 1, max_items = 7)]
    pub working_weekdays: Vec<WeekdayText>,
    /// Labour on a usual working day.
    #[schema(minimum = 0, maximum = 100000)]
    pub labour_minutes: i64,
    /// Most batches on one day.
    #[schema(minimum = 0, maximum = 1000)]
    pub mixer_batches: i64,
    /// Local time at which the day's tickets are issued.
    #[schema(format = "time")]
    pub issue_at: String,
    /// Local time from which the hold in the mould is counted.
    #[schema(format = "time")]
    pub pour_at: String,
    /// Local time at which panels are stripped.
    #[schema(format = "time")]
    pub strip_at: String,
    /// No pouring on a day expected colder than this, °C.
    #[schema(minimum = -40, maximum = 60)]
    pub least_air_c: f64,
    /// Air temperature where the calendar says nothing, °C.
    #[schema(minimum = -40, maximum = 60)]
    pub usual_air_c: f64,
    /// Gap between panels in a tank, mm.
    #[schema(minimum = 0, maximum = 1000)]
    pub tank_gap_mm: i64,
    /// Gap between panels on a rack, mm.
    #[schema(minimum = 0, maximum = 1000)]
    pub rack_gap_mm: i64,
    /// Smallest step of the scale, g.
    #[schema(minimum = 1, maximum = 10000)]
    pub scale_resolution_g: i64,
    /// Above this a panel is lifted by two people, g.
    #[schema(minimum = 1000, maximum = 1000000)]
    pub lifting_limit_g: i64,
    /// Least days in the tank by the temperature measured in its water; left out: as they are, at first those of common
    /// practice. A day counts in full at the warmest of them, and less in colder water.
    #[schema(min_items = 1, max_items = 20)]
    pub soaking: Option<Vec<SoakingStep>>,
    /// What happens with new plans.
    pub taking_over: TakingOver,
    /// How to plan.
    pub policy: Policy,
}

/// Least days in water of one temperature.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SoakingStep {
    /// Temperature of the water, °C.
    #[schema(minimum = 0, maximum = 60)]
    pub water_c: f64,
    /// Least days in it.
    #[schema(minimum = 1, maximum = 90)]
    pub least_days: i64,
}

/// How to plan.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Policy {
    /// Days beyond the first that the horizon covers at least.
    #[schema(minimum = 1, maximum = 300)]
    pub horizon_days: i64,
    /// Days added to what is not ready by the last day.
    #[schema(minimum = 0, maximum = 400)]
    pub unmet_days: i64,
    /// Working days within which changes to the plan in force count.
    #[schema(minimum = 0, maximum = 30)]
    pub steady_days: i64,
    /// Minor currency units an order-day late is worth.
    #[schema(minimum = 0, maximum = 1000000000)]
    pub late_price_minor: i64,
    /// Limit of a run, seconds.
    #[schema(minimum = 1, maximum = 3600)]
    pub seconds: i64,
    /// Limit of a run by steps instead of the clock, for runs that repeat exactly.
    #[schema(minimum = 1, maximum = 1000000000)]
    pub evaluations: Option<i64>,
    /// Threads of a run.
    #[schema(minimum = 1, maximum = 64)]
    pub threads: i64,
    /// Seed of a run.
    #[schema(minimum = 0, maximum = 2147483647)]
    pub seed: i64,
    /// Seconds without a further change after which a plan that is out of date is made anew; null where that waits for a
    /// person.
    #[schema(minimum = 0, maximum = 86400)]
    pub calm_seconds: Option<i64>,
    /// Local time at which a plan is made every night, whatever changed; null where that is not wanted.
    #[schema(format = "time")]
    pub night_at: Option<String>,
}

impl Incoming for Workshop {
    type Domain = domain::Workshop;

    fn into_domain(self) -> Result<domain::Workshop, Vec<Fault>> {
        let workshop = domain::Workshop {
            issue_at: time("/issue_at", &self.issue_at)?,
            pour_at: time("/pour_at", &self.pour_at)?,
            strip_at: time("/strip_at", &self.strip_at)?,
            name: self.name,
            time_zone: self.time_zone,
            currency: self.currency,
            display_units: self.display_units.into(),
            writing: self.writing.map_or_else(written::Writing::default, written::Writing::from),
            working_weekdays: self.working_weekdays.into_iter().map(Weekday::from).collect(),
            labour_minutes: Minutes::new(self.labour_minutes),
            mixer_batches: self.mixer_batches,
            least_air_c: self.least_air_c,
            usual_air_c: self.usual_air_c,
            tank_gap: Millimetres::new(self.tank_gap_mm),
            rack_gap: Millimetres::new(self.rack_gap_mm),
            scale_resolution: Grams::new(self.scale_resolution_g),
            lifting_limit: Grams::new(self.lifting_limit_g),
            soaking: self.soaking.into_iter().flatten().map(SoakStep::from).collect(),
            taking_over: self.taking_over.into(),
            policy: domain::Policy {
                horizon_days: self.policy.horizon_days,
                unmet_days: self.policy.unmet_days,
                steady_days: self.policy.steady_days,
                late_price: self.policy.late_price_minor,
                seconds: self.policy.seconds,
                evaluations: self.policy.evaluations,
                threads: self.policy.threads,
                seed: self.policy.seed,
                calm_seconds: self.policy.calm_seconds,
                night_at: self.policy.night_at.map(|text| time("/policy/night_at", &text)).transpose()?,
            },
        };
        let mut faults = checks::site::faults(&workshop);
        if workshop.time_zone.parse::<chrono_tz::Tz>().is_err() {
            let detail = format!("'{}' is no IANA time zone: give one, as Europe/Dublin", workshop.time_zone);
            faults.push(Fault::at("/time_zone", detail));
        }
        sound(workshop, faults)
    }
}

fn time(pointer: &str, text: &str) -> Result<NaiveTime, Vec<Fault>> {
    let detail = || format!("'{text}' is not a time of day: give it as 07:00");
    crate::http::shape::time(text).ok_or_else(|| vec![Fault::at(pointer, detail())])
}

impl From<SoakingStep> for SoakStep {
    fn from(step: SoakingStep) -> Self {
        Self { water_c: step.water_c, least_days: step.least_days }
    }
}

impl From<SoakStep> for SoakingStep {
    fn from(step: SoakStep) -> Self {
        Self { water_c: step.water_c, least_days: step.least_days }
    }
}

impl From<domain::Workshop> for Workshop {
    fn from(w: domain::Workshop) -> Self {
        let time = |time: NaiveTime| time.format("%H:%M").to_string();
        Self {
            name: w.name,
            time_zone: w.time_zone,
            currency: w.currency,
            display_units: w.display_units.into(),
            writing: Some(w.writing.into()),
            working_weekdays: w.working_weekdays.into_iter().map(WeekdayText::from).collect(),
            labour_minutes: w.labour_minutes.get(),
            mixer_batches: w.mixer_batches,
            issue_at: time(w.issue_at),
            pour_at: time(w.pour_at),
            strip_at: time(w.strip_at),
            least_air_c: w.least_air_c,
            usual_air_c: w.usual_air_c,
            tank_gap_mm: w.tank_gap.get(),
            rack_gap_mm: w.rack_gap.get(),
            scale_resolution_g: w.scale_resolution.get(),
            lifting_limit_g: w.lifting_limit.get(),
            soaking: Some(w.soaking.into_iter().map(SoakingStep::from).collect()),
            taking_over: w.taking_over.into(),
            policy: Policy {
                horizon_days: w.policy.horizon_days,
                unmet_days: w.policy.unmet_days,
                steady_days: w.policy.steady_days,
                late_price_minor: w.policy.late_price,
                seconds: w.policy.seconds,
                evaluations: w.policy.evaluations,
                threads: w.policy.threads,
                seed: w.policy.seed,
                calm_seconds: w.policy.calm_seconds,
                night_at: w.policy.night_at.map(time),
            },
        }
    }
}

words!(
    /// How a named day differs from its weekday.
    DayWork for domain::DayWork {
        /// As its weekday says.
        Usual,
        /// Not worked.
        Closed,
        /// Worked, whatever its weekday.
        Worked,
    }
);

/// What the calendar says of one day.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "day": "2026-05-04", "work": "closed", "note": "bank holiday" }))]
pub struct CalendarDay {
    /// Which day.
    pub day: NaiveDate,
    /// Worked or not.
    pub work: DayWork,
    /// Labour, where not the usual.
    #[schema(minimum = 0, maximum = 100000)]
    pub labour_minutes: Option<i64>,
    /// Expected mean air temperature, °C.
    #[schema(minimum = -40, maximum = 60)]
    pub air_c: Option<f64>,
    /// Why.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

impl Incoming for CalendarDay {
    type Domain = domain::CalendarDay;

    fn into_domain(self) -> Result<domain::CalendarDay, Vec<Fault>> {
        let day = domain::CalendarDay {
            day: self.day,
            work: self.work.into(),
            labour_minutes: self.labour_minutes.map(Minutes::new),
            air_c: self.air_c,
            note: self.note,
        };
        let faults = checks::calendar::faults(&day);
        sound(day, faults)
    }
}

impl From<domain::CalendarDay> for CalendarDay {
    fn from(d: domain::CalendarDay) -> Self {
        Self {
            day: d.day,
            work: d.work.into(),
            labour_minutes: d.labour_minutes.map(Minutes::get),
            air_c: d.air_c,
            note: d.note,
        }
    }
}

/// One day as it will be, weekday and calendar together.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "day": "2026-05-05", "worked": true, "labour_minutes": 840, "air_c": 15.0, "too_cold_to_pour": false, "note": null }))]
pub struct ComputedDay {
    /// Which day.
    pub day: NaiveDate,
    /// Whether it is worked.
    pub worked: bool,
    /// Labour; 0 where it is not worked.
    pub labour_minutes: i64,
    /// Expected mean air temperature, °C.
    pub air_c: f64,
    /// Whether it is expected too cold for pouring, by the workshop's own limit.
    pub too_cold_to_pour: bool,
    /// What the calendar says about it.
    pub note: Option<String>,
}
