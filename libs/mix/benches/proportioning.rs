//! How long a full proportioning with its worked lines and a batch sheet take. Run by hand: `cargo bench -p mix`.

use std::hint::black_box;
use std::time::Instant;

use mix::{Cement, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, batch_sheet};
use quantities::{Density, Grams, Mass, Ratio, RelativeDensity, Volume};

const ROUNDS: u32 = 20_000;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let draft = draft()?;
    let litres = Volume::from_litres(18.0)?;
    let recipe = Recipe::new(&draft)?;
    time("recipe with worked lines", || {
        let recipe = Recipe::new(black_box(&draft));
        black_box(recipe.map(|recipe| recipe.worked()).is_ok());
    });
    time("batch sheet with worked lines", || {
        let sheet = batch_sheet(black_box(&recipe), litres, Grams::new(5));
        black_box(sheet.map(|sheet| sheet.worked()).is_ok());
    });
    Ok(())
}

fn time(what: &str, mut once: impl FnMut()) {
    let start = Instant::now();
    (0..ROUNDS).for_each(|_| once());
    println!("{what}: {:.2} µs", start.elapsed().as_secs_f64() * 1.0e6 / f64::from(ROUNDS));
}

fn draft() -> Result<RecipeDraft, Box<dyn std::error::Error>> {
    let part = |name: &str, role, kg: f64, density: f64| {
        Ok::<_, quantities::OutOfRange>(Ingredient::new(
            name,
            role,
            Mass::from_kg(kg)?,
            RelativeDensity::from_number(density)?,
        ))
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
        target: Some(mix::Target { wet: target, lower: target, upper: target }),
        claimed_yield: None,
    })
}
