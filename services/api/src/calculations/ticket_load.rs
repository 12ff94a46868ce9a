//! The answer to a ticket's load as weighed at the mixer or the mould: what the ticket keeps.

use chrono::{DateTime, Utc};
use mix::correction::{Bounds, Measured, USUAL_MINUTES};
use mix::{Recipe, Target};
use quantities::rounding::{to_grams_half_even, to_millilitres_half_even};
use quantities::{Density, Fresh, Mass, Millilitres, OutOfRange, Volume};
use workshop::Fault;
use workshop::catalogue::{MixRevision, Panel};
use workshop::corrections::{Correction, LoadAnswer, WeighedAt, Weighing, accepted_at_the_mixer, volume_now};
use workshop::tickets::Ticket;

use super::correction::{Load, decide, mould, within};
use crate::wire::proportions::WorkedLine;

/// All that an answer hangs on beside the weighing itself.
#[derive(Clone, Copy, Debug)]
pub struct OnRecord<'a> {
    /// The ticket.
    pub ticket: &'a Ticket,
    /// Its revision.
    pub revision: &'a MixRevision,
    /// The revision as a recipe, or what keeps it from being one.
    pub recipe: Result<&'a Recipe, &'a [Fault]>,
    /// The panel it fills, where it is one only.
    pub panel: Option<&'a Panel>,
    /// What was weighed of it before.
    pub earlier: &'a [Correction],
}

/// Answers a weighing. The correction's sequence is not set yet.
///
/// # Errors
/// Every fault of the weighing that only shows beside the ticket.
pub fn answer(
    on: &OnRecord,
    weighing: &Weighing,
    at: DateTime<Utc>,
) -> Result<(Correction, Vec<WorkedLine>), Vec<Fault>> {
    let volume = weighing.volume.unwrap_or_else(|| volume_now(on.ticket, on.earlier));
    let target = target(on.ticket).map_err(|error| vec![Fault::at("", error.to_string())])?;
    let mut kept = Correction {
        ticket: on.ticket.number,
        sequence: 0,
        at,
        by: weighing.by.clone(),
        place: weighing.place,
        measured_wet_density_kg_m3: weighing.measured_wet_density_kg_m3,
        volume,
        minutes_since_foaming: weighing.minutes_since_foaming,
        foam_density_kg_m3: None,
        slurry_density_kg_m3: None,
        mixer_most: None,
        generator_l_per_minute: weighing.generator_l_per_minute,
        answer: LoadAnswer::Accept,
        sentence: String::new(),
        added: None,
        added_mass: None,
        generator_seconds: None,
        volume_then: volume,
        panels_then: None,
        rise_percent: None,
        note: weighing.note.clone(),
        done: None,
    };
    let worked = match (weighing.place, &on.revision.foam) {
        (_, None) => without_foam(weighing, &target, &mut kept)?,
        (WeighedAt::Mould, Some(_)) => at_the_mould(on, weighing, &target, &mut kept)?,
        (WeighedAt::Mixer, Some(_)) => at_the_mixer(on, weighing, target, &mut kept)?,
    };
    Ok((kept, worked))
}

fn target(ticket: &Ticket) -> Result<Target, OutOfRange> {
    Ok(Target {
        wet: Density::from_kg_m3(ticket.wet_density_kg_m3)?,
        lower: Density::from_kg_m3(ticket.wet_density_low_kg_m3)?,
        upper: Density::from_kg_m3(ticket.wet_density_high_kg_m3)?,
    })
}

/// A load with foam at the mixer: accepted, corrected or refused.
fn at_the_mixer(
    on: &OnRecord,
    weighing: &Weighing,
    target: Target,
    kept: &mut Correction,
) -> Result<Vec<WorkedLine>, Vec<Fault>> {
    let outside = |pointer: &'static str| move |error: OutOfRange| vec![Fault::at(pointer, error.to_string())];
    let foam = weighing.foam_density_kg_m3.or_else(|| on.revision.foam.as_ref().map(|foam| foam.density_kg_m3));
    let most = weighing.mixer_most.unwrap_or(on.revision.batch_max + on.revision.washout);
    let load = Load {
        measured: Measured {
            wet: measured(weighing)?,
            volume: in_litres(kept.volume).map_err(outside("/volume_ml"))?,
            minutes_since_foaming: weighing.minutes_since_foaming,
        },
        bounds: Bounds {
            target,
            most_minutes: USUAL_MINUTES,
            most: in_litres(most).map_err(outside("/mixer_most_ml"))?,
            foam: Density::from_kg_m3(foam.unwrap_or_default()).map_err(outside("/foam_density_kg_m3"))?,
            slurry: Density::from_kg_m3(slurry(on, weighing)?).map_err(outside("/slurry_density_kg_m3"))?,
        },
        generator_l_per_minute: weighing.generator_l_per_minute,
        panel: on.panel.and_then(|panel| in_litres(panel.concrete()).ok()),
        at_mould: None,
        weighed: None,
    };
    // The target is the ticket's: where it is not between foam and slurry, the one on the wrong side is at fault.
    let at = if load.bounds.slurry <= target.wet { "/slurry_density_kg_m3" } else { "/foam_density_kg_m3" };
    let here = |fault: Fault| Fault { pointer: fault.pointer.replace("/wet_density", at), ..fault };
    let found = decide(&load).map_err(|faults| faults.into_iter().map(here).collect::<Vec<_>>())?;
    kept.foam_density_kg_m3 = foam;
    kept.slurry_density_kg_m3 = Some(load.bounds.slurry.kg_m3());
    kept.mixer_most = Some(most);
    kept.answer = found.answer.into();
    kept.sentence = found.sentence;
    let added = found.add_l.map(Volume::from_litres).transpose().map_err(outside("/volume_ml"))?;
    let mass = found.add_kg.map(Mass::from_kg).transpose().map_err(outside("/volume_ml"))?;
    kept.added = added.map(to_millilitres_half_even);
    kept.added_mass = mass.map(to_grams_half_even);
    kept.generator_seconds = found.generator_seconds;
    let then = Volume::from_litres(found.volume_l).map_err(outside("/volume_ml"))?;
    kept.volume_then = to_millilitres_half_even(then);
    kept.panels_then = found.panels;
    Ok(found.worked)
}

/// Density of the slurry without foam: as given, or the revision's.
fn slurry(on: &OnRecord, weighing: &Weighing) -> Result<f64, Vec<Fault>> {
    if let Some(given) = weighing.slurry_density_kg_m3 {
        return Ok(given);
    }
    let missing = |why: String| {
        let detail = format!("is missing, and the revision's own cannot be worked out ({why}): weigh the slurry");
        vec![Fault::at("/slurry_density_kg_m3", detail)]
    };
    let recipe = on
        .recipe
        .map_err(|faults| missing(faults.iter().map(|fault| fault.detail.as_str()).collect::<Vec<_>>().join("; ")))?;
    recipe.slurry_density().map(|density| density.kg_m3()).map_err(|faults| missing(faults.to_string()))
}

/// A load without foam is not corrected: it is within its limits, or something was weighed wrong.
fn without_foam(weighing: &Weighing, target: &Target, kept: &mut Correction) -> Result<Vec<WorkedLine>, Vec<Fault>> {
    let measured = measured(weighing)?;
    if target.accepts(measured) {
        kept.sentence = within(measured, target);
    } else {
        let (measured, low, high) = (measured.kg_m3(), target.lower.kg_m3(), target.upper.kg_m3());
        kept.answer = LoadAnswer::Reject;
        kept.sentence = format!(
            "do not pour it: {measured:.0} kg/m³ is outside {low:.0} to {high:.0}, and a mix without foam is not corrected; check what was weighed in"
        );
    }
    Ok(Vec::new())
}

fn measured(weighing: &Weighing) -> Result<Density<Fresh>, Vec<Fault>> {
    let outside = |error: OutOfRange| vec![Fault::at("/measured_wet_density_kg_m3", error.to_string())];
    Density::from_kg_m3(weighing.measured_wet_density_kg_m3).map_err(outside)
}

/// A load at the mould: held against its limits, and against what it weighed at the mixer where it was accepted there.
fn at_the_mould(
    on: &OnRecord,
    weighing: &Weighing,
    target: &Target,
    kept: &mut Correction,
) -> Result<Vec<WorkedLine>, Vec<Fault>> {
    let here = measured(weighing)?;
    let at_mixer = accepted_at_the_mixer(on.earlier);
    // It was measured once already, so it is a density.
    let before = at_mixer.and_then(|kg_m3| Density::from_kg_m3(kg_m3).ok()).unwrap_or(here);
    let mut worked = Vec::new();
    let found = mould(before, here, target, &mut worked);
    kept.answer = found.answer.into();
    kept.sentence = found.sentence;
    match at_mixer {
        Some(_) => kept.rise_percent = Some(found.rise_percent),
        None => {
            worked.clear();
            kept.sentence += "; it was not weighed and accepted at the mixer, so how much it rose is not known";
        }
    }
    Ok(worked)
}

fn in_litres(ml: Millilitres) -> Result<Volume, OutOfRange> {
    Volume::from_millilitres(ml.get() as f64)
}
