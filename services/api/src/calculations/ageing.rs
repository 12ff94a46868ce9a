//! Strength with age, frost before the concrete can bear it, soaking in cold water.

use mix::cold::{DayOfAir, SoakTable, cold_to_pour, frost_before_safe, frost_worked};
use mix::strength::{FROST_SAFE_MPA, Speed, gain, gain_worked};
use mix::{Cement, HoldClock};
use quantities::{Hours, Pressure};
use workshop::Fault;

use super::strength::CAUTION;
use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, lines, said};
use crate::wire::calculations::ageing::{AskedFrost, AskedGain, AskedSoak, Frost, Gain, Soak, StrengthAt};

as_it_is!(AskedGain, AskedFrost, AskedSoak);

impl Calculation for AskedGain {
    type Found = Gain;

    fn work_out(&self, _: &Known) -> Result<Gain, Vec<Fault>> {
        let mut reading = Reading::default();
        let cement = if self.rapid { Cement::RapidSettingCsa } else { Cement::Portland };
        let speed = if self.high_early { Speed::HighEarly } else { Speed::Ordinary };
        let at_28 = reading.take("/strength_28_days_mpa", Pressure::from_mpa(self.strength_28_days_mpa));
        let mut found = Gain { strengths: vec![], caution: CAUTION.to_owned(), worked: vec![] };
        for (i, days) in self.ages_days.iter().enumerate() {
            let at = format!("/ages_days/{i}");
            let Some(age) = reading.take(&at, Hours::from_days(*days)) else { continue };
            let share = gain(age, cement, speed).map_err(|fault| {
                let place = if self.rapid { "/rapid".to_owned() } else { at };
                vec![Fault::at(place, said(&fault))]
            });
            match share {
                Ok(share) => {
                    let strength_mpa = self.strength_28_days_mpa * share.number();
                    let what = format!("strength at {days} days");
                    found.worked.extend(at_28.map(|at_28| gain_worked(what, at_28, share).into()));
                    found.strengths.push(StrengthAt {
                        age_days: *days,
                        strength_mpa,
                        share_percent: share.per_cent(),
                        safe_from_frost: strength_mpa >= FROST_SAFE_MPA,
                    });
                }
                Err(faults) => {
                    reading.extend(faults);
                    break;
                }
            }
        }
        reading.done(at_28.map(|_| found))
    }
}

impl Calculation for AskedFrost {
    type Found = Frost;

    fn work_out(&self, _: &Known) -> Result<Frost, Vec<Fault>> {
        let mut reading = Reading::default();
        let safe = reading.take("/safe_age_hours_at_20c", Hours::from_hours(self.safe_age_hours_at_20c));
        let days = reading.each("/days", &self.days, |reading, at, day| {
            let mean = reading.temperature(&format!("{at}/mean"), &day.mean);
            let least = reading.temperature(&format!("{at}/least"), &day.least);
            let day = DayOfAir { mean: mean?, least: least? };
            if day.least > day.mean {
                reading.push(format!("{at}/least"), "is above the mean: give the coldest of the day");
            }
            Some(day)
        });
        let (safe, days) = reading.done(safe.zip(days))?;
        let clock =
            HoldClock { pour_hour: self.pour_hour.unwrap_or(HoldClock::default().pour_hour), ..HoldClock::default() };
        let frost = frost_before_safe(safe, &days, clock).map_err(|faults| all_at("/days", &faults))?;
        let worked = frost_worked(safe, &days, clock);
        Ok(Frost {
            may_be_poured: frost.is_none(),
            frost_on: frost.map(|day| day as i64),
            // The days shown are those in which the concrete needs protection.
            cold: cold_to_pour(&days, worked.len()).first().is_some_and(|cold| *cold),
            worked: lines(worked),
        })
    }
}

impl Calculation for AskedSoak {
    type Found = Soak;

    fn work_out(&self, _: &Known) -> Result<Soak, Vec<Fault>> {
        let mut reading = Reading::default();
        let water = reading.temperature("/water", &self.water);
        let rows = reading.each("/table", &self.table, |reading, at, row| {
            Some((reading.temperature(&format!("{at}/from"), &row.from)?, row.days))
        });
        let (water, rows) = reading.done(water.zip(rows))?;
        let table = if rows.is_empty() { SoakTable::usual() } else { SoakTable::new(&rows) };
        let table = table.map_err(|faults| all_at("/table", &faults))?;
        let days = table.least_days(water).map_err(|fault| all_at("/water", &fault.into()))?;
        Ok(Soak { least_days: i64::from(days), worked: vec![SoakTable::worked(water, days).into()] })
    }
}
