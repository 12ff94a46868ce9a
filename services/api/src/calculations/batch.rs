//! Litres wanted into equal loads, each with its sheet.

use mix::sheet::Today;
use mix::{MixerLimits, batch_sheet_today, equal_batches, with_washout};
use quantities::{Grams, OfMaterial, Volume};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, as_it_is, asked, faults_of, line, proportions};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::loads::{AskedBatch, BatchSheets};

as_it_is!(AskedBatch);

/// The step of a scale nobody told of, grams.
const FINE_STEP_G: i64 = 1;

impl Calculation for AskedBatch {
    type Found = BatchSheets;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<BatchSheets, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let load = reading.volume("/load", &self.load);
        let most = reading.perhaps(self.mixer_most.as_ref(), |r, text| r.volume("/mixer_most", text));
        let least = reading.perhaps(self.mixer_least.as_ref(), |r, text| r.volume("/mixer_least", text));
        let washout = reading.perhaps(self.washout.as_ref(), |r, text| r.volume("/washout", text));
        let today = today(self, &mut reading);
        let read = mix.zip(load).zip(most).zip(least).zip(washout).zip(today);
        let (((((mix, load), most), least), washout), today) = reading.done(read)?;
        let limits = MixerLimits { least: least.unwrap_or(Volume::ZERO), most: most.unwrap_or(load) };
        let batches = equal_batches(load, limits).map_err(|faults| at_mixer(&faults))?;
        let loads = with_washout(&batches.litres(), washout.unwrap_or(Volume::ZERO));
        let step = self.scale_step_g.map(Grams::new).or(known.scale_step).unwrap_or(Grams::new(FINE_STEP_G));
        let sheet = |litres| {
            let sheet = batch_sheet_today(&mix, litres, step, &today).map_err(|faults| at_today(&faults))?;
            Ok::<_, Vec<Fault>>(proportions::sheet(self.revision.clone(), sheet))
        };
        let last = loads.last().copied().unwrap_or(load);
        let (each, count) = (batches.each.litres(), batches.count.get());
        let worked = vec![
            line(
                "loads",
                "n = V / Vmax, upwards",
                format!("{:.3} L / {:.3} L", load.litres(), limits.most.litres()),
                count as f64,
                "",
            ),
            line(
                "litres of each load",
                "V / n, at least the mixer's least",
                format!("{:.3} L / {count}", load.litres()),
                each,
                "L",
            ),
        ];
        Ok(BatchSheets {
            count,
            each_l: each,
            spare_l: batches.spare.litres(),
            sheet: if count > 1 { Some(sheet(batches.each)?) } else { None },
            last_sheet: sheet(last)?,
            worked,
        })
    }
}

fn today(asked: &AskedBatch, reading: &mut Reading) -> Option<Today> {
    let foam =
        reading.perhaps(asked.foam_density.as_ref(), |r, text| r.density::<OfMaterial>("/foam_density", text))?;
    let moisture =
        asked.moisture.iter().enumerate().map(|(i, one)| {
            Some((one.material.clone(), reading.percent(&format!("/moisture/{i}/percent"), one.percent)?))
        });
    Some(Today { foam, moisture: moisture.collect::<Option<_>>()? })
}

fn at_mixer(faults: &mix::Faults) -> Vec<Fault> {
    faults_of(faults).into_iter().map(|fault| Fault { pointer: "/mixer_most".into(), ..fault }).collect()
}

/// The sheet's faults: those of the moisture are where the form has them, the rest is the foam of today.
fn at_today(faults: &mix::Faults) -> Vec<Fault> {
    let place = |fault: Fault| {
        let known = fault.pointer.starts_with("/moisture");
        let pointer = match fault.pointer.as_str() {
            "/litres" => "/load".to_owned(),
            "/resolution" => "/scale_step_g".to_owned(),
            _ if known => fault.pointer.clone(),
            _ => "/foam_density".to_owned(),
        };
        Fault { pointer, ..fault }
    };
    faults_of(faults).into_iter().map(place).collect()
}
