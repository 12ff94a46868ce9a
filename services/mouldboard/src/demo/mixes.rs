//! The invented workshop's mixes: six revisions of five. Numbers close by absolute volume; none has ever been cast.

use quantities::{Millilitres, Minutes};
use workshop::catalogue::{Foam, Ingredient, Mix, MixRevision, RevisionState};
use workshop::ids::{FinishId, MaterialId, MixId, RevisionId};

/// One row of the revisions table.
struct Row {
    id: &'static str,
    state: RevisionState,
    kg_m3: &'static [(&'static str, f64)],
    foamed: bool,
    wet: (f64, f64, f64),
    air_percent: f64,
    hold_hours: f64,
    soak_days: i64,
    dry_days: i64,
    batch_ml: (i64, i64),
    minutes: (i64, i64),
}

#[rustfmt::skip]
const ROWS: [Row; 6] = [
    Row { id: "foamed-grey@1", state: RevisionState::Retired, kg_m3: &[("water", 312.9), ("cement", 558.7), ("ar-fibre", 3.0)], foamed: true, wet: (900.0, 860.0, 940.0), air_percent: 0.0, hold_hours: 30.0, soak_days: 14, dry_days: 14, batch_ml: (8_000, 36_000), minutes: (18, 20) },
    Row { id: "foamed-grey@2", state: RevisionState::InUse, kg_m3: &[("water", 310.5), ("cement", 621.0), ("ar-fibre", 4.0)], foamed: true, wet: (960.0, 920.0, 1_000.0), air_percent: 0.0, hold_hours: 26.0, soak_days: 14, dry_days: 14, batch_ml: (8_000, 36_000), minutes: (18, 20) },
    Row { id: "foamed-perlite@1", state: RevisionState::InUse, kg_m3: &[("water", 269.6), ("cement", 490.3), ("perlite", 32.0), ("ar-fibre", 4.0)], foamed: true, wet: (820.0, 780.0, 860.0), air_percent: 0.0, hold_hours: 34.0, soak_days: 14, dry_days: 14, batch_ml: (8_000, 36_000), minutes: (20, 20) },
    Row { id: "foamed-rapid@1", state: RevisionState::InUse, kg_m3: &[("water", 308.9), ("rapid-cement", 643.5), ("ar-fibre", 4.0)], foamed: true, wet: (980.0, 940.0, 1_020.0), air_percent: 0.0, hold_hours: 4.0, soak_days: 3, dry_days: 5, batch_ml: (6_000, 18_000), minutes: (16, 25) },
    Row { id: "foamed-charcoal@1", state: RevisionState::InUse, kg_m3: &[("water", 309.9), ("cement", 619.8), ("charcoal-pigment", 22.0), ("ar-fibre", 4.0)], foamed: true, wet: (980.0, 940.0, 1_020.0), air_percent: 0.0, hold_hours: 26.0, soak_days: 14, dry_days: 14, batch_ml: (8_000, 36_000), minutes: (20, 30) },
    Row { id: "gravel-stone@1", state: RevisionState::InUse, kg_m3: &[("water", 178.0), ("gravel", 960.0), ("sand", 845.6), ("cement", 380.0)], foamed: false, wet: (2_364.0, 2_310.0, 2_420.0), air_percent: 2.0, hold_hours: 24.0, soak_days: 7, dry_days: 7, batch_ml: (8_000, 24_000), minutes: (16, 20) },
];

/// Five mixes.
pub fn mixes() -> anyhow::Result<Vec<Mix>> {
    [
        ("foamed-charcoal", "Foamed, charcoal", "charcoal"),
        ("foamed-grey", "Foamed, natural grey", "grey"),
        ("foamed-perlite", "Foamed with perlite, natural grey", "grey"),
        ("foamed-rapid", "Foamed, rapid-setting, natural grey", "grey"),
        ("gravel-stone", "Ordinary gravel concrete", "stone"),
    ]
    .into_iter()
    .map(|(id, name, finish)| Ok(Mix { id: MixId::parse(id)?, name: name.into(), finish: FinishId::parse(finish)? }))
    .collect()
}

/// Six revisions of them.
pub fn revisions() -> anyhow::Result<Vec<MixRevision>> {
    ROWS.iter().map(revision).collect()
}

fn revision(row: &Row) -> anyhow::Result<MixRevision> {
    let ingredients = row
        .kg_m3
        .iter()
        .map(|(material, kg_m3)| anyhow::Ok(Ingredient { material: MaterialId::parse(material)?, kg_m3: *kg_m3 }));
    let foam = Foam {
        concentrate: MaterialId::parse("foaming-liquid")?,
        density_kg_m3: 50.0,
        dilution: 25.0,
        water_counted: false,
    };
    Ok(MixRevision {
        id: RevisionId::parse(row.id)?,
        state: row.state,
        reason: Some("invented for the demonstration; not to be cast from".into()),
        ingredients: ingredients.collect::<anyhow::Result<_>>()?,
        foam: row.foamed.then_some(foam),
        wet_density_kg_m3: row.wet.0,
        wet_density_low_kg_m3: row.wet.1,
        wet_density_high_kg_m3: row.wet.2,
        air_percent: row.air_percent,
        hold_hours_at_20c: row.hold_hours,
        soak_days: row.soak_days,
        dry_days: row.dry_days,
        batch_min: Millilitres::new(row.batch_ml.0),
        batch_max: Millilitres::new(row.batch_ml.1),
        batch_minutes: Minutes::new(row.minutes.0),
        washout: Millilitres::new(1_200),
        washout_minutes: Minutes::new(row.minutes.1),
        least_air_c: None,
    })
}
