//! Trials as a table: one row for each finding, what belongs to the whole trial on every row.

use workshop::trials::Trial;

use crate::table::{Cell, Table};
use crate::words;

const COLUMNS: [&str; 19] = [
    "trial",
    "mix",
    "mixed_on",
    "by",
    "batch_volume_l",
    "wet_density_kg_m3",
    "wear_loss_g",
    "warp_mm",
    "cracks",
    "finding",
    "material",
    "panel",
    "state",
    "age_days",
    "mass_g",
    "density_kg_m3",
    "strength_mpa",
    "note",
    "photos",
];

/// What one row says besides the trial itself.
#[derive(Default)]
struct Finding {
    kind: Option<&'static str>,
    material: Option<String>,
    panel: Option<String>,
    state: Option<&'static str>,
    age_days: Option<f64>,
    mass_g: Option<i64>,
    density_kg_m3: Option<f64>,
    strength_mpa: Option<f64>,
}

/// Trials in the order given; one without findings has one row.
pub fn table<'a>(trials: impl IntoIterator<Item = &'a Trial>) -> Table {
    let mut table = Table::new("trials", &COLUMNS);
    for trial in trials {
        let mut findings = findings(trial);
        if findings.is_empty() {
            findings.push(Finding::default());
        }
        for finding in findings {
            table.row(row(trial, finding));
        }
    }
    table
}

fn findings(trial: &Trial) -> Vec<Finding> {
    let masses = trial.masses.iter().map(|(material, mass)| Finding {
        kind: Some("mass"),
        material: Some(material.to_string()),
        mass_g: Some(mass.get()),
        ..Finding::default()
    });
    let densities = trial.densities.iter().map(|density| Finding {
        kind: Some("density"),
        state: Some(words::hard_state(density.state)),
        density_kg_m3: Some(density.kg_m3),
        ..Finding::default()
    });
    let strengths = trial.strengths.iter().map(|strength| Finding {
        kind: Some("strength"),
        age_days: Some(strength.age_days),
        strength_mpa: Some(strength.mpa),
        ..Finding::default()
    });
    let panels = trial.panels.iter().map(|weighed| Finding {
        kind: Some("panel"),
        panel: Some(weighed.panel.to_string()),
        state: Some(words::hard_state(weighed.state)),
        mass_g: Some(weighed.mass.get()),
        ..Finding::default()
    });
    masses.chain(densities).chain(strengths).chain(panels).collect()
}

fn row(trial: &Trial, finding: Finding) -> Vec<Cell> {
    let tenths = |value: Option<f64>| Cell::maybe(value, |value| Cell::Decimal(value, 1));
    let hundredths = |value: Option<f64>| Cell::maybe(value, |value| Cell::Decimal(value, 2));
    vec![
        Cell::id(&trial.id),
        Cell::id(&trial.revision),
        Cell::Day(trial.mixed_on),
        Cell::text(&trial.by),
        Cell::maybe(trial.batch, |batch| Cell::Decimal(batch.get() as f64 / 1000.0, 3)),
        tenths(trial.wet_density_kg_m3),
        hundredths(trial.wear_loss_g),
        hundredths(trial.warp_mm),
        Cell::maybe(trial.cracks.as_ref(), Cell::text),
        Cell::maybe(finding.kind, Cell::text),
        Cell::maybe(finding.material, Cell::id),
        Cell::maybe(finding.panel, Cell::id),
        Cell::maybe(finding.state, Cell::text),
        hundredths(finding.age_days),
        Cell::maybe(finding.mass_g, Cell::Whole),
        tenths(finding.density_kg_m3),
        hundredths(finding.strength_mpa),
        Cell::maybe(trial.note.as_ref(), Cell::text),
        Cell::maybe(Some(trial.photos.join(" ")).filter(|photos| !photos.is_empty()), Cell::text),
    ]
}
