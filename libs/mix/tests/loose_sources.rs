//! Where a source is loose: the library keeps to the arithmetic and disagrees by the stated amount.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::maturity::{Interval, temperature_time};
use mix::{Ingredient, Recipe, Role};
use quantities::{Celsius, Hours, RelativeDensity, Volume};

fn water(gallons: f64) -> quantities::Mass {
    RelativeDensity::WATER.density() * Volume::from_us_gallons(gallons).unwrap()
}

/// Trade article on insulating concrete, 2000: it calls w/c 0.50 to 0.60 "5 to 6 gal a sack". At 8.34 lb/gal and 94 lb that
/// is 0.444 to 0.532, and 0.50 to 0.60 are 5.64 to 6.76 gal.
#[test]
fn gallons_to_the_sack() {
    let water_cement = |gallons: f64| {
        let mix = plain(vec![portland(lb(94.0)), Ingredient::water("water", water(gallons))], 0.0);
        Recipe::new(&mix).unwrap().water_ratios().unwrap().water_cement().number()
    };
    near(water_cement(5.0), 0.444, 0.001);
    near(water_cement(6.0), 0.532, 0.001);
    near(0.50 / water_cement(1.0), 5.64, 0.01);
    near(0.60 / water_cement(1.0), 6.76, 0.01);
}

/// Textbooks on maturity after A. G. A. Saul and J. M. Plowman (from memory): 28 days at 18 °C over -11 °C are printed as
/// 19,800 °C·h. They are 19,488: the print is 1.6 % high.
#[test]
fn the_rounded_maturity_of_the_textbooks() {
    let month = Interval { time: Hours::from_days(28.0).unwrap(), temperature: Celsius::from_celsius(18.0).unwrap() };
    let factor = temperature_time(&[month], Celsius::from_celsius(-11.0).unwrap());
    near(factor, 19_488.0, 1e-6);
    near((19_800.0 / factor - 1.0) * 100.0, 1.6, 0.01);
}

/// Perlite concrete, industry guide (manufacturer's literature): the one-sack mix of 4 ft³ perlite and 10 gal is printed at
/// 50 lb/ft³ wet. Its own masses weigh 52.4: the print is 5 % low.
#[test]
fn the_wet_density_of_the_richest_perlite_mix() {
    let ingredients = vec![
        portland(lb(94.0)),
        Ingredient::water("water", water(10.0)),
        part("perlite", Role::LightweightAggregate, lb(8.0 * 4.0), 0.3),
    ];
    let solids: f64 = ingredients.iter().map(|item| item.absolute_volume().cubic_feet()).sum();
    let wet = Recipe::new(&plain(ingredients, (1.0 - solids / 4.0) * 100.0)).unwrap().wet_density().lb_ft3();
    near(wet, 52.4, 0.05);
    near((wet / 50.0 - 1.0) * 100.0, 5.0, 0.3);
}

/// S. Yoon, class example of the ACI absolute volume method: the last line of the hundredth of a yard prints 6.57 lb of
/// cement, two figures the wrong way round. A hundredth of its 675.44 lb is 6.75.
#[test]
fn the_last_line_of_the_class_example() {
    let cement = lb(385.0 / 0.57 / 100.0).pounds();
    near(cement, 6.75, 0.005);
    near(cement - 6.57, 0.18, 0.005);
}
