//! Cold: when the weather is, the hours that count towards stripping where no strength is specified, frost before the
//! concrete can bear it, and soaking in cold water.

use quantities::{Celsius, Hours};

use crate::maturity::{HoldClock, Interval, age_factor};
use crate::{Fault, Faults, Source, Worked};

/// Mean daily air temperature below which a spell is cold: 40 °F.
const COLD_FAHRENHEIT: f64 = 40.0;
/// A cold spell lasts more than this many days.
const MILD_DAYS: usize = 3;
/// Air from which an hour counts towards stripping: 50 °F.
const STRIPPING_FAHRENHEIT: f64 = 50.0;
/// Degrees by which a conversion may miss a threshold given in the other scale.
const NOISE: f64 = 1.0e-9;

/// Which days are cold weather: those from the fourth on in a row of days whose mean air temperature is below 40 °F (5 °C).
/// (American Concrete Institute, Topics in concrete, cold weather concreting; a newer definition looks at any air below
/// 40 °F in the protection period.)
pub fn cold_days(daily: &[Celsius]) -> Vec<bool> {
    let mut run = 0;
    let counted = daily.iter().map(|mean| {
        run = if mean.fahrenheit() < COLD_FAHRENHEIT - NOISE { run + 1 } else { 0 };
        run > MILD_DAYS
    });
    counted.collect()
}

/// Which days are cold weather by the newer definition: days on which a pour would meet air
/// below 40 °F (5 °C) within its first `protected` days, its own included. (American Concrete Institute, Topics in concrete, cold weather
/// concreting.) The two definitions stand side by side; this one is the stricter.
pub fn cold_to_pour(air: &[DayOfAir], protected: usize) -> Vec<bool> {
    let cold = |day: &DayOfAir| day.least.fahrenheit() < COLD_FAHRENHEIT - NOISE;
    (0..air.len()).map(|day| air[day..].iter().take(protected.max(1)).any(cold)).collect()
}

/// Warm hours after which sides may be stripped where no strength is specified (ACI 347R-94): see [`stripping_hours`].
pub const STRIPPING_HOURS: f64 = 12.0;

/// Hours of air at 50 °F or more, added up; colder hours do not count. Sides of walls and columns may be stripped after
/// twelve where no strength is specified (ACI 347R-94). Ordinary concrete only: foamed panels need their own trials.
pub fn stripping_hours(air: &[Interval]) -> Hours {
    let warm = |interval: &&Interval| interval.temperature.fahrenheit() >= STRIPPING_FAHRENHEIT - NOISE;
    air.iter().filter(warm).map(|interval| interval.time).sum()
}

/// How the hours that count came about.
pub fn stripping_worked(air: &[Interval]) -> Worked {
    let (warm, all): (Hours, Hours) = (stripping_hours(air), air.iter().map(|interval| interval.time).sum());
    Worked {
        what: "hours that count".into(),
        formula: "Σ Δt where T ≥ 50 °F",
        numbers: format!("{:.1} h of {:.1} h", warm.hours(), all.hours()),
        result: warm.hours(),
        unit: "h",
        source: Source::STRIPPING,
    }
}

/// A calendar day's air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayOfAir {
    /// On average.
    pub mean: Celsius,
    /// At its coldest.
    pub least: Celsius,
}

/// The first day, counted from the pour's, on which frost is expected before Portland concrete is safe from it; none
/// where it is safe in time. `safe_age` is the age at 20 °C at which the mix reaches 3.5 MPa by its trials. No pour on
/// a day for which this gives one.
///
/// Errors: the days end before the concrete is safe.
pub fn frost_before_safe(safe_age: Hours, air: &[DayOfAir], clock: HoldClock) -> Result<Option<usize>, Faults> {
    for day in ageing(air, clock) {
        if day.air.least.celsius() <= 0.0 {
            return Ok(Some(day.day));
        }
        if day.age >= safe_age.hours() {
            return Ok(None);
        }
    }
    let what = format!("after {} days the concrete is not yet safe from frost", air.len());
    Err(Fault::new("/air", what, "give the air of more days").into())
}

/// The days up to the first frost, or to the one on which the concrete is safe from it: the hours counted, the factor of
/// the day's temperature and the age reached.
pub fn frost_worked(safe_age: Hours, air: &[DayOfAir], clock: HoldClock) -> Vec<Worked> {
    let settled = |day: &AgeingDay| day.air.least.celsius() <= 0.0 || day.age >= safe_age.hours();
    let last = ageing(air, clock).position(|day| settled(&day)).map_or(air.len(), |day| day + 1);
    let line = |day: AgeingDay| Worked {
        what: format!("age after day {}, coldest {:.1}", day.day, day.air.least),
        formula: "t = Σ exp(-Q (1/T - 1/293.15)) Δt, Q = 5000 K",
        numbers: format!("{} h at {:.1} · {:.3}", day.hours, day.air.mean, day.factor),
        result: day.age,
        unit: "h",
        source: Source::EQUIVALENT_AGE,
    };
    ageing(air, clock).take(last).map(line).collect()
}

/// A day after a pour, and the age the concrete has reached at its end.
struct AgeingDay {
    day: usize,
    air: DayOfAir,
    hours: f64,
    factor: f64,
    /// At 20 °C, hours.
    age: f64,
}

/// The days after a pour one by one, the pour's from the pour hour.
fn ageing(air: &[DayOfAir], clock: HoldClock) -> impl Iterator<Item = AgeingDay> {
    air.iter().enumerate().scan(0.0, move |age, (day, air)| {
        let hours = if day == 0 { (24.0 - clock.pour_hour).clamp(0.0, 24.0) } else { 24.0 };
        let factor = age_factor(air.mean);
        *age += hours * factor;
        Some(AgeingDay { day, air: *air, hours, factor, age: *age })
    })
}

/// Least days under water by the water's temperature, as the workshop sets it.
#[derive(Clone, Debug, PartialEq)]
pub struct SoakTable {
    rows: Vec<(Celsius, u32)>,
}

impl SoakTable {
    /// From rows of (water at least so warm, least days): one or more, in any order, no temperature twice, colder water
    /// never for fewer days.
    pub fn new(rows: &[(Celsius, u32)]) -> Result<Self, Faults> {
        let mut rows = rows.to_vec();
        rows.sort_by(|a, b| b.0.celsius().total_cmp(&a.0.celsius()));
        let sound = rows.windows(2).all(|pair| pair[0].0 > pair[1].0 && pair[0].1 <= pair[1].1);
        if rows.is_empty() || !sound {
            let what = "the table has no rows, a temperature twice, or fewer days in colder water";
            return Err(Fault::new("/rows", what, "give each temperature once, days rising as it falls").into());
        }
        Ok(Self { rows })
    }

    /// Common practice, no source: 5 days from 20 °C, 7 from 15 °C, 11 from 10 °C.
    pub fn usual() -> Result<Self, Faults> {
        let rows = [(20.0, 5), (15.0, 7), (10.0, 11)].map(|(degrees, days)| (Celsius::from_celsius(degrees), days));
        let rows: Result<Vec<_>, _> = rows.into_iter().map(|(water, days)| Ok((water?, days))).collect();
        Self::new(&rows.map_err(|error| Fault::out_of_range("/rows", error))?)
    }

    /// Least days in water of a temperature: those of the nearest row that is not warmer. Water colder than the coldest row
    /// is a fault.
    pub fn least_days(&self, water: Celsius) -> Result<u32, Fault> {
        let row = self.rows.iter().find(|(from, _)| water >= *from);
        row.map(|(_, days)| *days).ok_or_else(|| {
            let what = format!("water of {water:.1} is colder than the table's coldest row");
            Fault::new("/water", what, "warm the tank, or add a row by the workshop's own trials")
        })
    }

    /// How the days came about: `days` is what [`Self::least_days`] gave for the same water.
    pub fn worked(water: Celsius, days: u32) -> Worked {
        Worked {
            what: "least days under water".into(),
            formula: "the nearest row that is not warmer",
            numbers: format!("{water:.1}"),
            result: f64::from(days),
            unit: "days",
            source: Source::PRACTICE,
        }
    }
}
