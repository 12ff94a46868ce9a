//! Trials compared, and the workshop's own line from density to strength.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::near;

use mix::trials::{DensityStrength, less, stronger};
use quantities::{ConcreteState, Density, OvenDry, Pressure, StatedDensity};

#[test]
fn better_is_positive() {
    let air_dry = |kg_m3| StatedDensity::from_kg_m3(ConcreteState::AirDry, kg_m3).unwrap();
    let mpa = |mpa| Pressure::from_mpa(mpa).unwrap();
    near(air_dry(1056.0).per_cent_lighter_than(air_dry(2400.0)).unwrap(), 56.0, 1e-9);
    near(stronger(mpa(6.0), mpa(30.0)).unwrap(), -80.0, 1e-9);
    near(less(30.0, 10.0).unwrap(), -200.0, 1e-9);
    near(less(6000.0, 9000.0).unwrap(), 100.0 / 3.0, 1e-9);
}

#[test]
fn densities_in_two_states_and_what_is_free_are_not_compared() {
    let of = |state| StatedDensity::from_kg_m3(state, 800.0).unwrap();
    assert!(of(ConcreteState::OvenDry).per_cent_lighter_than(of(ConcreteState::AirDry)).is_err());
    assert_eq!(less(9000.0, 0.0), None);
    assert_eq!(less(0.0, 0.0), None);
}

fn points(of: impl Fn(f64) -> f64) -> Vec<(Density<OvenDry>, Pressure)> {
    [600.0, 700.0, 800.0, 900.0, 1000.0]
        .map(|d| (Density::from_kg_m3(d).unwrap(), Pressure::from_mpa(of(d)).unwrap()))
        .to_vec()
}

/// Made-up points on a line are read off it again, with no interval.
#[test]
fn points_on_a_line_give_the_line() {
    let law = |d: f64| 0.3 * (0.0025 * d).exp();
    let line = DensityStrength::fit(&points(law)).unwrap();
    let expected = line.at(Density::from_kg_m3(850.0).unwrap()).unwrap();
    near(expected.middle.mpa(), law(850.0), 1e-9);
    near(expected.high.mpa() - expected.low.mpa(), 0.0, 1e-9);
}

/// Worked by hand: five points missing their line by ±0.1 in ln f; spread √(0.04/3), t for 3 degrees of freedom 2.353.
#[test]
fn scattered_points_give_an_interval() {
    let law = |d: f64| 0.3 * (0.0025 * d).exp();
    let misses = [0.1, -0.1, 0.0, -0.1, 0.1];
    let scattered: Vec<_> = points(law)
        .into_iter()
        .zip(misses)
        .map(|((d, f), miss): (_, f64)| (d, Pressure::from_mpa(f.mpa() * miss.exp()).unwrap()))
        .collect();
    let line = DensityStrength::fit(&scattered).unwrap();
    let expected = line.at(Density::from_kg_m3(800.0).unwrap()).unwrap();
    near(expected.middle.mpa(), law(800.0), 1e-9);
    let half = 2.353 * (0.04f64 / 3.0).sqrt() * 1.2f64.sqrt();
    near((expected.high.mpa() / expected.middle.mpa()).ln(), half, 1e-9);
    near((expected.middle.mpa() / expected.low.mpa()).ln(), half, 1e-9);
    // Off the middle the interval is wider: 1 + 1/n + (d - mean)² / Σ (d - mean)².
    let end = line.at(Density::from_kg_m3(1000.0).unwrap()).unwrap();
    let half = 2.353 * (0.04f64 / 3.0).sqrt() * (1.2f64 + 40_000.0 / 100_000.0).sqrt();
    near((end.high.mpa() / end.middle.mpa()).ln(), half, 1e-9);
    let outside = line.at(Density::from_kg_m3(1001.0).unwrap()).unwrap_err();
    assert!(outside.what.contains("600 to 1000"), "{outside}");
}

#[test]
fn lines_that_cannot_be() {
    let mut few = points(|_| 1.0);
    few.pop();
    assert!(DensityStrength::fit(&few).unwrap_err().what.contains("too few"));
    assert!(DensityStrength::fit(&points(|_| 0.0)).unwrap_err().what.contains("without strength"));
    let one = vec![points(|_| 1.0)[0]; 6];
    assert!(DensityStrength::fit(&one).unwrap_err().what.contains("one density"));
}
