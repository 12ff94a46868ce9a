//! Faults of trials.

use core::ops::RangeInclusive;

use super::found::{AMOUNT_MOST, Found};
use crate::Fault;
use crate::trials::Trial;

/// Densities of concrete, kg/m³.
const DENSITIES: RangeInclusive<f64> = 100.0..=3_500.0;
/// Most photos a trial names.
const PHOTOS_MOST: usize = 200;

/// Every fault of a trial.
pub fn faults(trial: &Trial) -> Vec<Fault> {
    let mut found = Found::new();
    found.day("/mixed_on", trial.mixed_on);
    found.name("/by", &trial.by);
    if let Some(batch) = trial.batch {
        found.whole("/batch_ml", batch.get(), 1..=10_000_000);
    }
    for (at, (_, mass)) in trial.masses.iter().enumerate() {
        found.whole(&format!("/masses/{at}/mass_g"), mass.get(), 1..=AMOUNT_MOST);
    }
    found.distinct(trial.masses.iter().map(|(material, _)| material), |at| format!("/masses/{at}/material"));
    measured(trial, &mut found);
    for (at, photo) in trial.photos.iter().enumerate() {
        found.name(&format!("/photos/{at}"), photo);
    }
    found
        .ensure(trial.photos.len() <= PHOTOS_MOST, "/photos", || format!("are more than {PHOTOS_MOST}: name the best"));
    found.distinct(trial.photos.iter(), |at| format!("/photos/{at}"));
    found.note("/cracks", trial.cracks.as_deref());
    found.note("/note", trial.note.as_deref());
    found.all()
}

fn measured(trial: &Trial, found: &mut Found) {
    if let Some(wet) = trial.wet_density_kg_m3 {
        found.number("/wet_density_kg_m3", wet, DENSITIES);
    }
    for (at, density) in trial.densities.iter().enumerate() {
        found.number(&format!("/densities/{at}/density_kg_m3"), density.kg_m3, DENSITIES);
    }
    for (at, strength) in trial.strengths.iter().enumerate() {
        found.above_zero(&format!("/strengths/{at}/age_days"), strength.age_days, 3650.0);
        found.number(&format!("/strengths/{at}/strength_mpa"), strength.mpa, 0.0..=200.0);
    }
    for (at, panel) in trial.panels.iter().enumerate() {
        found.whole(&format!("/panels/{at}/mass_g"), panel.mass.get(), 1..=AMOUNT_MOST);
    }
    if let Some(wear) = trial.wear_loss_g {
        found.number("/wear_loss_g", wear, 0.0..=1_000_000.0);
    }
    if let Some(warp) = trial.warp_mm {
        found.number("/warp_mm", warp, 0.0..=1_000.0);
    }
}
