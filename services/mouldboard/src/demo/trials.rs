//! Trials of the invented workshop's mixes: enough to lay side by side against the gravel mix, and for a line from density to
//! strength. Made up like everything here.

use chrono::NaiveDate as Day;
use quantities::{Grams, Millilitres};
use workshop::ids::{PanelId, RevisionId, TrialId};
use workshop::trials::{HardDensity, HardState, PanelWeighed, StrengthFound, Trial};

use super::day;

/// One row of the trials table: densities wet, demoulded, air-dry, oven-dry; strengths at 7 and 28 days.
struct Row {
    id: &'static str,
    revision: &'static str,
    mixed_on: Day,
    kg_m3: [f64; 4],
    mpa: (f64, f64),
    side_g: i64,
    wear_g: f64,
    warp_mm: f64,
    cracks: &'static str,
}

#[rustfmt::skip]
const ROWS: [Row; 8] = [
    Row { id: "charcoal-1-october", revision: "foamed-charcoal@1", mixed_on: day(2025, 10, 13), kg_m3: [984.0, 966.0, 838.0, 766.0], mpa: (2.0, 3.1), side_g: 8_960, wear_g: 33.0, warp_mm: 1.0, cracks: "none seen" },
    Row { id: "gravel-1-september", revision: "gravel-stone@1", mixed_on: day(2025, 9, 8), kg_m3: [2_358.0, 2_349.0, 2_305.0, 2_238.0], mpa: (24.5, 34.0), side_g: 24_620, wear_g: 11.0, warp_mm: 0.0, cracks: "none seen" },
    Row { id: "grey-1-may", revision: "foamed-grey@1", mixed_on: day(2025, 5, 12), kg_m3: [905.0, 887.0, 751.0, 682.0], mpa: (1.3, 2.1), side_g: 8_020, wear_g: 47.0, warp_mm: 2.0, cracks: "hair cracks along two long edges" },
    Row { id: "grey-1-june", revision: "foamed-grey@1", mixed_on: day(2025, 6, 16), kg_m3: [893.0, 876.0, 740.0, 671.0], mpa: (1.2, 1.9), side_g: 7_900, wear_g: 51.0, warp_mm: 2.0, cracks: "a hair crack along one long edge" },
    Row { id: "grey-2-august", revision: "foamed-grey@2", mixed_on: day(2025, 8, 18), kg_m3: [957.0, 941.0, 816.0, 747.0], mpa: (1.9, 2.9), side_g: 8_710, wear_g: 34.0, warp_mm: 1.0, cracks: "none seen" },
    Row { id: "grey-2-november", revision: "foamed-grey@2", mixed_on: day(2025, 11, 17), kg_m3: [968.0, 951.0, 824.0, 756.0], mpa: (1.9, 3.0), side_g: 8_800, wear_g: 33.0, warp_mm: 1.0, cracks: "none seen" },
    Row { id: "perlite-1-july", revision: "foamed-perlite@1", mixed_on: day(2025, 7, 7), kg_m3: [824.0, 806.0, 690.0, 622.0], mpa: (1.0, 1.6), side_g: 7_370, wear_g: 63.0, warp_mm: 1.0, cracks: "none seen" },
    Row { id: "rapid-1-september", revision: "foamed-rapid@1", mixed_on: day(2025, 9, 22), kg_m3: [978.0, 969.0, 871.0, 808.0], mpa: (3.4, 3.8), side_g: 9_300, wear_g: 30.0, warp_mm: 1.0, cracks: "none seen" },
];

/// Eight trials of six revisions.
pub fn trials() -> anyhow::Result<Vec<Trial>> {
    ROWS.iter().map(trial).collect()
}

fn trial(row: &Row) -> anyhow::Result<Trial> {
    let [wet, demoulded, air_dry, oven_dry] = row.kg_m3;
    let density = |state, kg_m3| HardDensity { state, kg_m3 };
    let strength = |age_days, mpa| StrengthFound { age_days, mpa };
    Ok(Trial {
        id: TrialId::parse(row.id)?,
        revision: RevisionId::parse(row.revision)?,
        mixed_on: row.mixed_on,
        by: "the bench".into(),
        batch: Some(Millilitres::new(12_000)),
        masses: vec![],
        wet_density_kg_m3: Some(wet),
        densities: vec![
            density(HardState::Demoulded, demoulded),
            density(HardState::AirDry, air_dry),
            density(HardState::OvenDry, oven_dry),
        ],
        strengths: vec![strength(7.0, row.mpa.0), strength(28.0, row.mpa.1)],
        panels: vec![PanelWeighed {
            panel: PanelId::parse("bed-side-900")?,
            state: HardState::AirDry,
            mass: Grams::new(row.side_g),
        }],
        wear_loss_g: Some(row.wear_g),
        cracks: Some(row.cracks.into()),
        warp_mm: Some(row.warp_mm),
        photos: vec![format!("{}-cube-28-days.jpg", row.id)],
        note: Some("invented for the demonstration".into()),
    })
}
