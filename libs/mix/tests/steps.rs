//! The worked lines of calculations that have no page of their own end in the result they explain.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::cold::{DayOfAir, frost_worked};
use mix::correction::{self, Bounds, Measured, Verdict};
use mix::maturity::{Interval, PORTLAND_Q_K, age_worked, equivalent_age, temperature_time};
use mix::moisture::{self, Basis, Moisture};
use mix::pigment::{self, Dose};
use mix::{HoldClock, MixerLimits, Target, admixture, equal_batches, fibre, fill, foam, mesh};
use quantities::{Area, Celsius, Content, Density, Hours, Length, OfMaterial};

fn celsius(degrees: f64) -> Celsius {
    Celsius::from_celsius(degrees).unwrap()
}

#[test]
fn a_generators_seconds_and_output() {
    let seconds = foam::generator_seconds(litres(30.0), 45.0).unwrap();
    let line = foam::generator_worked(litres(30.0), 45.0, seconds);
    assert_eq!((line.result, line.numbers.as_str()), (40.0, "30.000 L / 45 L/min · 60"));
    let output = foam::generator_output(litres(30.0), 40.0).unwrap();
    assert_eq!((output, foam::output_worked(litres(30.0), 40.0, output).result), (45.0, 45.0));
    for seconds in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(foam::generator_output(litres(30.0), seconds).is_err(), "{seconds}");
    }
    assert!(foam::generator_output(litres(0.0), 40.0).is_err());
}

/// The days shown are those up to the one that settles it, and the age goes on from day to day.
#[test]
fn frost_day_by_day() {
    let days = |least: &[f64]| -> Vec<DayOfAir> {
        least.iter().map(|least| DayOfAir { mean: celsius(20.0), least: celsius(*least) }).collect()
    };
    let ages = |safe: f64, least: &[f64]| -> Vec<f64> {
        let worked = frost_worked(Hours::from_hours(safe).unwrap(), &days(least), HoldClock::default());
        worked.iter().map(|line| line.result).collect()
    };
    assert_eq!(ages(40.0, &[4.0, 4.0, 4.0, 4.0]), [9.0, 33.0, 57.0]);
    assert_eq!(ages(40.0, &[4.0, -1.0, 4.0, 4.0]), [9.0, 33.0]);
    assert_eq!(ages(40.0, &[-1.0, 4.0]), [9.0]);
    assert_eq!(ages(100.0, &[4.0, 4.0]), [9.0, 33.0]);
}

#[test]
fn a_load_at_the_mixer_and_at_the_mould() {
    let target = Target { wet: fresh(800.0), lower: fresh(760.0), upper: fresh(840.0) };
    let foam = Density::from_kg_m3(50.0).unwrap();
    let bounds = Bounds { target, most_minutes: 15.0, most: litres(25.0), foam, slurry: fresh(1830.0) };
    let line = |wet: f64, minutes_since_foaming| {
        let measured = Measured { wet: fresh(wet), volume: litres(18.0), minutes_since_foaming };
        let verdict = correction::at_the_mixer(measured, &bounds).unwrap();
        (correction::worked(measured, &bounds, &verdict), verdict)
    };
    let (Some(worked), Verdict::AddFoam { foam, .. }) = line(900.0, 3.0) else { panic!("foam was wanted") };
    assert_eq!(
        (worked.result, worked.numbers.as_str()),
        (foam.litres(), "18.000 L · (900.0 - 800.0) / (800.0 - 50.0)")
    );
    let (Some(worked), Verdict::AddSlurry { slurry, .. }) = line(700.0, 3.0) else { panic!("slurry was wanted") };
    let numbers = "18.000 L · (800.0 - 700.0) / (1830.0 - 800.0)";
    assert_eq!((worked.result, worked.numbers.as_str()), (slurry.litres(), numbers));
    assert_eq!(line(800.0, 3.0).0, None);
    assert_eq!(line(900.0, 16.0).0, None);
    near(correction::rise_worked(fresh(800.0), fresh(840.0)).result, 5.0, 1e-9);
    let panels = correction::panels_filled(litres(20.0), litres(6.0));
    assert_eq!(correction::panels_worked(litres(20.0), litres(6.0), panels).result, 3.0);
}

#[test]
fn loads_of_a_mixer() {
    let limits = MixerLimits::of_vessel(litres(60.0), per_cent(60.0), litres(8.0)).unwrap();
    assert_eq!(limits.vessel_worked(litres(60.0), per_cent(60.0)).result, 36.0);
    let batches = equal_batches(litres(64.8), limits).unwrap();
    let [loads, each] = batches.worked(litres(64.8), limits);
    assert_eq!((loads.result, each.result), (2.0, 32.4));
    assert!(batches.litres().eq([litres(32.4); 2]));
    let in_time = limits.within_pot_life(30.0, 5.0, 8.0, litres(10.0)).unwrap();
    assert_eq!(in_time.pot_life_worked(30.0, 5.0, 8.0, litres(10.0)).result, 30.0);
}

/// ACI 211.1-91, appendix 2, example 1, in SI: 772 kg of fine aggregate, where the volumes are rounded to a litre.
#[test]
fn sand_by_difference() {
    let others = [(kg(292.0), rd(3.15)), (kg(181.0), rd(1.0)), (kg(1136.0), rd(2.68))];
    let one = (litres(1000.0), &others[..], per_cent(1.0), rd(2.64));
    let sand = fill::by_difference(one.0, one.1, one.2, one.3).unwrap();
    let [taken, left, fill] = fill::by_difference_worked(one.0, one.1, one.2, one.3).unwrap();
    near(taken.result + left.result + 10.0, 1000.0, 1e-9);
    assert_eq!(fill.result, sand.kg());
    near(fill.result, 772.0, 3.0);
    assert!(fill::by_difference_worked(litres(500.0), one.1, one.2, one.3).is_err());
    let bulk = Density::<OfMaterial>::from_kg_m3(1600.0).unwrap();
    assert_eq!(fill::coarse_worked(per_cent(71.0), bulk, litres(1000.0)).result, 1136.0);
}

#[test]
fn steel_of_a_sheet() {
    let mm = |mm: f64| Length::from_mm(mm).unwrap();
    let (sheet, wire) = (Area::from_mm2(900.0 * 300.0).unwrap(), mesh::area_of_diameter(mm(2.0)).unwrap());
    let across = mesh::steel_in(mm(300.0), wire, mm(25.0)).unwrap();
    let mass = mesh::mass(sheet, wire, mm(25.0)).unwrap();
    let lines = mesh::worked(sheet, mm(300.0), wire, mm(25.0), across, mass);
    assert_eq!((lines[0].result, lines[1].result), (across.mm2(), mass.kg()));
    near(lines[0].result, 37.7, 0.01);
}

#[test]
fn liquid_colour_there_and_back() {
    let dose = Dose { of_cementitious: per_cent(3.0), most_per_cent: 8.0 };
    let solid = pigment::mass(dose.of_cementitious, kg(20.0));
    let comes = pigment::as_it_comes(solid, per_cent(60.0)).unwrap();
    near(comes.kg(), 1.0, 1e-12);
    let (back, water) = pigment::liquid(comes, per_cent(60.0)).unwrap();
    near(back.kg(), solid.kg(), 1e-12);
    near(water.kg(), 0.4, 1e-12);
    let lines = pigment::worked("red", dose, kg(20.0), per_cent(60.0), comes);
    let results: Vec<f64> = lines.iter().map(|line| line.result).collect();
    assert_eq!(results, [solid.kg(), comes.kg()]);
    assert_eq!(pigment::worked("red", dose, kg(20.0), per_cent(100.0), solid).len(), 1);
    assert_eq!(pigment::total_worked(&[dose, dose]).result, 6.0);
    for no_colour in [0.0, 101.0] {
        assert!(pigment::as_it_comes(solid, per_cent(no_colour)).is_err(), "{no_colour}");
    }
}

#[test]
fn fibre_and_admixture() {
    let fibre = fibre::of_mix(kg(99.0), per_cent(1.0)).unwrap();
    assert_eq!(fibre::of_mix_worked(kg(99.0), per_cent(1.0), fibre).result, fibre.kg());
    let content = Content::from_kg_m3(5.0).unwrap();
    near(fibre::by_content_worked(content, litres(40.0)).result, 0.2, 1e-12);
    let volume = admixture::volume(800.0, kg(25.0)).unwrap();
    let line = admixture::worked(800.0, kg(25.0), volume);
    assert_eq!((line.result, line.numbers.as_str()), (200.0, "800 ml · 25.000 kg / 100 kg"));
    near(admixture::mass_worked(rd(1.1), volume).result, 0.22, 1e-12);
}

#[test]
fn wet_aggregates_and_bulked_sand() {
    let tested = Moisture::Total { moisture: per_cent(5.0), absorption: per_cent(1.0) };
    let sand = moisture::moist(kg(101.0), Basis::SaturatedSurfaceDry, tested).unwrap();
    let line = sand.worked("sand", kg(101.0));
    assert_eq!((line.result, line.numbers.as_str()), (sand.weigh.kg(), "recipe 101.000 kg, free water +4.000 kg"));
    let left = moisture::water_to_add(kg(30.0), &[sand]).unwrap();
    assert_eq!(moisture::water_worked(kg(30.0), &[sand], left).numbers, "30.000 - 4.000 kg");
    let bulk = Density::from_kg_m3(1600.0).unwrap();
    let dry = moisture::bulked_sand(litres(20.0), bulk, per_cent(25.0)).unwrap();
    near(moisture::bulked_worked(litres(20.0), bulk, per_cent(25.0), dry).result, 25.6, 1e-12);
}

/// A long history is not written out, but all of it counts.
#[test]
fn age_in_three_ways() {
    let hour = Interval { time: Hours::from_hours(1.0).unwrap(), temperature: celsius(25.0) };
    for hours in [8, 9] {
        let history = vec![hour; hours];
        let [factor, age, danish] = age_worked(&history, celsius(0.0));
        near(factor.result, temperature_time(&history, celsius(0.0)), 1e-9);
        near(age.result, equivalent_age(&history, PORTLAND_Q_K, celsius(20.0)).unwrap(), 1e-9);
        assert!(danish.result > hours as f64);
        assert_eq!(age.numbers.ends_with(" + …"), hours > 8, "{}", age.numbers);
    }
}
