//! Maturity and hold days.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::near;

use mix::cold::{DayOfAir, SoakTable};
use mix::maturity::{
    Interval, PORTLAND_Q_K, age_factor, age_factor_danish, equivalent_age, hold_worked, temperature_time,
};
use mix::{HoldClock, HoldKind, cold, hold_days};
use quantities::{Celsius, Hours};

fn celsius(degrees: f64) -> Celsius {
    Celsius::from_celsius(degrees).unwrap()
}

fn hours(hours: f64) -> Hours {
    Hours::from_hours(hours).unwrap()
}

/// A made-up three days: warm afternoon, hot of hydration, then cooling.
fn history() -> Vec<Interval> {
    [(4.0, 20.0), (8.0, 32.0), (12.0, 28.0), (24.0, 18.0), (24.0, 12.0)]
        .map(|(time, temperature)| Interval { time: hours(time), temperature: celsius(temperature) })
        .to_vec()
}

fn constant(days: f64, temperature: f64) -> Vec<Interval> {
    vec![Interval { time: Hours::from_days(days).unwrap(), temperature: celsius(temperature) }]
}

/// Quality control of concrete, lecture text on maturity: 28 days at 15 °C over a datum of -11 °C is 728 °C·days; a
/// wrong sign would give 112.
#[test]
fn temperature_time_of_four_weeks() {
    let factor = temperature_time(&constant(28.0, 15.0), celsius(-11.0));
    near(factor, 17_472.0, 1e-6);
    near(factor / 24.0, 728.0, 1e-6);
}

/// Worked by hand from the definitions.
#[test]
fn varying_history() {
    near(temperature_time(&history(), celsius(0.0)), 1392.0, 1e-9);
    near(temperature_time(&history(), celsius(-10.0)), 2112.0, 1e-9);
    near(temperature_time(&history(), celsius(0.0)) / 20.0, 69.6, 1e-9);
}

/// ASTM C1074 equivalent age (Q = 5000 K from memory), worked by hand: 74.74 h at 20 °C, 62.88 h at 23 °C.
#[test]
fn equivalent_age_of_the_varying_history() {
    let at = |reference: f64| equivalent_age(&history(), PORTLAND_Q_K, celsius(reference)).unwrap();
    near(at(20.0), 74.74, 0.02);
    near(at(23.0), 62.88, 0.02);
    for (interval, expected) in history().iter().zip([4.000, 15.645, 18.878, 21.347, 14.873]) {
        near(equivalent_age(&[*interval], PORTLAND_Q_K, celsius(20.0)).unwrap(), expected, 0.001);
    }
    // Activation energies of 40 and 45 kJ/mol over the gas constant.
    near(equivalent_age(&history(), 40_000.0 / 8.314, celsius(20.0)).unwrap(), 74.40, 0.02);
    near(equivalent_age(&history(), 45_000.0 / 8.314, celsius(23.0)).unwrap(), 62.68, 0.02);
    assert!(equivalent_age(&history(), f64::NAN, celsius(20.0)).is_err());
}

/// Worked by hand from the same law.
#[test]
fn age_factors() {
    let table = [(0.0, 0.287), (5.0, 0.399), (10.0, 0.548), (15.0, 0.744), (20.0, 1.0), (30.0, 1.755), (40.0, 2.972)];
    for (temperature, factor) in table {
        near(age_factor(celsius(temperature)), factor, 0.001);
    }
    let at_23 = [(0.0, 0.241), (5.0, 0.335), (10.0, 0.461), (15.0, 0.626), (20.0, 0.841), (30.0, 1.477), (40.0, 2.501)];
    for (temperature, factor) in at_23 {
        near(equivalent_age(&constant(1.0 / 24.0, temperature), 5000.0, celsius(23.0)).unwrap(), factor, 0.001);
    }
}

/// Danish Technological Institute, TI-B 103 (94); constants by Freiesleben Hansen and Pedersen, from memory.
#[test]
fn danish_age_factors() {
    for (temperature, factor) in [(5.0, 0.292), (10.0, 0.497), (15.0, 0.747), (30.0, 1.574), (40.0, 2.408)] {
        near(age_factor_danish(celsius(temperature)), factor, 0.001);
    }
    let age: f64 = history().iter().map(|i| age_factor_danish(i.temperature) * i.time.hours()).sum();
    near(age, 70.94, 0.02);
}

/// American Concrete Institute, Topics in concrete, cold weather: below 40 °F for more than three successive days.
#[test]
fn cold_weather_needs_more_than_three_days() {
    let means = [4.0, 4.0, 4.0, 6.0, 4.0, 4.0, 4.0, 4.0, 4.0].map(celsius);
    let cold = cold::cold_days(&means);
    assert_eq!(cold, [false, false, false, false, false, false, false, true, true]);
    assert_eq!(cold::cold_days(&[Celsius::from_fahrenheit(40.0).unwrap(); 5]), [false; 5]);
}

/// ACI 347R-94: twelve hours of air at 50 °F or more; colder hours do not count.
#[test]
fn stripping_hours_count_warm_air_only() {
    let air = [(6.0, 55.0), (10.0, 45.0), (6.0, 50.0)]
        .map(|(time, degrees)| Interval { time: hours(time), temperature: Celsius::from_fahrenheit(degrees).unwrap() });
    near(cold::stripping_hours(&air).hours(), 12.0, 0.0);
}

fn air(means: &[f64], least: &[f64]) -> Vec<DayOfAir> {
    means.iter().zip(least).map(|(m, l)| DayOfAir { mean: celsius(*m), least: celsius(*l) }).collect()
}

/// From 15:00 at 10 °C (0.548): 4.9 h on the day, 13.2 h on each day after; 24 h at 20 °C are reached on the third day.
#[test]
fn frost_matters_until_the_concrete_is_safe() {
    let clock = HoldClock::default();
    let frost = |least: &[f64]| cold::frost_before_safe(hours(24.0), &air(&[10.0; 5], least), clock);
    assert_eq!(frost(&[4.0, 4.0, 4.0, -3.0, -3.0]), Ok(None));
    assert_eq!(frost(&[4.0, 4.0, -1.0, 4.0, 4.0]), Ok(Some(2)));
    assert_eq!(frost(&[0.0, 4.0, 4.0, 4.0, 4.0]), Ok(Some(0)));
    assert!(frost(&[4.0, 4.0]).unwrap_err().to_string().contains("more days"));
}

/// Common practice, no source: 5 days above 20 °C, 7 at 15 °C, 11 at 10 °C.
#[test]
fn soaking_in_cold_water_takes_longer() {
    let table = SoakTable::usual().unwrap();
    for (water, days) in [(25.0, 5), (20.0, 5), (19.9, 7), (15.0, 7), (12.0, 11), (10.0, 11)] {
        assert_eq!(table.least_days(celsius(water)), Ok(days), "at {water}");
    }
    assert!(table.least_days(celsius(9.9)).unwrap_err().remedy.contains("warm the tank"));
    assert!(SoakTable::new(&[]).is_err());
    assert!(SoakTable::new(&[(celsius(20.0), 7), (celsius(10.0), 5)]).is_err());
    assert!(SoakTable::new(&[(celsius(20.0), 7), (celsius(20.0), 7)]).is_err());
}

fn days(hold: f64, kind: HoldKind, temperature: f64) -> u32 {
    hold_days(hours(hold), kind, 0, &[celsius(temperature); 60], HoldClock::default()).unwrap()
}

/// Poured at 15:00 and stripped at 08:00: after d days 24 d - 7 hours have passed. Forty-eight hours at 20 °C are three
/// days; at 10 °C, where an hour counts 0.548, they are 87.6 hours by the clock and four days.
#[test]
fn hold_days_follow_the_temperature() {
    let portland = HoldKind::PortlandMaturity;
    assert_eq!(days(17.0, portland, 20.0), 1);
    assert_eq!(days(17.5, portland, 20.0), 2);
    assert_eq!(days(41.0, portland, 20.0), 2);
    assert_eq!(days(48.0, portland, 20.0), 3);
    assert_eq!(days(48.0, portland, 10.0), 4);
    assert_eq!(days(48.0, portland, 30.0), 2);
}

#[test]
fn a_holds_worked_lines_pass_the_hold_on_its_last_day() {
    let daily = [celsius(12.0); 10];
    for kind in [HoldKind::PortlandMaturity, HoldKind::TrialHours] {
        let days = hold_days(hours(48.0), kind, 1, &daily, HoldClock::default()).unwrap();
        let lines = hold_worked(kind, 1, &daily, HoldClock::default(), days);
        assert_eq!(lines.len(), days as usize + 1);
        assert!(lines[days as usize].result >= 48.0, "{lines:?}");
        let before = hold_worked(kind, 1, &daily, HoldClock::default(), days - 1);
        assert!(before[days as usize - 1].result < 48.0, "{before:?}");
    }
}

#[test]
fn hold_days_are_never_less_than_one() {
    assert_eq!(days(0.0, HoldKind::PortlandMaturity, 20.0), 1);
    assert_eq!(days(3.0, HoldKind::TrialHours, 5.0), 1);
}

#[test]
fn rapid_mixes_follow_the_clock_and_need_no_temperatures() {
    assert_eq!(days(18.0, HoldKind::TrialHours, 0.0), 2);
    assert_eq!(hold_days(hours(18.0), HoldKind::TrialHours, 7, &[], HoldClock::default()), Ok(2));
}

#[test]
fn a_cold_spell_is_waited_out() {
    let mut daily = vec![celsius(20.0); 20];
    daily[3..8].fill(celsius(-5.0));
    let hold = |pour| hold_days(hours(48.0), HoldKind::PortlandMaturity, pour, &daily, HoldClock::default());
    // 9 h on day 2, five frozen days, 24 h on day 8, then 15 more by 15:00 of day 9: stripped on day 10.
    assert_eq!(hold(2), Ok(8));
    assert_eq!(hold(8), Ok(3));
}

#[test]
fn temperatures_that_end_too_early_are_a_fault() {
    let error = hold_days(hours(48.0), HoldKind::PortlandMaturity, 0, &[celsius(20.0); 3], HoldClock::default());
    let error = error.unwrap_err().to_string();
    assert!(error.contains("within the 3 days") && error.contains("give temperatures for more days"), "{error}");
    let clock = HoldClock { pour_hour: f64::NAN, strip_hour: 25.0 };
    let faults = hold_days(hours(48.0), HoldKind::TrialHours, 0, &[], clock).unwrap_err();
    assert_eq!(faults.all().len(), 2);
}

mod gain {
    use super::*;
    use mix::Cement;
    use mix::strength::{self, Speed};
    use quantities::{Density, Length, Ratio};

    fn ratio(number: f64) -> Ratio {
        Ratio::from_number(number).unwrap()
    }

    /// ACI 209 as given by J. G. MacGregor: type I and III, moist-cured.
    #[test]
    fn strength_gain_with_age() {
        let days = [1.0, 3.0, 7.0, 14.0, 28.0, 90.0];
        let ordinary = [0.206, 0.458, 0.704, 0.881, 1.007, 1.118];
        let early = [0.311, 0.593, 0.801, 0.922, 0.998, 1.058];
        for ((day, i), iii) in days.iter().zip(ordinary).zip(early) {
            let age = Hours::from_days(*day).unwrap();
            near(strength::gain(age, Cement::Portland, Speed::Ordinary).unwrap().number(), i, 0.001);
            near(strength::gain(age, Cement::Portland, Speed::HighEarly).unwrap().number(), iii, 0.001);
        }
        let refused = strength::gain(hours(24.0), Cement::RapidSettingCsa, Speed::Ordinary).unwrap_err();
        assert!(refused.remedy.contains("trial"), "{refused}");
    }

    /// ACI 211.1-91, table 6.3.4: its ends, the points of the Navy's and Yoon's examples, and 24 MPa at 0.62.
    #[test]
    fn ordinary_strength_by_water_cement() {
        let psi = |w: f64, air: bool| strength::ordinary(ratio(w), air).unwrap().strength.psi();
        for (water_cement, strength) in [(0.41, 6000.0), (0.57, 4000.0), (0.82, 2000.0)] {
            near(psi(water_cement, false), strength, 1e-6);
        }
        for (water_cement, strength) in [(0.40, 5000.0), (0.59, 3000.0), (0.74, 2000.0)] {
            near(psi(water_cement, true), strength, 1e-6);
        }
        near(strength::ordinary(ratio(0.62), false).unwrap().strength.mpa(), 24.0, 0.7);
        assert!(strength::ordinary(ratio(0.9), false).is_err() && strength::ordinary(ratio(0.3), true).is_err());
    }

    /// Outside what the relation was found on it says so, and below a day it says nothing.
    #[test]
    fn foamed_paste_outside_its_range() {
        let light = Density::from_kg_m3(600.0).unwrap();
        let estimate = strength::foamed_paste(ratio(0.7), hours(672.0), light).unwrap();
        assert_eq!(estimate.warnings.len(), 2);
        assert!(strength::foamed_paste(ratio(0.7), hours(1.0), light).is_err());
    }

    /// The trade's rule: at one water/cement ratio more cement for the foam gives more strength.
    #[test]
    fn strength_rises_with_wet_density() {
        let strengths: Vec<f64> = [700.0, 900.0, 1100.0, 1300.0]
            .iter()
            .map(|kg_m3| {
                let wet = Density::from_kg_m3(*kg_m3).unwrap();
                let porosity = strength::porosity(wet, ratio(0.55)).unwrap();
                strength::foamed_paste(porosity, hours(672.0), wet).unwrap().strength.mpa()
            })
            .collect();
        assert!(strengths.windows(2).all(|pair| pair[0] < pair[1]), "{strengths:?}");
    }

    /// ACI 306R: thin sections at 55 °F (Concrete Construction, Cold weather correction).
    #[test]
    fn least_temperature_of_the_concrete() {
        for (inches, fahrenheit) in [(2.0, 55.0), (11.9, 55.0)] {
            let thickness = Length::from_inches(inches).unwrap();
            near(strength::least_placing_temperature(thickness).unwrap().fahrenheit(), fahrenheit, 1e-9);
        }
    }
}
