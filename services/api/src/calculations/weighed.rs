//! What the scale says: foam against its band before use, fresh concrete against its mix.

use std::ops::RangeInclusive;

use mix::foam::{USUAL_FOAM_KG_M3, check_foam, generator_output, output_worked};
use mix::unit_weight::{air_free_density, gravimetric_air, relative_yield, yield_of};
use mix::{Recipe, Source, unit_weight};
use quantities::{Density, Fresh, Mass, OfMaterial, OutOfRange, Volume, state::State};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, asked, faults_of, line, line_from, said};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::mixer::WeighedMeasure;
use crate::wire::calculations::weighed::{AskedFoamCheck, AskedFreshTest, FoamCheck, FreshTest};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedFoamCheck, AskedFreshTest);

impl Calculation for AskedFoamCheck {
    type Found = FoamCheck;

    fn work_out(&self, _: &Known) -> Result<FoamCheck, Vec<Fault>> {
        let mut reading = Reading::default();
        let found = density_of::<OfMaterial>(
            "/measured_density",
            self.measured_density.as_ref(),
            self.weighed.as_ref(),
            &mut reading,
        );
        let band = foam_band(self.least_density.as_ref(), self.most_density.as_ref(), &mut reading);
        let caught = self.caught(&mut reading);
        let (((density, weighed), band), caught) = reading.done(found.zip(band).zip(caught))?;
        let refused = check_foam(density, &band).err().map(|fault| said(&fault));
        let mut worked = vec![weighed.unwrap_or_else(|| {
            let numbers = format!("{:.1} to {:.1} kg/m³", band.start(), band.end());
            line("foam against its band", "least ≤ ρf ≤ most", numbers, density.kg_m3(), "kg/m³")
        })];
        let output = caught.map(|(caught, seconds)| {
            let output = generator_output(caught, seconds).map_err(|faults| faults_of(&faults))?;
            worked.push(output_worked(caught, seconds, output).into());
            Ok::<_, Vec<Fault>>(output)
        });
        let output = output.transpose()?;
        Ok(FoamCheck {
            density_kg_m3: density.kg_m3(),
            may_be_used: refused.is_none(),
            refused,
            generator_l_per_minute: output,
            worked,
        })
    }
}

/// The band of density in which foam is used, kg/m³: the usual one where an end is not given.
pub(super) fn foam_band(
    least: Option<&String>,
    most: Option<&String>,
    reading: &mut Reading,
) -> Option<RangeInclusive<f64>> {
    let at = if most.is_some() { "/most_density" } else { "/least_density" };
    let least = reading.perhaps(least, |r, text| r.density::<OfMaterial>("/least_density", text));
    let most = reading.perhaps(most, |r, text| r.density::<OfMaterial>("/most_density", text));
    let least = least?.map_or(*USUAL_FOAM_KG_M3.start(), Density::kg_m3);
    let most = most?.map_or(*USUAL_FOAM_KG_M3.end(), Density::kg_m3);
    if least > most {
        reading.push(at, format!("leaves no band: {least} is above {most} kg/m³; give the two in rising order"));
        return None;
    }
    Some(least..=most)
}

impl AskedFoamCheck {
    /// Foam caught and its seconds: both or neither.
    fn caught(&self, reading: &mut Reading) -> Option<Option<(Volume, f64)>> {
        match (&self.caught, self.caught_in_seconds) {
            (None, None) => Some(None),
            (Some(text), Some(seconds)) => Some(Some((reading.volume("/caught", text)?, seconds))),
            _ => {
                reading.push("/caught", "give the foam caught and the seconds it took, both or neither");
                None
            }
        }
    }
}

/// A density as measured, or by the measure it is found with, with its worked line.
pub(super) fn density_of<S: State>(
    place: &str,
    written: Option<&String>,
    weighed: Option<&WeighedMeasure>,
    reading: &mut Reading,
) -> Option<(Density<S>, Option<WorkedLine>)> {
    match (written, weighed) {
        (Some(text), None) => Some((reading.density::<S>(place, text)?, None)),
        (None, Some(measure)) => {
            let full = reading.mass("/weighed/full", &measure.full);
            let empty = reading.mass("/weighed/empty", &measure.empty);
            let holds = reading.volume("/weighed/holds", &measure.holds);
            let (full, empty, holds) = (full?, empty?, holds?);
            let density = unit_weight::density::<S>(full, empty, holds);
            let density = reading.keep(density.map_err(|faults| all_at("/weighed/full", &faults)))?;
            let numbers = format!("({:.4} - {:.4}) kg / {:.4} L", full.kg(), empty.kg(), holds.litres());
            let (what, formula, unit) = ("density measured", "D = (full - empty) / V", "kg/m³");
            Some((density, Some(line_from(what, formula, numbers, density.kg_m3(), unit, Source::FRESH_DENSITY))))
        }
        _ => {
            reading.push(place, "give the density measured, or the measure weighed full and empty: one of the two");
            None
        }
    }
}

impl Calculation for AskedFreshTest {
    type Found = FreshTest;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<FreshTest, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let measured = density_of::<Fresh>(
            "/measured_wet_density",
            self.measured_wet_density.as_ref(),
            self.weighed.as_ref(),
            &mut reading,
        );
        let designed = reading.volume("/designed", &self.designed);
        let batched = reading.perhaps(self.batched.as_ref(), |r, text| r.mass("/batched", text));
        let (((mix, (measured, weighed)), designed), batched) =
            reading.done(mix.zip(measured).zip(designed).zip(batched))?;
        let outside = |error: OutOfRange| vec![Fault::at("/designed", error.to_string())];
        let batched = batched.map_or_else(|| of_mix(&mix, designed), Ok).map_err(outside)?;
        let made = yield_of(batched, measured).map_err(|faults| all_at("/batched", &faults))?;
        let ratio = relative_yield(made, designed).map_err(|faults| all_at("/designed", &faults))?;
        let mut worked: Vec<WorkedLine> = weighed.into_iter().collect();
        let (m, d) = (batched.kg(), measured.kg_m3());
        worked.push(by_scale("yield", "Y = M / D", format!("{m:.3} kg / {d:.1} kg/m³"), made.litres(), "L"));
        let numbers = format!("{:.3} L / {:.3} L", made.litres(), designed.litres());
        worked.push(by_scale("relative yield", "Ry = Y / Yd", numbers, ratio.number(), ""));
        let (air_percent, air_remark) = match air(&mix, measured, &mut worked) {
            Ok(air) => (Some(air), None),
            Err(why) => (None, Some(why)),
        };
        Ok(FreshTest {
            measured_wet_density_kg_m3: d,
            wet_density_kg_m3: mix.wet_density().kg_m3(),
            yield_l: made.litres(),
            relative_yield: ratio.number(),
            air_percent,
            air_remark,
            worked,
        })
    }
}

fn by_scale(what: &str, formula: &'static str, numbers: String, result: f64, unit: &'static str) -> WorkedLine {
    line_from(what, formula, numbers, result, unit, Source::FRESH_DENSITY)
}

/// All that goes into a volume of the mix.
fn of_mix(mix: &Recipe, volume: Volume) -> Result<Mass, OutOfRange> {
    Mass::from_kg((mix.wet_density() * volume).kg())
}

/// Air by weighing, per cent: what the measured density lacks to that of the mix without any air.
fn air(mix: &Recipe, measured: Density<Fresh>, worked: &mut Vec<WorkedLine>) -> Result<f64, String> {
    let said = |faults: mix::Faults| faults.to_string();
    let whole = of_mix(mix, Volume::CUBIC_METRE).map_err(|error| error.to_string())?;
    let free = air_free_density(whole, Volume::CUBIC_METRE * mix.air().rest()).map_err(said)?;
    let numbers = format!("{:.1} kg / (1 - {:.4}) m³", whole.kg(), mix.air().number());
    worked.push(by_scale("density without air", "T = M / ΣV", numbers, free.kg_m3(), "kg/m³"));
    let air = gravimetric_air(free, measured).map_err(said)?.per_cent();
    let numbers = format!("({:.1} - {:.1}) / {:.1}", free.kg_m3(), measured.kg_m3(), free.kg_m3());
    worked.push(by_scale("air by weighing", "A = (T - D) / T", numbers, air, "%"));
    Ok(air)
}
