//! Foam of a load, whole bags, the fill mark in a pail, moist aggregates.

use mix::Pail;
use mix::bags::{WholeBags, whole_bags};
use mix::foam::{check_foam, generator_seconds, generator_worked};
use mix::moisture::{Basis, Moisture, moist, water_to_add, water_worked};
use quantities::{OfMaterial, Ratio};
use workshop::Fault;

use super::weighed::foam_band;
use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, asked, faults_of, line, renamed, said};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::loads::{
    AskedBags, AskedFillMark, AskedFoam, AskedMoisture, BagChoices, FillMark, FoamOfLoad, LoadOfBags, MoistAggregate,
    Moistures, WeighMoist,
};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedFoam, AskedBags, AskedFillMark, AskedMoisture);

impl Calculation for AskedFoam {
    type Found = FoamOfLoad;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<FoamOfLoad, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let load = reading.volume("/load", &self.load);
        let measured = reading
            .perhaps(self.measured_density.as_ref(), |r, text| r.density::<OfMaterial>("/measured_density", text));
        let band = foam_band(self.least_density.as_ref(), self.most_density.as_ref(), &mut reading);
        let (((mix, load), measured), band) = reading.done(mix.zip(load).zip(measured).zip(band))?;
        let mix = match measured {
            None => mix,
            Some(measured) => mix.with_foam_of(measured).map_err(|faults| all_at("/measured_density", &faults))?,
        };
        let Some(foam) = mix.foam() else {
            return Err(vec![Fault::at(
                "/recipe/foam",
                "there is no foam in this mix: give its foam, or ask of another",
            )]);
        };
        let (volume, mass) = (load * foam.volume, foam.content * load);
        let seconds = self.generator_l_per_minute.map(|output| generator_seconds(volume, output)).transpose();
        let seconds = seconds.map_err(|faults| all_at("/generator_l_per_minute", &faults))?;
        let solution = foam.dilution.map(|dilution| dilution.solution(mass));
        let mut worked: Vec<WorkedLine> = mix
            .worked()
            .into_iter()
            .filter(|w| w.what.contains("foam") || w.what == "wet density")
            .map(WorkedLine::from)
            .collect();
        worked.push(line(
            "foam of the load",
            "V = load · share",
            format!("{:.3} L · {:.4}", load.litres(), foam.volume.number()),
            volume.litres(),
            "L",
        ));
        worked.push(line(
            "mass of the foam",
            "M = ρf V",
            format!("{:.1} kg/m³ · {:.3} L", foam.density.kg_m3(), volume.litres()),
            mass.kg(),
            "kg",
        ));
        if let (Some(seconds), Some(output)) = (seconds, self.generator_l_per_minute) {
            worked.push(generator_worked(volume, output, seconds).into());
        }
        Ok(FoamOfLoad {
            volume_l: volume.litres(),
            mass_kg: mass.kg(),
            density_kg_m3: foam.density.kg_m3(),
            share_percent: foam.volume.per_cent(),
            concentrate_ml: solution.map(|s| s.concentrate.millilitres()),
            solution_water_kg: solution.map_or(mass, |s| s.water).kg(),
            generator_seconds: seconds,
            wet_density_kg_m3: mix.wet_density().kg_m3(),
            refused: check_foam(foam.density, &band).err().map(|fault| said(&fault)),
            worked,
        })
    }
}

impl Calculation for AskedBags {
    type Found = BagChoices;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<BagChoices, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let (bag, load) = (reading.mass("/bag", &self.bag), reading.volume("/load", &self.load));
        let ((mix, bag), load) = reading.done(mix.zip(bag).zip(load))?;
        let choices = whole_bags(&mix, &self.material, bag, load)
            .map_err(|faults| renamed(faults_of(&faults), &[("/ingredient", "/material")]))?;
        let shown = |load: WholeBags| LoadOfBags {
            bags: load.bags.get(),
            volume_l: load.litres.litres(),
            spare_l: load.spare.litres(),
        };
        let per_litre = choices.needed.kg() / load.litres();
        let of_bags = |load: &LoadOfBags| {
            let numbers = format!("{} · {:.3} kg / {per_litre:.4} kg/L", load.bags, bag.kg());
            line(format!("load of {} bags", load.bags), "V = n · bag / content", numbers, load.volume_l, "L")
        };
        let (below, above) = (choices.below.map(shown), shown(choices.above));
        let mut worked = vec![line(
            format!("{} of the load", self.material),
            "m = content · load",
            format!("{per_litre:.4} kg/L · {:.3} L", load.litres()),
            choices.needed.kg(),
            "kg",
        )];
        worked.extend(below.iter().chain([&above]).map(of_bags));
        Ok(BagChoices {
            needed_kg: choices.needed.kg(),
            left_over_kg: choices.left_over.kg(),
            left_over_goes: choices.left_over_goes(&self.material),
            below,
            above,
            worked,
        })
    }
}

impl Calculation for AskedFillMark {
    type Found = FillMark;

    fn work_out(&self, _: &Known) -> Result<FillMark, Vec<Fault>> {
        let mut reading = Reading::default();
        let bottom = reading.length("/bottom_diameter", &self.bottom_diameter);
        let top = reading.length("/top_diameter", &self.top_diameter);
        let height = reading.length("/height", &self.height);
        let volume = reading.perhaps(self.volume.as_ref(), |r, text| r.volume("/volume", text));
        let mark = reading.perhaps(self.mark.as_ref(), |r, text| r.length("/mark", text));
        if self.volume.is_some() == self.mark.is_some() {
            reading.push("/volume", "give a volume or a mark, one of the two: the other is worked out");
        }
        let ((((bottom, top), height), volume), mark) =
            reading.done(bottom.zip(top).zip(height).zip(volume).zip(mark))?;
        let names = [("/bottom", "/bottom_diameter"), ("/top", "/top_diameter")];
        let pail = Pail::new(bottom, top, height).map_err(|faults| renamed(faults_of(&faults), &names))?;
        let ours = |faults: mix::Faults| faults_of(&faults);
        let (mark, volume) = match (volume, mark) {
            (Some(volume), _) => (pail.mark_for(volume).map_err(ours)?, volume),
            (None, Some(mark)) => (mark, pail.volume_to(mark).map_err(ours)?),
            (None, None) => return Err(vec![Fault::at("/volume", "is missing: give it, or a mark")]),
        };
        let brim = pail.brim().map_err(|faults| all_at("/height", &faults))?;
        let worked = vec![WorkedLine::from(pail.worked(mark, volume))];
        Ok(FillMark { mark_mm: mark.mm(), volume_l: volume.litres(), brim_l: brim.litres(), worked })
    }
}

impl Calculation for AskedMoisture {
    type Found = Moistures;

    fn work_out(&self, _: &Known) -> Result<Moistures, Vec<Fault>> {
        let mut reading = Reading::default();
        let water = reading.mass("/mixing_water", &self.mixing_water);
        let weighed = reading.each("/aggregates", &self.aggregates, |reading, at, one| {
            let (mass, basis, moisture) = wet(one, at, reading)?;
            let weighed = moist(mass, basis, moisture).map_err(|faults| all_at(at, &faults));
            Some((mass, reading.keep(weighed)?))
        });
        let (water, weighed) = reading.done(water.zip(weighed))?;
        let free: Vec<_> = weighed.iter().map(|(_, weighed)| *weighed).collect();
        let left = water_to_add(water, &free).map_err(|faults| all_at("/aggregates", &faults))?;
        let mut worked: Vec<WorkedLine> = Vec::new();
        for (one, (mass, weighed)) in self.aggregates.iter().zip(&weighed) {
            worked.push(weighed.worked(&one.material, *mass).into());
        }
        worked.push(water_worked(water, &free, left).into());
        let shown = |(one, (_, found)): (&MoistAggregate, &(_, mix::moisture::MoistAggregate))| WeighMoist {
            material: one.material.clone(),
            weigh_kg: found.weigh.kg(),
            free_water_kg: found.free_water_kg,
        };
        let aggregates = self.aggregates.iter().zip(&weighed).map(shown).collect();
        Ok(Moistures { aggregates, water_to_add_kg: left.kg(), worked })
    }
}

/// An aggregate's mass, how it is meant, and its moisture in one of the two ways.
fn wet(one: &MoistAggregate, at: &str, reading: &mut Reading) -> Option<(quantities::Mass, Basis, Moisture)> {
    let mass = reading.mass(&format!("{at}/mass"), &one.mass);
    let mut percent = |name: &str, value: f64| -> Option<Ratio> { reading.percent(&format!("{at}/{name}"), value) };
    let moisture = match (one.moisture_percent, one.absorption_percent, one.free_surface_percent) {
        (Some(all), Some(held), None) => percent("moisture_percent", all)
            .zip(percent("absorption_percent", held))
            .map(|(moisture, absorption)| Moisture::Total { moisture, absorption }),
        (None, None, Some(free)) => percent("free_surface_percent", free).map(Moisture::FreeSurface),
        _ => {
            reading.push(
                format!("{at}/moisture_percent"),
                "give moisture_percent and absorption_percent, or free_surface_percent alone",
            );
            None
        }
    };
    Some((mass?, one.basis.into(), moisture?))
}
