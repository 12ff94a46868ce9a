//! Moist curing, and the hours of air that count towards stripping.

use mix::cold::{STRIPPING_HOURS, stripping_hours, stripping_worked};
use mix::curing::{Binder, FLOWING_WATER_DAYS, RAIN_HOURS};
use mix::maturity::Interval;
use quantities::Hours;
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, as_it_is, asked, said};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::curing::{AskedCuring, AskedStripping, Curing, Stripping};
use crate::wire::calculations::time::Stretch;

as_it_is!(AskedCuring, AskedStripping);

impl Calculation for AskedCuring {
    type Found = Curing;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<Curing, Vec<Fault>> {
        let mix = known.mix("", asked!(self))?;
        let place = if self.recipe.is_some() { "/recipe/ingredients" } else { "/revision" };
        let binder = match mix.binder().map_err(|fault| vec![Fault::at(place, said(&fault))])? {
            Binder::General if self.moderate => Binder::Moderate,
            binder => binder,
        };
        Ok(Curing {
            least_days: i64::from(binder.least_moist_days()),
            other_than_portland_percent: binder.other_than_portland().per_cent(),
            rain_hours: RAIN_HOURS,
            flowing_water_days: i64::from(FLOWING_WATER_DAYS),
            worked: vec![binder.worked().into()],
        })
    }
}

impl Calculation for AskedStripping {
    type Found = Stripping;

    fn work_out(&self, _: &Known) -> Result<Stripping, Vec<Fault>> {
        let mut reading = Reading::default();
        let air = reading.each("/air", &self.air, |reading, at, one| one.read(at, reading));
        let air = reading.done(air)?;
        let warm = stripping_hours(&air).hours();
        Ok(Stripping {
            warm_hours: warm,
            wanted_hours: STRIPPING_HOURS,
            may_be_stripped: warm >= STRIPPING_HOURS,
            worked: vec![stripping_worked(&air).into()],
        })
    }
}

impl Stretch {
    /// The stretch at its place of a form.
    pub(super) fn read(&self, at: &str, reading: &mut Reading) -> Option<Interval> {
        let time = reading.take(&format!("{at}/hours"), Hours::from_hours(self.hours));
        let temperature = reading.temperature(&format!("{at}/temperature"), &self.temperature);
        Some(Interval { time: time?, temperature: temperature? })
    }
}
