//! Faults of weighings at the mixer and the mould, and of what was done then.

use super::found::Found;
use crate::Fault;
use crate::corrections::{Did, Done, Weighing};

/// Most of a load, millilitres.
const LOAD_MOST: i64 = 10_000_000;

/// Every fault of a weighing.
pub fn weighing_faults(weighing: &Weighing) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/by", &weighing.by);
    found.number("/measured_wet_density_kg_m3", weighing.measured_wet_density_kg_m3, 100.0..=3_500.0);
    if let Some(volume) = weighing.volume {
        found.whole("/volume_ml", volume.get(), 1..=LOAD_MOST);
    }
    found.number("/minutes_since_foaming", weighing.minutes_since_foaming, 0.0..=1_440.0);
    if let Some(foam) = weighing.foam_density_kg_m3 {
        found.number("/foam_density_kg_m3", foam, 10.0..=300.0);
    }
    if let Some(slurry) = weighing.slurry_density_kg_m3 {
        found.number("/slurry_density_kg_m3", slurry, 100.0..=3_500.0);
    }
    if let Some(most) = weighing.mixer_most {
        found.whole("/mixer_most_ml", most.get(), 1..=LOAD_MOST);
    }
    if let Some(output) = weighing.generator_l_per_minute {
        found.above_zero("/generator_l_per_minute", output, 100_000.0);
    }
    found.note("/note", weighing.note.as_deref());
    found.all()
}

/// Every fault of what was done.
pub fn done_faults(done: &Done) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/by", &done.by);
    if let Some(added) = done.added {
        let something = matches!(done.did, Did::FoamAdded | Did::SlurryAdded);
        found.ensure(something, "/added_ml", || "says how much was added, but nothing was: leave it out".to_owned());
        if something {
            found.whole("/added_ml", added.get(), 1..=LOAD_MOST);
        }
    }
    found.note("/note", done.note.as_deref());
    found.all()
}
