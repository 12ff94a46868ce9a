//! The mix library and the planner draw alike: a recipe on record gives the same litre to both.

use quantities::{Millilitres, MinorUnits, Minutes};
use workshop::catalogue::{Amount, Ingredient as Part, Material, RevisionState, StockUnit, Supply};
use workshop::ids::{MaterialId, RevisionId};
use workshop::planning::draws::per_litre;

use super::*;
use crate::calculations::proportions::worked_out;

fn material(id: &str, kind: MaterialKind, unit: StockUnit, relative: f64) -> Material {
    Material {
        id: MaterialId::parse(id).unwrap(),
        name: id.into(),
        kind,
        unit,
        relative_density: Some(relative),
        supply: Supply::Bought,
        floor: Amount::ZERO,
        pack: Amount::new(1),
        pack_price: MinorUnits::ZERO,
        lead_days: 0,
        delivery_charge: MinorUnits::ZERO,
        store_max: None,
        price_breaks: vec![],
        keep_days: None,
    }
}

fn materials() -> Vec<Material> {
    use MaterialKind as K;
    vec![
        material("water", K::Water, StockUnit::Gram, 1.0),
        material("cement", K::PortlandCement, StockUnit::Gram, 3.15),
        material("foamer", K::FoamingConcentrate, StockUnit::Millilitre, 1.02),
    ]
}

/// Cement 533.3 and water 237.0 kg/m³ with foam of 50 kg/m³: a published wet density of 800 kg/m³, the foam's water counted
/// in the w/c of 0.5.
fn revision(water_counted: bool) -> MixRevision {
    let part = |id: &str, kg_m3| Part { material: MaterialId::parse(id).unwrap(), kg_m3 };
    MixRevision {
        id: RevisionId::parse("foamed@1").unwrap(),
        state: RevisionState::InUse,
        reason: None,
        ingredients: vec![part("water", 237.0), part("cement", 533.3)],
        foam: Some(Foam {
            concentrate: MaterialId::parse("foamer").unwrap(),
            density_kg_m3: 50.0,
            dilution: 40.0,
            water_counted,
        }),
        wet_density_kg_m3: 800.0,
        wet_density_low_kg_m3: 790.0,
        wet_density_high_kg_m3: 810.0,
        air_percent: 0.0,
        hold_hours_at_20c: 20.0,
        soak_days: 7,
        dry_days: 7,
        batch_min: Millilitres::new(1),
        batch_max: Millilitres::new(2),
        batch_minutes: Minutes::ZERO,
        washout: Millilitres::ZERO,
        washout_minutes: Minutes::ZERO,
        least_air_c: None,
    }
}

#[test]
fn a_litre_of_the_recipe_is_a_litre_of_the_plan() {
    let materials = materials();
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    for water_counted in [false, true] {
        let revision = revision(water_counted);
        let planned = per_litre(&revision, &by_id).unwrap();
        let library = recipe(&revision, &by_id).unwrap().per_litre();
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6, "{a} and {b}");
        let grams = |id: &str| library.grams.iter().find(|(name, _)| name == id).unwrap().1;
        let drawn = |id: &str| planned[&MaterialId::parse(id).unwrap()];
        near(drawn("cement"), grams("cement"));
        near(drawn("water"), grams("water") + library.foam_water_g);
        near(drawn("foamer"), library.concentrate_ml);
    }
}

#[test]
fn the_foam_fills_what_is_left_of_the_cubic_metre() {
    let materials = materials();
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let found = worked_out(None, &recipe(&revision(true), &by_id).unwrap());
    let foam = found.foam.unwrap();
    assert!((foam.volume_l_m3 - 594.0).abs() < 1.0, "{}", foam.volume_l_m3);
    assert!((found.wet_density_kg_m3 - 800.0).abs() < 0.5, "{}", found.wet_density_kg_m3);
    assert!((found.water_cement_with_foam.unwrap() - 0.5).abs() < 0.001);
    assert!((found.yield_l - 1000.0).abs() < 0.01);
}
