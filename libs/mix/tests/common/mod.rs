//! Short hands for check values: quantities from plain numbers, and a draft to vary.
#![allow(dead_code, reason = "each test file uses its own part")]

pub mod wishes;

use mix::{Cement, FoamAmount, FoamDraft, Ingredient, RecipeDraft, Role, Target};
use quantities::{Density, Fresh, Mass, OfMaterial, Ratio, RelativeDensity, Volume};

#[track_caller]
pub fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "got {got}, expected {expected} ± {tolerance}");
}

pub fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).unwrap()
}

pub fn lb(lb: f64) -> Mass {
    Mass::from_pounds(lb).unwrap()
}

pub fn litres(litres: f64) -> Volume {
    Volume::from_litres(litres).unwrap()
}

pub fn cubic_feet(ft3: f64) -> Volume {
    Volume::from_cubic_feet(ft3).unwrap()
}

pub fn rd(number: f64) -> RelativeDensity {
    RelativeDensity::from_number(number).unwrap()
}

pub fn per_cent(number: f64) -> Ratio {
    Ratio::from_per_cent(number).unwrap()
}

pub fn fresh(kg_m3: f64) -> Density<Fresh> {
    Density::from_kg_m3(kg_m3).unwrap()
}

pub fn foam_of(kg_m3: f64, water_counted: bool, amount: FoamAmount) -> FoamDraft {
    FoamDraft { density: Density::<OfMaterial>::from_kg_m3(kg_m3).unwrap(), water_counted, amount, dilution: None }
}

pub fn exactly(kg_m3: f64) -> Target {
    Target { wet: fresh(kg_m3), lower: fresh(kg_m3 * 0.95), upper: fresh(kg_m3 * 1.05) }
}

pub fn portland(mass: Mass) -> Ingredient {
    Ingredient::new("Portland cement", Role::Cement(Cement::Portland), mass, RelativeDensity::PORTLAND)
}

pub fn part(name: &str, role: Role, mass: Mass, relative_density: f64) -> Ingredient {
    Ingredient::new(name, role, mass, rd(relative_density))
}

/// Neat cement and water at a water/cement ratio, with foam.
pub fn foamed(water_cement: f64, foam: FoamDraft, target: Option<f64>) -> RecipeDraft {
    RecipeDraft {
        ingredients: vec![portland(kg(100.0)), Ingredient::water("water", kg(100.0 * water_cement))],
        air: Ratio::ZERO,
        foam: Some(foam),
        target: target.map(exactly),
        claimed_yield: None,
    }
}

pub fn plain(ingredients: Vec<Ingredient>, air_per_cent: f64) -> RecipeDraft {
    RecipeDraft { ingredients, air: per_cent(air_per_cent), foam: None, target: None, claimed_yield: None }
}
