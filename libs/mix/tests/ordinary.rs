//! Ordinary mixes: absolute volumes, yield, density, air, moisture and whole bags against published examples.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::moisture::{Basis, Moisture, moist, water_to_add};
use mix::{Ingredient, Recipe, Role, fill, unit_weight};
use quantities::{Density, Fresh, OfMaterial, Ratio, RelativeDensity, Volume, rounding};

fn fine_aggregate(others: &[(f64, f64)], air: f64, filler: f64) -> f64 {
    let others: Vec<_> = others.iter().map(|(pounds, density)| (lb(*pounds), rd(*density))).collect();
    let yard = Volume::from_cubic_yards(1.0).unwrap();
    fill::by_difference(yard, &others, per_cent(air), rd(filler)).unwrap().pounds()
}

/// US Navy, NAVEDTRA 14070, Engineering Aid, chapter 17, absolute volume example, pp. 17-6 and 17-7. The source takes
/// water at 62.4 lb/ft³ and rounds volumes before masses: ± 2 lb.
#[test]
fn navy_absolute_volume_example() {
    let cement = 305.0 / 0.50;
    near(cement, 610.0, 1e-9);
    let rodded = Density::<OfMaterial>::from_lb_ft3(102.0).unwrap();
    let yard = Volume::from_cubic_yards(1.0).unwrap();
    let coarse = fill::coarse_aggregate(Ratio::from_number(0.63).unwrap(), rodded, yard).pounds();
    near(coarse, 1735.0, 1.0);
    for (pounds, density, cubic_feet) in [(610.0, 3.15, 3.10), (305.0, 1.0, 4.89), (1735.0, 2.60, 10.69)] {
        near((lb(pounds) / rd(density).density()).cubic_feet(), cubic_feet, 0.01);
    }
    near(fine_aggregate(&[(610.0, 3.15), (305.0, 1.0), (coarse, 2.60)], 5.0, 2.65), 1152.0, 2.0);
}

/// The same mix through the recipe: it makes the cubic yard it was designed for, and a claim of one is upheld.
#[test]
fn navy_example_yields_its_cubic_yard() {
    let mut draft = plain(
        vec![
            portland(lb(610.0)),
            Ingredient::water("water", lb(305.0)),
            part("coarse aggregate", Role::Aggregate, lb(1735.0), 2.60),
            part("fine aggregate", Role::Aggregate, lb(1152.0), 2.65),
        ],
        5.0,
    );
    draft.claimed_yield = Some(Volume::from_cubic_yards(1.0).unwrap());
    let recipe = Recipe::new(&draft).unwrap();
    near(recipe.making().cubic_feet(), 27.0, 0.02);
    assert!(!recipe.yield_claim().unwrap().is_contradicted() && recipe.remarks().is_empty());
    near(recipe.water_ratios().unwrap().water_cement().number(), 0.50, 1e-12);

    draft.claimed_yield = Some(Volume::from_cubic_feet(29.0).unwrap());
    let recipe = Recipe::new(&draft).unwrap();
    near(recipe.yield_claim().unwrap().difference_per_cent, -6.9, 0.1);
    assert!(recipe.remarks()[0].contains("the absolute volumes give 764"), "{}", recipe.remarks()[0]);
}

/// The same example's recap: 6.49 sacks of 94 lb and 36.6 gal of water (8.33 lb/gal; ours 8.345).
#[test]
fn navy_sacks_and_gallons() {
    near(lb(610.0).pounds() / 94.0, 6.49, 0.05);
    near((lb(305.0) / RelativeDensity::WATER.density()).us_gallons(), 36.6, 0.06);
}

/// The same example's job quantities: 63.7 yd³ with 10 % waste; whole sacks upwards. (The printed water is off by
/// 0.1 % in the source and left alone.)
#[test]
fn navy_job_quantities() {
    let job = Volume::from_cubic_yards(63.7).unwrap() * Ratio::from_number(1.10).unwrap();
    near(job.cubic_yards(), 70.07, 1e-9);
    near(lb(1153.0 * job.cubic_yards()).pounds(), 80_790.7, 0.1);
    near(lb(1153.0 * job.cubic_yards()).us_tons(), 40.4, 0.05);
    near(lb(1735.0 * job.cubic_yards()).us_tons(), 60.8, 0.05);
    let sacks = rounding::packs_up(lb(94.0 * 6.49 * 70.07), lb(94.0)).unwrap();
    assert_eq!(sacks.get(), 455);
}

/// US Army, subcourse EN5466, p. 2-45: bags up, then tons up.
#[test]
fn army_whole_bags_and_tons() {
    near(Volume::from_cubic_feet(1720.6).unwrap().cubic_yards(), 63.7, 0.03);
    let job = 63.7 * 1.10;
    near(job, 70.1, 0.04);
    let sacks = rounding::packs_up(lb(7.05 * 70.1 * 94.0), lb(94.0)).unwrap();
    assert_eq!(sacks.get(), 495);
    let ton = lb(2000.0);
    for (pounds, total, tons) in [(1768.0, 123_937.0, 62), (1083.0, 75_918.0, 38)] {
        near(pounds * 70.1, total, 0.5);
        assert_eq!(rounding::packs_up(lb(pounds * 70.1), ton).unwrap().get(), tons);
    }
    near(8.0 * 495.0, 3960.0, 0.0);
}

/// US Army, subcourse EN5466: free surface moisture of 2 and 6 % is 100.34 lb of water, 12 gal; 26.6 of 38.6 gal left.
#[test]
fn army_free_surface_moisture() {
    let wet = |pounds: f64, free: f64| {
        moist(lb(pounds), Basis::SaturatedSurfaceDry, Moisture::FreeSurface(per_cent(free))).unwrap()
    };
    let aggregates = [wet(1768.0, 2.0), wet(1083.0, 6.0)];
    near(aggregates[0].free_water_kg / 0.45359237, 35.36, 1e-9);
    near(aggregates[1].free_water_kg / 0.45359237, 64.98, 1e-9);
    let designed = RelativeDensity::WATER.density() * Volume::from_us_gallons(38.6).unwrap();
    let left = water_to_add(designed, &aggregates).unwrap() / RelativeDensity::WATER.density();
    near(left.us_gallons(), 26.6, 0.1);
}

/// S. Yoon, class example of the ACI absolute volume method, 3/8 in aggregate.
#[test]
fn class_example_with_small_aggregate() {
    let cement = 385.0 / 0.57;
    near(cement, 675.44, 0.01);
    let rodded = Density::<OfMaterial>::from_lb_ft3(103.0).unwrap();
    let yard = Volume::from_cubic_yards(1.0).unwrap();
    let coarse = fill::coarse_aggregate(Ratio::from_number(0.45).unwrap(), rodded, yard).pounds();
    near(coarse, 1251.0, 1.0);
    for (pounds, density, cubic_feet) in [(385.0, 1.0, 6.17), (cement, 3.15, 3.44), (coarse, 2.68, 7.483)] {
        near((lb(pounds) / rd(density).density()).cubic_feet(), cubic_feet, 0.01);
    }
    let fine = fine_aggregate(&[(385.0, 1.0), (cement, 3.15), (coarse, 2.68)], 3.0, 2.67);
    near(fine, 1516.0, 3.0);
}

/// Dictionary of engineering terms, entry "absolute volume": a 94 lb sack takes 0.478 ft³.
#[test]
fn absolute_volume_of_a_sack() {
    near((lb(94.0) / RelativeDensity::PORTLAND.density()).cubic_feet(), 0.478, 0.0005);
}

/// ASTM C138/C138M, worked figures of a field-testing study text: 54.1 and 18.6 lb in 0.250 ft³.
#[test]
fn density_of_fresh_concrete() {
    let density = unit_weight::density::<Fresh>(lb(54.1), lb(18.6), cubic_feet(0.250)).unwrap();
    near(density.lb_ft3(), 142.0, 1e-9);
    assert!(unit_weight::density::<Fresh>(lb(18.6), lb(54.1), cubic_feet(0.250)).is_err());
}

/// ASTM C138/C138M, worked figures of a field-testing study text: yield and relative yield.
#[test]
fn yield_and_relative_yield() {
    let batched = [564.0, 1800.0, 1240.0, 282.0].into_iter().map(lb).sum();
    near(lb(3886.0).kg(), quantities::Mass::kg(batched), 1e-9);
    let density = Density::<Fresh>::from_lb_ft3(145.0).unwrap();
    let made = unit_weight::yield_of(batched, density).unwrap();
    near(made.cubic_feet(), 26.80, 0.001);
    near(made.cubic_yards(), 0.993, 0.001);
    near(unit_weight::relative_yield(made, cubic_feet(27.0)).unwrap().number(), 0.993, 0.001);
}

/// Concrete Construction, What yield can do for you: 1 % of air is 0.27 ft³ in a cubic yard.
#[test]
fn one_per_cent_of_air() {
    near((Volume::from_cubic_yards(1.0).unwrap() * per_cent(1.0)).cubic_feet(), 0.27, 1e-9);
}

/// Closes the Navy example: by ASTM C138/C138M its 5 % of air comes back from the weighing.
#[test]
fn gravimetric_air_closes_the_navy_example() {
    let batched = lb(3802.0);
    let air_free = unit_weight::air_free_density(batched, cubic_feet(27.0 * 0.95)).unwrap();
    near(air_free.lb_ft3(), 148.23, 0.01);
    let measured = unit_weight::density(batched, lb(0.0), cubic_feet(27.0)).unwrap();
    near(measured.lb_ft3(), 140.81, 0.01);
    near(unit_weight::gravimetric_air(air_free, measured).unwrap().per_cent(), 5.00, 0.005);
    let error = unit_weight::gravimetric_air(measured, air_free).unwrap_err().to_string();
    assert!(error.contains("weigh again"), "{error}");
}

/// ACI 211.1-91, table 6.3.6: the 3/8 in row as reprinted; 3/4 in at 2.7, the Navy example's 0.63.
#[test]
fn coarse_aggregate_by_fineness() {
    let share = |largest, fineness| fill::coarse_share(largest, fineness).unwrap().number();
    for (fineness, expected) in [(2.4, 0.50), (2.6, 0.48), (2.8, 0.46), (3.0, 0.44)] {
        near(share(fill::Largest::ThreeEighthsInch, fineness), expected, 1e-12);
    }
    near(share(fill::Largest::ThreeQuartersInch, 2.7), 0.63, 1e-12);
    for outside in [2.3, 3.1, f64::NAN] {
        assert!(fill::coarse_share(fill::Largest::ThreeQuartersInch, outside).is_err());
    }
}

/// Cement data of the Portland Cement Association, 1988: Portland particles 3.10 to 3.25.
#[test]
fn portland_relative_density() {
    assert!((3.10..=3.25).contains(&RelativeDensity::PORTLAND.number()));
}
