//! Litres wanted into equal loads, each with its sheet.

use mix::sheet::Today;
use mix::{MixerLimits, Role, batch_sheet_today, equal_batches, weighing};
use quantities::{Grams, OfMaterial, Ratio, Volume};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, asked, faults_of, line, proportions, renamed};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::loads::{AskedBatch, BatchSheets};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedBatch);

/// The step of a scale nobody told of, grams.
const FINE_STEP_G: i64 = 1;
/// More loads than anybody weighs out of one sheet: a slip of a unit rather than a wish.
const MOST_LOADS: i64 = 1000;

impl Calculation for AskedBatch {
    type Found = BatchSheets;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<BatchSheets, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let load = reading.volume("/load", &self.load);
        let limits = load.and_then(|load| limits(self, load, &mut reading));
        let washout = reading.perhaps(self.washout.as_ref(), |r, text| r.volume("/washout", text));
        let today = today(self, &mut reading);
        let read = mix.zip(load).zip(limits).zip(washout).zip(today);
        let ((((mix, load), (limits, mut worked)), washout), today) = reading.done(read)?;
        let batches = equal_batches(load, limits).map_err(|faults| all_at("/mixer_most", &faults))?;
        let (each, count) = (batches.each, batches.count.get());
        if count > MOST_LOADS {
            let detail = format!(
                "{:.3} L would be {count} loads, more than {MOST_LOADS}: check the units of the load and of the mixer",
                load.litres()
            );
            return Err(vec![Fault::at("/mixer_most", detail)]);
        }
        let step = self.scale_step_g.map(Grams::new).or(known.scale_step).unwrap_or(Grams::new(FINE_STEP_G));
        let sheet = |litres| {
            let sheet = batch_sheet_today(&mix, litres, step, &today).map_err(|faults| at_today(&faults))?;
            Ok::<_, Vec<Fault>>(proportions::sheet(self.revision.clone(), sheet))
        };
        // A load too small beside the mixer to be counted is mixed as it was asked for.
        let last = if count > 0 { each + washout.unwrap_or(Volume::ZERO) } else { load };
        worked.extend(batches.worked(load, limits).map(WorkedLine::from));
        let least_weighable_g = least_weighable(step, &mut worked)?;
        Ok(BatchSheets {
            count,
            each_l: each.litres(),
            spare_l: batches.spare.litres(),
            least_weighable_g,
            sheet: if count > 1 { Some(sheet(each)?) } else { None },
            last_sheet: sheet(last)?,
            worked,
        })
    }
}

/// What a load may be: the mixer's most and least, narrowed to what can be placed within the pot life.
fn limits(asked: &AskedBatch, load: Volume, reading: &mut Reading) -> Option<(MixerLimits, Vec<WorkedLine>)> {
    let least = reading.perhaps(asked.mixer_least.as_ref(), |r, text| r.volume("/mixer_least", text));
    let most = reading.perhaps(asked.mixer_most.as_ref(), |r, text| r.volume("/mixer_most", text));
    let vessel = vessel(asked, reading);
    let least = least?.unwrap_or(Volume::ZERO);
    let mut worked = Vec::new();
    let limits = match (most?, vessel?) {
        (Some(_), Some(_)) => {
            reading.push("/mixer_brim", "the mixer's most is given too: leave out one of them");
            return None;
        }
        (most, None) => MixerLimits { least, most: most.unwrap_or(load) },
        (None, Some((brim, usable))) => {
            let limits = MixerLimits::of_vessel(brim, usable, least).map_err(|faults| all_at("/mixer_brim", &faults));
            let limits = reading.keep(limits)?;
            worked.push(limits.vessel_worked(brim, usable).into());
            limits
        }
    };
    Some((within_pot_life(asked, limits, reading, &mut worked)?, worked))
}

/// The mixer to its brim and the share of it that is usable: both or neither.
fn vessel(asked: &AskedBatch, reading: &mut Reading) -> Option<Option<(Volume, Ratio)>> {
    match (&asked.mixer_brim, asked.mixer_usable_percent) {
        (None, None) => Some(None),
        (Some(brim), Some(percent)) => {
            let brim = reading.volume("/mixer_brim", brim);
            let usable = reading.percent("/mixer_usable_percent", percent);
            Some(Some((brim?, usable?)))
        }
        _ => {
            reading.push("/mixer_brim", "give the mixer to its brim and the share that is usable, both or neither");
            None
        }
    }
}

fn within_pot_life(
    asked: &AskedBatch,
    limits: MixerLimits,
    reading: &mut Reading,
    worked: &mut Vec<WorkedLine>,
) -> Option<MixerLimits> {
    let Some(pot_life) = asked.pot_life_minutes else { return Some(limits) };
    let (Some(per_panel), Some(panel)) = (asked.minutes_per_panel, &asked.panel) else {
        reading.push("/minutes_per_panel", "is missing, or the panel is: the pot life needs both");
        return None;
    };
    let panel = reading.volume("/panel", panel)?;
    let mixing = asked.mixing_minutes.unwrap_or_default();
    let narrowed = limits.within_pot_life(pot_life, mixing, per_panel, panel);
    let narrowed = reading.keep(narrowed.map_err(|faults| all_at("/pot_life_minutes", &faults)))?;
    worked.push(narrowed.pot_life_worked(pot_life, mixing, per_panel, panel).into());
    Some(narrowed)
}

/// Least mass whose rounding to the scale's step stays within what is allowed to cement, water and aggregates, grams.
fn least_weighable(step: Grams, worked: &mut Vec<WorkedLine>) -> Result<f64, Vec<Fault>> {
    let tolerance = weighing::en_206_tolerance(Role::Aggregate, Ratio::ZERO);
    let least = weighing::least_weighable(step, tolerance).map_err(|faults| all_at("/scale_step_g", &faults))?;
    let numbers = format!("{} g / 2 / {:.3}", step.get(), tolerance.number());
    worked.push(line("least weighable", "half a step / tolerance", numbers, least.grams(), "g"));
    Ok(least.grams())
}

fn today(asked: &AskedBatch, reading: &mut Reading) -> Option<Today> {
    let foam = reading.perhaps(asked.foam_density.as_ref(), |r, text| r.density::<OfMaterial>("/foam_density", text));
    let moisture = reading.each("/moisture", &asked.moisture, |reading, at, one| {
        Some((one.material.clone(), reading.percent(&format!("{at}/percent"), one.percent)?))
    });
    Some(Today { foam: foam?, moisture: moisture? })
}

/// The sheet's faults: those of the moisture are where the form has them, the rest is the foam of today.
fn at_today(faults: &mix::Faults) -> Vec<Fault> {
    let mut faults = renamed(faults_of(faults), &[("/litres", "/load"), ("/resolution", "/scale_step_g")]);
    let known = ["/moisture", "/load", "/scale_step_g"];
    for fault in faults.iter_mut().filter(|fault| !known.iter().any(|place| fault.pointer.starts_with(place))) {
        fault.pointer = "/foam_density".to_owned();
    }
    faults
}
