//! How long a full proportioning and the cheapest proportions take. Run by hand: `cargo bench -p mix`.
//!
//! Wanted: proportioning with its worked lines in less than 50 µs, the cheapest proportions in less than 5 ms.

use divan::{Bencher, black_box};
use mix::cheapest::{Band, Choice, Dosing, FoamChoice, Price, Wish, cheapest};
use mix::{Cement, Dilution, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, Target, batch_sheet};
use quantities::{Content, Density, Grams, Mass, OutOfRange, Ratio, RelativeDensity, Volume};

fn main() {
    divan::main();
}

/// Six ingredients and foam to a target, with every worked line.
#[divan::bench]
fn recipe_with_worked_lines(bencher: Bencher) {
    let draft = draft().expect("the numbers are in range");
    bencher.bench(|| Recipe::new(black_box(&draft)).map(|recipe| recipe.worked()));
}

/// The same with the sheet of a load and its lines.
#[divan::bench]
fn recipe_and_sheet_with_worked_lines(bencher: Bencher) {
    let draft = draft().expect("the numbers are in range");
    let load = Volume::from_litres(18.0).expect("18 L is a volume");
    bencher.bench(|| {
        let recipe = Recipe::new(black_box(&draft))?;
        let sheet = batch_sheet(&recipe, load, Grams::new(5))?;
        Ok::<_, mix::Faults>((recipe.worked(), sheet.worked()))
    });
}

/// Seven materials, foam and a dozen limits, with the saving of each limit that binds.
#[divan::bench]
fn cheapest_proportions(bencher: Bencher) {
    let wish = wish().expect("the numbers are in range");
    assert!(cheapest(&wish).is_ok_and(|found| !found.binding.is_empty()), "there is a mix to find");
    bencher.bench(|| cheapest(black_box(&wish)));
}

/// The same wish with too much cement, and the limits that exclude each other.
#[divan::bench]
fn wish_that_cannot_be_met(bencher: Bencher) {
    let mut wish = wish().expect("the numbers are in range");
    wish.cement = Band::at_least(Content::from_kg_m3(900.0).expect("900 kg/m³ is a content"));
    assert!(cheapest(&wish).is_err(), "there is no mix to find");
    bencher.bench(|| cheapest(black_box(&wish)));
}

fn draft() -> Result<RecipeDraft, OutOfRange> {
    let part = |name: &str, role, kg: f64, density: f64| {
        Ok::<_, OutOfRange>(Ingredient::new(name, role, Mass::from_kg(kg)?, RelativeDensity::from_number(density)?))
    };
    let target = Density::from_kg_m3(900.0)?;
    Ok(RecipeDraft {
        ingredients: vec![
            part("cement", Role::Cement(Cement::Portland), 400.0, 3.15)?,
            part("water", Role::Water, 220.0, 1.0)?,
            part("sand", Role::Aggregate, 200.0, 2.65)?,
            part("perlite", Role::LightweightAggregate, 20.0, 0.3)?,
            part("red oxide", Role::Pigment, 16.0, 5.0)?,
            part("fibre", Role::Fibre, 2.0, 2.68)?,
        ],
        air: Ratio::from_per_cent(2.0)?,
        foam: Some(FoamDraft {
            density: Density::from_kg_m3(50.0)?,
            water_counted: true,
            amount: FoamAmount::ToTarget,
            dilution: None,
        }),
        target: Some(Target { wet: target, lower: target, upper: target }),
        claimed_yield: None,
    })
}

fn wish() -> Result<Wish, OutOfRange> {
    let choice = |name: &str, role, density: f64, price: f64| {
        Ok::<_, OutOfRange>(Choice::new(name, role, RelativeDensity::from_number(density)?, Price::PerKg(price)))
    };
    let red = Choice {
        dosing: Some(Dosing::OfCementitious(Band::between(Ratio::from_per_cent(3.0)?, Ratio::from_per_cent(5.0)?))),
        ..choice("red oxide", Role::Pigment, 5.0, 250.0)?
    };
    let fibre = Choice {
        dosing: Some(Dosing::OfMix(Band::at_least(Ratio::from_per_cent(0.5)?))),
        ..choice("fibre", Role::Fibre, 2.68, 600.0)?
    };
    let ash = Choice { content: Band::at_most(Content::from_kg_m3(60.0)?), ..choice("ash", Role::Addition, 2.3, 8.0)? };
    let water = RelativeDensity::from_number(1.0)?;
    let foam = FoamChoice {
        density: Density::from_kg_m3(50.0)?,
        water_counted: true,
        dilution: Dilution {
            concentrate: Volume::from_litres(1.0)?,
            water: Volume::from_litres(24.0)?,
            concentrate_relative_density: water,
        },
        concentrate: Price::PerKg(400.0),
        volume: Band::at_most(Ratio::from_per_cent(75.0)?),
    };
    Ok(Wish {
        foam: Some(foam),
        wet: Band::between(Density::from_kg_m3(890.0)?, Density::from_kg_m3(910.0)?),
        oven_dry: Band::at_most(Density::from_kg_m3(800.0)?),
        water_cement: Band::between(Ratio::from_number(0.45)?, Ratio::from_number(0.55)?),
        water_cementitious: Band::at_least(Ratio::from_number(0.4)?),
        cement: Band::at_least(Content::from_kg_m3(300.0)?),
        ..Wish::of(vec![
            choice("cement", Role::Cement(Cement::Portland), 3.15, 30.0)?,
            choice("water", Role::Water, 1.0, 0.2)?,
            choice("sand", Role::Aggregate, 2.65, 5.0)?,
            choice("perlite", Role::LightweightAggregate, 0.3, 200.0)?,
            red,
            fibre,
            ash,
        ])
    })
}
