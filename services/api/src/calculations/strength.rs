//! Estimates of strength by published relations, each with its range and its warnings.

use mix::strength::{
    Estimate, Speed, foamed_paste, foamed_paste_worked, gain, gain_worked, ordinary, ordinary_worked, porosity,
};
use mix::{Cement, Recipe, Source};
use quantities::{Hours, Pressure};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, as_it_is, asked, said};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::mixture::{AskedStrength, StrengthEstimate, StrengthEstimates};

as_it_is!(AskedStrength);

pub(super) const CAUTION: &str =
    "an estimate, never a promise: only tests of the workshop's own panels say how strong they are";
const CONCRETE_AT_28_DAYS: &str = "ordinary concrete by water/cement, at 28 days";

impl Calculation for AskedStrength {
    type Found = StrengthEstimates;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<StrengthEstimates, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let age = reading.take("/age_days", Hours::from_days(self.age_days));
        let (mix, age) = reading.done(mix.zip(age))?;
        let mut found =
            StrengthEstimates { estimates: vec![], refused: vec![], caution: CAUTION.into(), worked: vec![] };
        if mix.foam().is_some() {
            foamed(&mix, age, &mut found);
        } else {
            self.ordinary(&mix, age, &mut found);
        }
        Ok(found)
    }
}

impl AskedStrength {
    fn ordinary(&self, mix: &Recipe, age: Hours, found: &mut StrengthEstimates) {
        if mix.is_rapid() {
            let why = "relations of Portland cement do not hold for calcium sulfoaluminate; test trial specimens";
            found.refused.push(why.to_owned());
            return;
        }
        let Some(estimate) = mix
            .water_ratios()
            .and_then(|ratios| Ok((ordinary(ratios.water_cement(), self.air_entrained)?, ratios)))
            .map_err(|fault| found.refused.push(format!("{CONCRETE_AT_28_DAYS}: {}", said(&fault))))
            .ok()
        else {
            return;
        };
        let (estimate, ratios) = estimate;
        let at_28 = estimate.strength;
        found.worked.push(ordinary_worked(CONCRETE_AT_28_DAYS.to_owned(), ratios.water_cement(), &estimate).into());
        let (source, warnings) = (estimate.source.cite(), estimate.warnings.clone());
        found.estimates.push(shown(CONCRETE_AT_28_DAYS, estimate));
        let speed = if self.high_early { Speed::HighEarly } else { Speed::Ordinary };
        match gain(age, mix.cements().next().unwrap_or(Cement::Portland), speed) {
            Ok(share) => {
                let at_age = at_28.mpa() * share.number();
                let what = format!("the same at {:.1} days", age.days());
                found.worked.push(gain_worked(what.clone(), at_28, share).into());
                let source = format!("{source}; gain with age: {}", Source::STRENGTH_GAIN.cite());
                found.estimates.push(StrengthEstimate { relation: what, strength_mpa: at_age, source, warnings });
            }
            Err(fault) => found.refused.push(format!("gain with age: {}", said(&fault))),
        }
    }
}

fn foamed(mix: &Recipe, age: Hours, found: &mut StrengthEstimates) {
    if mix.is_rapid() {
        found.refused.push(
            "the relation for foamed Portland paste does not hold for calcium sulfoaluminate; test trial specimens"
                .into(),
        );
        return;
    }
    let estimate = mix.water_ratios().and_then(|ratios| {
        let pores = porosity(mix.wet_density(), ratios.cement_with_foam)?;
        Ok((foamed_paste(pores, age, mix.wet_density())?, pores))
    });
    match estimate {
        Ok((mut estimate, pores)) => {
            if mix.content_of(|role| role.is_aggregate()) > quantities::Content::ZERO {
                estimate.warnings.push("found on pastes without aggregate; this mix has some".into());
            }
            let what = format!("foamed paste by porosity, at {:.1} days", age.days());
            found.worked.push(foamed_paste_worked(what.clone(), pores, age, &estimate).into());
            found.estimates.push(shown(&what, estimate));
        }
        Err(fault) => found.refused.push(format!("foamed paste by porosity: {}", said(&fault))),
    }
}

fn shown(relation: &str, estimate: Estimate) -> StrengthEstimate {
    let mpa = |strength: Pressure| strength.mpa();
    StrengthEstimate {
        relation: relation.to_owned(),
        strength_mpa: mpa(estimate.strength),
        source: estimate.source.cite().to_owned(),
        warnings: estimate.warnings,
    }
}
