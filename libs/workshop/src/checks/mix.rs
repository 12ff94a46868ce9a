//! Faults of mixes and their revisions.

use super::found::Found;
use crate::Fault;
use crate::catalogue::{Mix, MixRevision, RevisionState};

/// Every fault of a mix.
pub fn faults(mix: &Mix) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &mix.name);
    found.all()
}

/// Every fault of a mix revision.
pub fn revision_faults(revision: &MixRevision) -> Vec<Fault> {
    let mut found = Found::new();
    found.note("/reason", revision.reason.as_deref());
    let stated = revision.reason.as_ref().is_some_and(|reason| !reason.trim().is_empty());
    found.ensure(revision.state != RevisionState::InUse || stated, "/reason", || {
        "is missing: say on whose word the revision is put in use".to_owned()
    });
    ingredients(revision, &mut found);
    foam(revision, &mut found);
    densities(revision, &mut found);
    times(revision, &mut found);
    batches(revision, &mut found);
    if let Some(air) = revision.least_air_c {
        found.number("/least_air_c", air, -40.0..=60.0);
    }
    found.all()
}

fn ingredients(revision: &MixRevision, found: &mut Found) {
    found.ensure(!revision.ingredients.is_empty(), "/ingredients", || {
        "is empty: a mix has one ingredient at least".to_owned()
    });
    for (index, ingredient) in revision.ingredients.iter().enumerate() {
        found.above_zero(&format!("/ingredients/{index}/kg_m3"), ingredient.kg_m3, 3000.0);
    }
    found.distinct(revision.ingredients.iter().map(|i| &i.material), |i| format!("/ingredients/{i}/material"));
}

fn foam(revision: &MixRevision, found: &mut Found) {
    if let Some(foam) = &revision.foam {
        found.number("/foam/density_kg_m3", foam.density_kg_m3, 20.0..=120.0);
        found.number("/foam/dilution", foam.dilution, 1.0..=200.0);
    }
}

fn densities(revision: &MixRevision, found: &mut Found) {
    let (low, target, high) =
        (revision.wet_density_low_kg_m3, revision.wet_density_kg_m3, revision.wet_density_high_kg_m3);
    found.number("/wet_density_kg_m3", target, 200.0..=3000.0);
    found.number("/wet_density_low_kg_m3", low, 100.0..=3000.0);
    found.number("/wet_density_high_kg_m3", high, 200.0..=3500.0);
    found.ensure(low <= target, "/wet_density_low_kg_m3", || {
        format!("{low} is above the target: give at most {target}")
    });
    found.ensure(high >= target, "/wet_density_high_kg_m3", || {
        format!("{high} is below the target: give {target} or more")
    });
    found.number("/air_percent", revision.air_percent, 0.0..=20.0);
}

fn times(revision: &MixRevision, found: &mut Found) {
    found.above_zero("/hold_hours_at_20c", revision.hold_hours_at_20c, 240.0);
    found.whole("/soak_days", revision.soak_days, 0..=90);
    found.whole("/dry_days", revision.dry_days, 0..=90);
    found.whole("/batch_minutes", revision.batch_minutes.get(), 0..=1440);
    found.whole("/washout_minutes", revision.washout_minutes.get(), 0..=1440);
}

fn batches(revision: &MixRevision, found: &mut Found) {
    let (least, most) = (revision.batch_min.get(), revision.batch_max.get());
    found.whole("/batch_min_ml", least, 1..=10_000_000);
    found.whole("/batch_max_ml", most, 1..=10_000_000);
    found.ensure(least <= most, "/batch_max_ml", || format!("{most} is below the least batch: give {least} or more"));
    found.whole("/washout_ml", revision.washout.get(), 0..=1_000_000);
}
