//! What is added in small doses or by the measure: pigment, fibre, admixture, loose sand.

use mix::pigment::{self, Dose, Oxide};
use mix::{admixture, fibre, moisture};
use quantities::{Content, Mass, OfMaterial, Ratio};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, lines, said};
use crate::wire::calculations::additions::{
    AdmixtureOfLoad, AskedAdmixture, AskedFibre, AskedLooseSand, AskedPigments, FibreKind, FibreOfLoad, LooseSand,
    Pigments, Shade, WeighPigment, WrittenPigment,
};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedPigments, AskedFibre, AskedAdmixture, AskedLooseSand);

impl Calculation for AskedPigments {
    type Found = Pigments;

    fn work_out(&self, _: &Known) -> Result<Pigments, Vec<Fault>> {
        let mut reading = Reading::default();
        let cementitious = reading.mass("/cementitious", &self.cementitious);
        let doses = reading.each("/pigments", &self.pigments, |reading, at, one| dose(one, at, reading));
        let (cementitious, doses) = reading.done(cementitious.zip(doses))?;
        let all: Vec<Dose> = doses.iter().map(|(dose, _)| *dose).collect();
        pigment::check(&all).map_err(|faults| all_at("/pigments", &faults))?;
        let mut found = Pigments {
            pigments: vec![],
            total_percent: pigment::total_per_cent(&all),
            water_kg: 0.0,
            shade: self.shade(&all),
            worked: vec![],
        };
        for (written, (dose, solids)) in self.pigments.iter().zip(&doses) {
            let solid = pigment::mass(dose.of_cementitious, cementitious);
            let weigh = pigment::as_it_comes(solid, *solids).map_err(|faults| all_at("/pigments", &faults))?;
            found.worked.extend(lines(pigment::worked(&written.name, *dose, cementitious, *solids, weigh)));
            let water_kg = weigh.kg() - solid.kg();
            found.water_kg += water_kg;
            let (name, weigh_kg, solid_kg) = (written.name.clone(), weigh.kg(), solid.kg());
            found.pigments.push(WeighPigment { name, weigh_kg, solid_kg, water_kg });
        }
        found.worked.push(pigment::total_worked(&all).into());
        Ok(found)
    }
}

impl AskedPigments {
    /// The shade of iron oxides; other pigments colour by laws of their own.
    fn shade(&self, doses: &[Dose]) -> Option<Shade> {
        let oxides = self.pigments.iter().all(|one| one.oxide.is_some());
        oxides.then(|| pigment::Shade::of(doses.iter().map(|dose| dose.of_cementitious).sum()).into())
    }
}

/// A pigment's dose with its maximum, and the solids of it as it comes.
fn dose(one: &WrittenPigment, at: &str, reading: &mut Reading) -> Option<(Dose, Ratio)> {
    let of_cementitious = reading.percent(&format!("{at}/percent"), one.percent);
    let solids = reading.percent(&format!("{at}/solids_percent"), one.solids_percent.unwrap_or(100.0));
    let of_oxide = one.oxide.map(|oxide| Oxide::from(oxide).saturation_per_cent());
    let most_per_cent = one.saturation_percent.or(of_oxide).unwrap_or(f64::INFINITY);
    Some((Dose { of_cementitious: of_cementitious?, most_per_cent }, solids?))
}

impl Calculation for AskedFibre {
    type Found = FibreOfLoad;

    fn work_out(&self, _: &Known) -> Result<FibreOfLoad, Vec<Fault>> {
        let mut reading = Reading::default();
        self.may_be_used(&mut reading);
        let found = match (self.percent_of_mix, &self.rest, self.content_kg_m3, &self.load) {
            (Some(percent), Some(rest), None, None) => self.of_mix(percent, rest, &mut reading),
            (None, None, Some(kg_m3), Some(load)) => by_content(kg_m3, load, &mut reading),
            _ => {
                let detail = "give percent_of_mix with rest, the mass of all else, or content_kg_m3 with load: one of the two ways";
                reading.push("/percent_of_mix", detail);
                None
            }
        };
        let (mass, worked) = reading.done(found)?;
        Ok(FibreOfLoad { mass_kg: mass.kg(), worked: vec![worked] })
    }
}

impl AskedFibre {
    /// Glass says its zirconia, and enough of it; nothing else does.
    fn may_be_used(&self, reading: &mut Reading) {
        match (self.kind, self.zirconia_percent) {
            (FibreKind::Glass, None) => {
                let detail = "is missing: look it up in the maker's data sheet; glass below 16 % is eaten by cement";
                reading.push("/zirconia_percent", detail);
            }
            (FibreKind::Glass, Some(percent)) => {
                let zirconia = reading.percent("/zirconia_percent", percent);
                if let Some(Err(fault)) = zirconia.map(|zirconia| fibre::check(fibre::Fibre::Glass { zirconia })) {
                    reading.push("/zirconia_percent", said(&fault));
                }
            }
            (_, Some(_)) => reading.push("/zirconia_percent", "is of glass only: leave it out"),
            (_, None) => {}
        }
    }

    fn of_mix(&self, percent: f64, rest: &str, reading: &mut Reading) -> Option<(Mass, WorkedLine)> {
        let share = reading.percent("/percent_of_mix", percent);
        let rest = reading.mass("/rest", rest);
        let (share, rest) = (share?, rest?);
        let mass = reading.keep(fibre::of_mix(rest, share).map_err(|faults| all_at("/percent_of_mix", &faults)))?;
        Some((mass, fibre::of_mix_worked(rest, share, mass).into()))
    }
}

fn by_content(kg_m3: f64, load: &str, reading: &mut Reading) -> Option<(Mass, WorkedLine)> {
    let content = reading.take("/content_kg_m3", Content::from_kg_m3(kg_m3));
    let load = reading.volume("/load", load);
    let (content, load) = (content?, load?);
    Some((content * load, fibre::by_content_worked(content, load).into()))
}

impl Calculation for AskedAdmixture {
    type Found = AdmixtureOfLoad;

    fn work_out(&self, _: &Known) -> Result<AdmixtureOfLoad, Vec<Fault>> {
        let mut reading = Reading::default();
        let cementitious = reading.mass("/cementitious", &self.cementitious);
        let density = reading
            .perhaps(self.relative_density, |reading, number| reading.relative_density("/relative_density", number));
        let (cementitious, density) = reading.done(cementitious.zip(density))?;
        let volume = admixture::volume(self.ml_per_100_kg, cementitious)
            .map_err(|error| vec![Fault::at("/ml_per_100_kg", error.to_string())])?;
        let mut worked = vec![admixture::worked(self.ml_per_100_kg, cementitious, volume)];
        worked.extend(density.map(|density| admixture::mass_worked(density, volume)));
        let mass_kg = density.map(|density| (density.density() * volume).kg());
        Ok(AdmixtureOfLoad { volume_ml: volume.millilitres(), mass_kg, worked: lines(worked) })
    }
}

impl Calculation for AskedLooseSand {
    type Found = LooseSand;

    fn work_out(&self, _: &Known) -> Result<LooseSand, Vec<Fault>> {
        let mut reading = Reading::default();
        let loose = reading.volume("/loose", &self.loose);
        let bulk = reading.density::<OfMaterial>("/dry_bulk_density", &self.dry_bulk_density);
        let bulking = reading.percent("/bulking_percent", self.bulking_percent);
        let ((loose, bulk), bulking) = reading.done(loose.zip(bulk).zip(bulking))?;
        let dry = moisture::bulked_sand(loose, bulk, bulking).map_err(|faults| all_at("/loose", &faults))?;
        let unbulked = (bulk * loose).kg();
        let worked = moisture::bulked_worked(loose, bulk, bulking, dry).into();
        Ok(LooseSand { dry_kg: dry.kg(), unbulked_kg: unbulked, worked: vec![worked] })
    }
}
