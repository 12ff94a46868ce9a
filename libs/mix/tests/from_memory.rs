//! Check values from memory: figures of books and standards as remembered, not seen again when these tests were written.
//! They agree with the library; what they are worth as outside witnesses is for the reader to judge.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::maturity::{Interval, temperature_time};
use mix::moisture::{Basis, MoistAggregate, Moisture, moist, water_to_add};
use mix::strength::{self, FROST_SAFE_MPA};
use mix::{Cement, FoamAmount, Ingredient, Recipe, RecipeDraft, Role, fill, foam, mesh, weighing};
use quantities::{Area, Celsius, Density, Hours, Length, OfMaterial, Pressure, Ratio, Volume};

fn ratio(number: f64) -> Ratio {
    Ratio::from_number(number).unwrap()
}

fn wet(mass: quantities::Mass, moisture: f64, absorption: f64) -> MoistAggregate {
    let moisture = Moisture::Total { moisture: per_cent(moisture), absorption: per_cent(absorption) };
    moist(mass, Basis::OvenDry, moisture).unwrap()
}

/// From memory: S. H. Kosmatka and others, Design and Control of Concrete Mixtures, 14th edition (SI), proportioning
/// example with a blended cement of relative density 3.0.
#[test]
fn blended_cement_example() {
    let others = [(kg(135.0), rd(1.0)), (kg(435.0), rd(3.0)), (kg(1072.0), rd(2.68))];
    let volumes: Vec<f64> = others.iter().map(|(mass, density)| (*mass / density.density()).m3()).collect();
    near(volumes[0], 0.135, 1e-12);
    near(volumes[1], 0.145, 1e-12);
    near(volumes[2], 0.400, 1e-12);
    let fine = fill::by_difference(Volume::CUBIC_METRE, &others, per_cent(7.0), rd(2.64)).unwrap();
    near(fine.kg(), 660.0, 1e-9);

    let blended = Cement::Blended { portland: per_cent(80.0) };
    let recipe = Recipe::new(&plain(
        vec![
            Ingredient::water("water", kg(135.0)),
            part("blended cement", Role::Cement(blended), kg(435.0), 3.0),
            part("coarse aggregate", Role::Aggregate, kg(1072.0), 2.68),
            part("fine aggregate", Role::Aggregate, kg(660.0), 2.64),
        ],
        7.0,
    ))
    .unwrap();
    near(recipe.making().m3(), 1.0, 1e-12);
    near(recipe.wet_density().kg_m3(), 2302.0, 1e-9);
    // The book adds the water that its aggregates take up to be saturated: 0.5 and 0.7 %.
    let saturated = |mass: f64, absorption: f64| {
        let bone_dry = Moisture::Total { moisture: Ratio::ZERO, absorption: per_cent(absorption) };
        -moist(kg(mass), Basis::OvenDry, bone_dry).unwrap().free_water_kg
    };
    near(recipe.wet_density().kg_m3() + saturated(1072.0, 0.5) + saturated(660.0, 0.7), 2312.0, 0.5);
}

/// From memory: ACI 211.1-91, appendix 2, example 1 in SI; the fine aggregate hangs on how volumes are rounded.
#[test]
fn aci_example() {
    let (cement, coarse) = (181.0 / 0.62, 0.71 * 1600.0);
    near(cement, 292.0, 0.5);
    near(coarse, 1136.0, 1e-9);
    let others = [(kg(181.0), rd(1.0)), (kg(cement), rd(3.15)), (kg(coarse), rd(2.68))];
    let fine = fill::by_difference(Volume::CUBIC_METRE, &others, per_cent(1.0), rd(2.64)).unwrap();
    near(fine.kg(), 772.0, 3.0);
}

/// From memory: the same example's moisture step, total moisture against absorption.
#[test]
fn aci_moisture() {
    let aggregates = [wet(kg(1136.0), 2.0, 0.5), wet(kg(801.0), 6.0, 0.7)];
    near(aggregates[0].weigh.kg(), 1159.0, 0.5);
    near(aggregates[1].weigh.kg(), 849.0, 0.5);
    near(water_to_add(kg(181.0), &aggregates).unwrap().kg(), 121.5, 0.5);
}

/// From memory: ACI 211.1-91, appendix 2, example 1 in inch-pounds.
#[test]
fn aci_example_in_pounds() {
    near(300.0 / 0.62, 484.0, 0.2);
    let rodded = Density::<OfMaterial>::from_lb_ft3(100.0).unwrap();
    let yard = Volume::from_cubic_yards(1.0).unwrap();
    let coarse = fill::coarse_aggregate(ratio(0.71), rodded, yard).pounds();
    near(coarse, 1917.0, 0.1);
    let others = [(lb(300.0), rd(1.0)), (lb(484.0), rd(3.15)), (lb(coarse), rd(2.68))];
    for ((mass, density), cubic_feet) in others.iter().zip([4.81, 2.46, 11.46]) {
        near((*mass / density.density()).cubic_feet(), cubic_feet, 0.015);
    }
    near(fill::by_difference(yard, &others, per_cent(1.0), rd(2.64)).unwrap().pounds(), 1318.0, 3.0);
    let aggregates = [wet(lb(1917.0), 2.0, 0.5), wet(lb(1369.0), 6.0, 0.7)];
    near(aggregates[0].weigh.pounds(), 1955.0, 0.5);
    near(aggregates[1].weigh.pounds(), 1451.0, 0.5);
    near(water_to_add(lb(300.0), &aggregates).unwrap().pounds(), 199.0, 0.5);
}

/// From memory: ACI 211.1-91, table 6.3.6, the row of 3/4 in aggregate.
#[test]
fn coarse_aggregate_of_three_quarters() {
    for (fineness, share) in [(2.4, 0.66), (2.6, 0.64), (2.8, 0.62), (3.0, 0.60)] {
        near(fill::coarse_share(fill::Largest::ThreeQuartersInch, fineness).unwrap().number(), share, 1e-12);
    }
}

/// From memory: ACI 211.1-91, table 6.3.4, the rows between its ends.
#[test]
fn ordinary_strength_between_the_ends() {
    let psi = |w: f64, air: bool| strength::ordinary(ratio(w), air).unwrap().strength.psi();
    for (water_cement, strength) in [(0.48, 5000.0), (0.68, 3000.0)] {
        near(psi(water_cement, false), strength, 1e-6);
    }
    near(psi(0.48, true), 4000.0, 1e-6);
}

/// From memory: R. K. Dhir, M. R. Jones and L. A. Nicol, foamed concrete (University of Dundee), 1999: their target
/// density leaves the foam's mass out; 50 kg/m³ foam makes it 27 kg/m³ too low.
#[test]
fn sanded_foamed_concrete_without_the_foams_mass() {
    let sanded = |amount| RecipeDraft {
        ingredients: vec![
            portland(kg(300.0)),
            Ingredient::water("water", kg(150.0)),
            part("sand", Role::Aggregate, kg(550.0), 2.65),
        ],
        air: Ratio::ZERO,
        foam: Some(foam_of(50.0, false, amount)),
        target: None,
        claimed_yield: Some(Volume::CUBIC_METRE),
    };
    let solids = 300.0 / 3.15 + 150.0 + 550.0 / 2.65;
    let recipe = Recipe::new(&sanded(FoamAmount::Volume(litres(1000.0 - solids)))).unwrap();
    near(recipe.foam().unwrap().volume.number(), 0.547, 0.0005);
    near(recipe.making().litres(), 1000.0, 1e-9);
    near(recipe.wet_density().kg_m3() - 1000.0, 27.0, 0.5);
    near(recipe.oven_dry_density().unwrap().kg_m3(), 910.0, 0.05);
}

/// From memory: preformed foam weighs 2 to 4 lb/ft³, 32 to 64 kg/m³.
#[test]
fn usual_foam() {
    for lb_ft3 in [2.0, 4.0] {
        let edge = Density::<OfMaterial>::from_lb_ft3(lb_ft3).unwrap();
        near(edge.kg_m3(), lb_ft3 * 16.0, 0.1);
        foam::check_foam(edge, &foam::USUAL_FOAM_KG_M3).unwrap();
    }
}

/// From memory: G. C. Hoff, 1972: porosity of neat foamed paste at w/c 0.5.
#[test]
fn porosity_of_foamed_paste() {
    for (wet, porosity) in [(500.0, 0.8275), (800.0, 0.7240), (1000.0, 0.6550), (1200.0, 0.5860)] {
        near(strength::porosity(fresh(wet), ratio(0.5)).unwrap().number(), porosity, 0.0005);
    }
}

/// From memory: E. P. Kearsley and P. J. Wainwright, Cement and Concrete Research 32, 2002: strength by porosity and age.
#[test]
fn strength_of_foamed_paste() {
    let mpa = |p: f64, days: f64| {
        strength::foamed_paste(ratio(p), Hours::from_days(days).unwrap(), fresh(1200.0)).unwrap().strength.mpa()
    };
    for (porosity, month, year) in [(0.5, 13.42, 26.24), (0.6, 6.01, 11.75), (0.7, 2.13, 4.17)] {
        near(mpa(porosity, 28.0), month, 0.01);
        near(mpa(porosity, 365.0), year, 0.01);
    }
}

/// From memory: ASTM C1074, practice: below the datum nothing is counted, and nothing is taken away.
#[test]
fn nothing_below_the_datum() {
    let frost = Interval { time: Hours::from_days(1.0).unwrap(), temperature: Celsius::from_celsius(-15.0).unwrap() };
    near(temperature_time(&[frost], Celsius::from_celsius(-10.0).unwrap()), 0.0, 0.0);
}

/// From memory: ACI 306R: least temperature of pieces of 12 in and more as placed, and 500 psi before frost.
#[test]
fn cold_weather_of_thicker_pieces() {
    for (inches, fahrenheit) in [(13.0, 50.0), (37.0, 45.0), (73.0, 40.0)] {
        let thickness = Length::from_inches(inches).unwrap();
        near(strength::least_placing_temperature(thickness).unwrap().fahrenheit(), fahrenheit, 1e-9);
    }
    near(Pressure::from_psi(500.0).unwrap().mpa(), FROST_SAFE_MPA, 0.06);
}

/// From memory: ASTM C94/C94M, section 9: cement within 1 %, in small loads up to 4 % over and none under.
#[test]
fn tolerance_of_cement() {
    let (least, most) = weighing::cement_band(kg(10.0), kg(50.0));
    near(least.kg(), 10.0, 0.0);
    near(most.kg(), 10.4, 1e-12);
    let (least, most) = weighing::cement_band(kg(20.0), kg(50.0));
    near(least.kg(), 19.8, 1e-12);
    near(most.kg(), 20.2, 1e-12);
}

/// From memory: welded-wire industry tables: a mesh of W1.4 wires at 6 in both ways is 0.028 in² to the foot, and by its
/// wires 19.1 lb to 100 ft² (catalogues print 21 with the overhang).
#[test]
fn common_mesh() {
    let inches = |inches: f64| Length::from_inches(inches).unwrap();
    let wire = mesh::wire_area(1.4).unwrap();
    let steel = mesh::steel_in(inches(12.0), wire, inches(6.0)).unwrap();
    near(steel.mm2() / (25.4 * 25.4), 0.028, 1e-12);
    let sheet = Area::from_mm2(100.0 * 304.8 * 304.8).unwrap();
    near(mesh::mass(sheet, wire, inches(6.0)).unwrap().pounds(), 19.1, 0.1);
}
