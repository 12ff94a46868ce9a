//! Moist curing, and the hours of air that count towards stripping.

use mix::Source;
use mix::cold::{STRIPPING_HOURS, stripping_hours};
use mix::curing::{Binder, FLOWING_WATER_DAYS, RAIN_HOURS};
use mix::maturity::Interval;
use quantities::Hours;
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, as_it_is, asked, line_from, said};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::curing::{AskedCuring, AskedStripping, Curing, Stripping};
use crate::wire::calculations::time::Stretch;

as_it_is!(AskedCuring, AskedStripping);

const STRIPPING: Source = Source("ACI 347R-94: twelve hours of air at 50 °F or more, where no strength is specified");

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
        let (cement, other) = match binder {
            Binder::General => ("Portland cement of general use", 0.0),
            Binder::Moderate => ("Portland cement of moderate heat", 0.0),
            Binder::Blended { other } => ("Portland cement with ash or slag", other.per_cent()),
        };
        let days = binder.least_moist_days();
        let numbers = format!("{cement}, {other:.1} % of other binders");
        let formula = "7 days for general use, 14 for moderate heat or up to 25 % of other binders, 21 above";
        let line =
            line_from("least days of moist curing", formula, numbers, f64::from(days), "days", Source::MOIST_CURING);
        Ok(Curing {
            least_days: i64::from(days),
            other_than_portland_percent: other,
            rain_hours: RAIN_HOURS,
            flowing_water_days: i64::from(FLOWING_WATER_DAYS),
            worked: vec![line],
        })
    }
}

impl Calculation for AskedStripping {
    type Found = Stripping;

    fn work_out(&self, _: &Known) -> Result<Stripping, Vec<Fault>> {
        let mut reading = Reading::default();
        let air = reading.each("/air", &self.air, |reading, at, one| one.read(at, reading));
        let warm = stripping_hours(&reading.done(air)?).hours();
        let numbers = format!("{warm:.1} h of {:.1} h", self.air.iter().map(|one| one.hours).sum::<f64>());
        let line = line_from("hours that count", "Σ Δt where T ≥ 50 °F", numbers, warm, "h", STRIPPING);
        Ok(Stripping {
            warm_hours: warm,
            wanted_hours: STRIPPING_HOURS,
            may_be_stripped: warm >= STRIPPING_HOURS,
            worked: vec![line],
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
