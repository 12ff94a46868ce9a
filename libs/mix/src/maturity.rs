//! Age by temperature: temperature-time factor, equivalent age, and the days a panel holds its mould.

use quantities::{Celsius, Hours};

use crate::{Cement, Fault, Faults, Recipe, Source, Worked};

/// A stretch of time at one concrete temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// How long.
    pub time: Hours,
    /// How warm, on average.
    pub temperature: Celsius,
}

/// Apparent activation energy over the gas constant for Portland cement, K (ASTM C1074, from memory).
pub const PORTLAND_Q_K: f64 = 5000.0;

/// J. M. Plowman's datum of the temperature-time factor: 11 °F, about -11.7 °C. (ASTM C1074 takes 0 °C for Portland cement
/// of general use without admixtures, from memory.)
pub const PLOWMAN_DATUM_FAHRENHEIT: f64 = 11.0;

/// The temperature hold times are stated for: 20 °C, in kelvin.
const REFERENCE_K: f64 = 293.15;

/// Below this the concrete is taken as not ageing at all, °C: its water freezes. On the safe side, our own choice; the
/// rate law alone would still count three tenths of an hour for an hour at 0 °C.
pub const FROZEN_CELSIUS: f64 = 0.0;

/// Temperature-time factor by Nurse and Saul, °C·h: Σ (T - T0) Δt, nothing where T is below the datum T0.
pub fn temperature_time(history: &[Interval], datum: Celsius) -> f64 {
    let above = |interval: &Interval| (interval.temperature.celsius() - datum.celsius()).max(0.0);
    history.iter().map(|interval| above(interval) * interval.time.hours()).sum()
}

/// Hours of age at 20 °C that an hour at a temperature counts for, by Arrhenius with Q = 5000 K:
/// exp(-Q (1/T - 1/293.15)), T in kelvin.
pub fn age_factor(temperature: Celsius) -> f64 {
    age_factor_at(temperature, PORTLAND_Q_K, REFERENCE_K)
}

fn age_factor_at(temperature: Celsius, q: f64, reference_kelvin: f64) -> f64 {
    (-q * (1.0 / temperature.kelvin() - 1.0 / reference_kelvin)).exp()
}

/// Equivalent age over a history, in hours at the reference temperature: Σ exp(-Q (1/T - 1/Tr)) Δt.
///
/// `q_kelvin` is the apparent activation energy over the gas constant, 0 to 20,000 K. Portland cement only: see
/// [`HoldKind`].
pub fn equivalent_age(history: &[Interval], q_kelvin: f64, reference: Celsius) -> Result<f64, Faults> {
    if !(0.0..=20_000.0).contains(&q_kelvin) {
        let what = format!("an activation energy of {q_kelvin} K is outside 0 to 20000 K");
        return Err(Fault::new("/q", what, "give 5000 K for Portland cement unless tests say otherwise").into());
    }
    let hours = |i: &Interval| age_factor_at(i.temperature, q_kelvin, reference.kelvin()) * i.time.hours();
    Ok(history.iter().map(hours).sum())
}

/// The Danish age factor at 20 °C: an activation energy that rises in the cold, E = 33.5 kJ/mol from 20 °C up and
/// 33.5 + 1.47 (20 - T) below, with 0 °C taken as 273 K. (Danish Technological Institute, TI-B 103 (94); constants by
/// P. Freiesleben Hansen and E. J. Pedersen, from memory.) Beside [`age_factor`] for comparison; holds use that one.
pub fn age_factor_danish(temperature: Celsius) -> f64 {
    const GAS_CONSTANT_KJ: f64 = 8.314e-3;
    let degrees = temperature.celsius();
    let energy = 33.5 + 1.47 * (20.0 - degrees).max(0.0);
    (energy / GAS_CONSTANT_KJ * (1.0 / 293.0 - 1.0 / (273.0 + degrees))).exp()
}

/// How many stretches of a history a worked line writes out.
const WRITTEN_OUT: usize = 8;

/// How the age of Portland concrete came about in the three ways: temperature-time factor, equivalent age at 20 °C and the
/// same by the Danish factor, in this order.
pub fn age_worked(history: &[Interval], datum: Celsius) -> [Worked; 3] {
    let written = |i: &Interval| format!("{:.1} h at {:.1}", i.time.hours(), i.temperature);
    let each: Vec<_> = history.iter().take(WRITTEN_OUT).map(written).collect();
    let more = if history.len() > WRITTEN_OUT { " + …" } else { "" };
    let numbers = format!("{}{more}", each.join(" + "));
    let by = |factor: fn(Celsius) -> f64| history.iter().map(|i| factor(i.temperature) * i.time.hours()).sum();
    let line = |what: &str, formula, result, unit, source| Worked {
        what: what.to_owned(),
        formula,
        numbers: numbers.clone(),
        result,
        unit,
        source,
    };
    [
        line(
            "temperature-time factor",
            "Σ (T - T0) Δt",
            temperature_time(history, datum),
            "°C·h",
            Source::TEMPERATURE_TIME,
        ),
        line(
            "equivalent age at 20 °C",
            "Σ exp(-Q (1/T - 1/293.15)) Δt, Q = 5000 K",
            by(age_factor),
            "h",
            Source::EQUIVALENT_AGE,
        ),
        line(
            "the same by the Danish factor",
            "Σ exp(E/R (1/293 - 1/(273 + T))) Δt, E rising below 20 °C",
            by(age_factor_danish),
            "h",
            Source::DANISH_AGE,
        ),
    ]
}

/// How a mix's hold runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldKind {
    /// Equivalent age at 20 °C: Portland cement and blends of it.
    PortlandMaturity,
    /// Hours by the clock, as found by the mix's own trials: rapid-setting cement, which warms itself and does not
    /// follow Portland's law.
    TrialHours,
}

impl HoldKind {
    /// The kind that belongs to a cement.
    pub fn of(cement: Cement) -> Self {
        match cement {
            Cement::RapidSettingCsa => Self::TrialHours,
            Cement::Portland | Cement::Blended { .. } => Self::PortlandMaturity,
        }
    }
}

/// Refuses Portland's laws of ageing to rapid-setting cement, which warms itself and follows none of them.
pub fn check_portland(cement: Cement) -> Result<(), Fault> {
    if cement == Cement::RapidSettingCsa {
        let what = "temperature-time factor and equivalent age are Portland's, not calcium sulfoaluminate's";
        return Err(Fault::new("/cement", what, "give the hours found by the mix's own trials"));
    }
    Ok(())
}

impl Recipe {
    /// How its hold runs: by trial hours as soon as any of its cement sets rapidly.
    pub fn hold_kind(&self) -> HoldKind {
        if self.is_rapid() { HoldKind::TrialHours } else { HoldKind::PortlandMaturity }
    }
}

/// The hours of the day between which a hold is counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldClock {
    /// When panels are poured, hours after midnight, 0 to 24.
    pub pour_hour: f64,
    /// When they are stripped.
    pub strip_hour: f64,
}

impl Default for HoldClock {
    /// Poured at 15:00, stripped at 08:00.
    fn default() -> Self {
        Self { pour_hour: 15.0, strip_hour: 8.0 }
    }
}

/// Calendar days from a pour to the first strip hour at which the hold is reached; never less than one.
///
/// `hold` is the mix's hold at 20 °C (or its trial hours), `daily` the mean temperature of each calendar day, `pour_day`
/// the index of the pour's day in it. A day counts at its own temperature from midnight to midnight, the pour's day from
/// the pour hour and the last day to the strip hour. Working days are the planner's business. Errors: hours outside 0 to
/// 24; temperatures that end before the hold is reached.
pub fn hold_days(
    hold: Hours,
    kind: HoldKind,
    pour_day: usize,
    daily: &[Celsius],
    clock: HoldClock,
) -> Result<u32, Faults> {
    Faults::none_of(clock_faults(clock))?;
    let needed = hold.hours() - 1.0e-9;
    let rate = |day: usize| match kind {
        HoldKind::TrialHours => Some(1.0),
        HoldKind::PortlandMaturity => daily.get(day).map(|mean| rate_on(*mean)),
    };
    let mut age = (24.0 - clock.pour_hour) * rate(pour_day).ok_or_else(|| ends_early(hold, pour_day, daily.len()))?;
    for days in 1u32.. {
        let day = pour_day + days as usize;
        let today = rate(day).ok_or_else(|| ends_early(hold, pour_day, daily.len()))?;
        if age + clock.strip_hour * today >= needed {
            return Ok(days);
        }
        age += 24.0 * today;
    }
    Err(ends_early(hold, pour_day, daily.len()))
}

/// The days of a hold one by one: the hours counted, the factor of the day's temperature and the age reached. `days` is
/// what [`hold_days`] gave for the same input.
pub fn hold_worked(kind: HoldKind, pour_day: usize, daily: &[Celsius], clock: HoldClock, days: u32) -> Vec<Worked> {
    let mut age = 0.0;
    let mut line = |day: usize| {
        let hours = match day {
            0 => 24.0 - clock.pour_hour,
            last if last == days as usize => clock.strip_hour,
            _ => 24.0,
        };
        let mean = daily.get(pour_day + day).copied();
        let factor = if kind == HoldKind::TrialHours { 1.0 } else { mean.map_or(0.0, rate_on) };
        age += hours * factor;
        let at = mean.map_or(String::new(), |mean| format!(" at {mean:.1}"));
        Worked {
            what: format!("age after day {day}"),
            formula: "t = Σ exp(-Q (1/T - 1/293.15)) Δt, Q = 5000 K; trial hours as they pass",
            numbers: format!("{hours:.1} h{at} · {factor:.3}"),
            result: age,
            unit: "h",
            source: if kind == HoldKind::TrialHours { Source::DEFINITION } else { Source::EQUIVALENT_AGE },
        }
    };
    (0..=days as usize).map(&mut line).collect()
}

fn rate_on(mean: Celsius) -> f64 {
    if mean.celsius() < FROZEN_CELSIUS { 0.0 } else { age_factor(mean) }
}

fn clock_faults(clock: HoldClock) -> Vec<Fault> {
    [("pour_hour", clock.pour_hour), ("strip_hour", clock.strip_hour)]
        .into_iter()
        .filter(|(_, hour)| !(0.0..=24.0).contains(hour))
        .map(|(field, hour)| Fault::new(format!("/{field}"), format!("{hour} is no hour of the day"), "give 0 to 24"))
        .collect()
}

fn ends_early(hold: Hours, pour_day: usize, days: usize) -> Faults {
    let what = format!(
        "a hold of {:.0} h at 20 °C poured on day {pour_day} is not reached within the {days} days of temperatures",
        hold.hours()
    );
    Fault::new("/daily", what, "give temperatures for more days, or do not pour so late in the cold").into()
}
