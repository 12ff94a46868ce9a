//! A load at the mixer: accept it, add foam or slurry, or reject it; and the same load at the mould.

use mix::correction::{
    Bounds, Measured, USUAL_MINUTES, Verdict, at_the_mixer, at_the_mould, panels_filled, panels_worked, rise,
    rise_worked, worked,
};
use mix::foam::{generator_seconds, generator_worked};
use mix::{Recipe, Target};
use quantities::{Density, Fresh, OfMaterial, Volume};
use workshop::Fault;

use super::weighed::density_of;
use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, asked, faults_of, renamed};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::mixer::{AskedCorrection, AtMould, Correction, LoadAnswer};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedCorrection);

impl Calculation for AskedCorrection {
    type Found = Correction;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<Correction, Vec<Fault>> {
        let mut reading = Reading::default();
        let load = self.read(known, &mut reading);
        let load = reading.done(load)?;
        decide(&load)
    }
}

/// A load as measured, with all that decides what to do about it.
#[derive(Clone, Debug)]
pub struct Load {
    /// As measured.
    pub measured: Measured,
    /// What it may be.
    pub bounds: Bounds,
    /// Output of the foam generator, litres a minute.
    pub generator_l_per_minute: Option<f64>,
    /// Concrete in a panel.
    pub panel: Option<Volume>,
    /// Wet density at the mould.
    pub at_mould: Option<Density<Fresh>>,
    /// How the measured density came about, where it was weighed.
    pub weighed: Option<WorkedLine>,
}

impl AskedCorrection {
    fn read(&self, known: &Known, reading: &mut Reading) -> Option<Load> {
        let named = self.revision.is_some() || self.recipe.is_some();
        let mix = if named { Some(reading.keep(known.mix("", asked!(self)))?) } else { None };
        let target = self.target(mix.as_ref(), reading);
        let foam = match (&self.foam_density, mix.as_ref().and_then(Recipe::foam)) {
            (Some(text), _) => reading.density::<OfMaterial>("/foam_density", text),
            (None, Some(foam)) => Some(foam.density),
            (None, None) => missing(reading, "/foam_density"),
        };
        let slurry = match (&self.slurry_density, mix.as_ref().map(Recipe::slurry_density)) {
            (Some(text), _) => reading.density::<Fresh>("/slurry_density", text),
            (None, Some(found)) => reading.keep(found.map_err(|faults| all_at("/slurry_density", &faults))),
            (None, None) => missing(reading, "/slurry_density"),
        };
        let measured = density_of::<Fresh>(
            "/measured_wet_density",
            self.measured_wet_density.as_ref(),
            self.weighed.as_ref(),
            reading,
        );
        let volume = reading.volume("/volume", &self.volume);
        let most = reading.volume("/mixer_most", &self.mixer_most);
        let panel = reading.perhaps(self.panel.as_ref(), |r, text| r.volume("/panel", text));
        let at_mould = reading
            .perhaps(self.wet_density_at_mould.as_ref(), |r, text| r.density::<Fresh>("/wet_density_at_mould", text));
        let (wet, weighed) = measured?;
        Some(Load {
            measured: Measured { wet, volume: volume?, minutes_since_foaming: self.minutes_since_foaming },
            bounds: Bounds {
                target: target?,
                most_minutes: self.most_minutes.unwrap_or(USUAL_MINUTES),
                most: most?,
                foam: foam?,
                slurry: slurry?,
            },
            generator_l_per_minute: self.generator_l_per_minute,
            panel: panel?,
            at_mould: at_mould?,
            weighed,
        })
    }

    fn target(&self, mix: Option<&Recipe>, reading: &mut Reading) -> Option<Target> {
        let of_mix = mix.and_then(Recipe::target);
        let mut read = |place: &str, text: &Option<String>, other: Option<Density<Fresh>>| match (text, other) {
            (Some(text), _) => reading.density::<Fresh>(place, text),
            (None, Some(other)) => Some(other),
            (None, None) => missing(reading, place),
        };
        let wet = read("/wet_density", &self.wet_density, of_mix.map(|t| t.wet));
        let lower = read("/wet_density_low", &self.wet_density_low, of_mix.map(|t| t.lower));
        let upper = read("/wet_density_high", &self.wet_density_high, of_mix.map(|t| t.upper));
        let target = Target { wet: wet?, lower: lower?, upper: upper? };
        if !target.accepts(target.wet) {
            reading.push("/wet_density", "is not between its limits: give low, aim and high in rising order");
            return None;
        }
        Some(target)
    }
}

fn missing<T>(reading: &mut Reading, place: &str) -> Option<T> {
    reading.push(place, "is missing: give it, or a revision or recipe that has it");
    None
}

/// What to do with the load, in words and numbers.
///
/// # Errors
/// Densities that do not fit together, a generator that gives nothing.
pub fn decide(load: &Load) -> Result<Correction, Vec<Fault>> {
    let verdict = at_the_mixer(load.measured, &load.bounds)
        .map_err(|faults| renamed(faults_of(&faults), &[("/target", "/wet_density")]))?;
    let mut found = said(load, &verdict);
    if let (Verdict::AddFoam { foam, .. }, Some(output)) = (&verdict, load.generator_l_per_minute) {
        let seconds = generator_seconds(*foam, output).map_err(|faults| all_at("/generator_l_per_minute", &faults))?;
        found.worked.push(generator_worked(*foam, output, seconds).into());
        found.sentence = format!("{} ({seconds:.0} s of the generator)", found.sentence);
        found.generator_seconds = Some(seconds);
    }
    if let (Some(panel), false) = (load.panel, found.answer == LoadAnswer::Reject) {
        let volume = Volume::from_litres(found.volume_l).unwrap_or(load.measured.volume);
        let panels = panels_filled(volume, panel);
        found.worked.push(panels_worked(volume, panel, panels).into());
        found.panels = Some(panels);
    }
    if let Some(at_mould) = load.at_mould {
        if found.answer != LoadAnswer::Accept {
            let detail = format!(
                "cannot be held against a load of which the answer is \"{}\": weigh it again at the mixer first, or leave it out",
                found.sentence
            );
            return Err(vec![Fault::at("/wet_density_at_mould", detail)]);
        }
        found.at_mould = Some(mould(load.measured.wet, at_mould, &load.bounds.target, &mut found.worked));
    }
    Ok(found)
}

/// That a load is to be poured, because its wet density is within its limits.
pub fn within(measured: Density<Fresh>, target: &Target) -> String {
    let (d, low, high) = (measured.kg_m3(), target.lower.kg_m3(), target.upper.kg_m3());
    format!("pour it: {d:.0} kg/m³ is within {low:.0} to {high:.0}")
}

/// The verdict as a form: what to do, in a sentence and with its worked line.
fn said(load: &Load, verdict: &Verdict) -> Correction {
    let mut found = Correction {
        answer: LoadAnswer::Accept,
        sentence: within(load.measured.wet, &load.bounds.target),
        measured_wet_density_kg_m3: load.measured.wet.kg_m3(),
        add_l: None,
        add_kg: None,
        generator_seconds: None,
        volume_l: load.measured.volume.litres(),
        panels: None,
        at_mould: None,
        worked: load.weighed.iter().cloned().collect(),
    };
    found.worked.extend(worked(load.measured, &load.bounds, verdict).map(WorkedLine::from));
    let mut add = |answer, what: &str, added: &Volume, mass: &quantities::Mass, volume: &Volume| {
        found.answer = answer;
        found.sentence = format!("add {:.1} L of {what} ({:.2} kg), fold in, weigh again", added.litres(), mass.kg());
        found.add_l = Some(added.litres());
        found.add_kg = Some(mass.kg());
        found.volume_l = volume.litres();
    };
    match verdict {
        Verdict::Accept => {}
        Verdict::AddFoam { foam, mass, volume } => add(LoadAnswer::AddFoam, "foam", foam, mass, volume),
        Verdict::AddSlurry { slurry, mass, volume } => add(LoadAnswer::AddSlurry, "slurry", slurry, mass, volume),
        Verdict::Reject { why } => {
            found.answer = LoadAnswer::Reject;
            found.sentence = format!("do not pour it: {why}");
        }
    }
    found
}

/// What to do with a load weighed again at the mould, held against what it weighed at the mixer.
pub fn mould(
    at_mixer: Density<Fresh>,
    at_mould: Density<Fresh>,
    target: &Target,
    worked: &mut Vec<WorkedLine>,
) -> AtMould {
    let d = at_mould.kg_m3();
    worked.push(rise_worked(at_mixer, at_mould).into());
    let (answer, sentence) = match at_the_mould(at_mixer, at_mould, target) {
        Verdict::Reject { why } => (LoadAnswer::Reject, format!("do not pour it: {why}")),
        _ => (LoadAnswer::Accept, format!("pour it: {d:.0} kg/m³ at the mould is right")),
    };
    AtMould { answer, sentence, rise_percent: rise(at_mixer, at_mould) }
}
