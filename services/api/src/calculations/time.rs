//! Days in the mould by the temperatures, and age.

use mix::cold::cold_days;
use mix::maturity::{
    HoldClock, HoldKind, PORTLAND_Q_K, age_factor_danish, age_worked, check_portland, equivalent_age, hold_days,
    hold_worked, temperature_time,
};
use mix::strength::least_placing_temperature;
use mix::{Cement, Faults};
use quantities::{Celsius, Hours};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, as_it_is, fault_of, faults_of, lines, said};
use crate::wire::calculations::time::{AskedHold, AskedMaturity, HoldOfDay, Holds, Maturity};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedHold, AskedMaturity);

/// The temperature equivalent ages are stated for, °C.
const REFERENCE_C: f64 = 20.0;

impl Calculation for AskedHold {
    type Found = Holds;

    fn work_out(&self, _: &Known) -> Result<Holds, Vec<Fault>> {
        let mut reading = Reading::default();
        let hold = reading.take("/hold_hours_at_20c", Hours::from_hours(self.hold_hours_at_20c));
        let daily = reading.each("/daily", &self.daily, |reading, at, text| reading.temperature(at, text));
        let thickness = reading.perhaps(self.thickness.as_ref(), |r, text| r.length("/thickness", text));
        let ((hold, daily), thickness) = reading.done(hold.zip(daily).zip(thickness))?;
        let usual = HoldClock::default();
        let clock = HoldClock {
            pour_hour: self.pour_hour.unwrap_or(usual.pour_hour),
            strip_hour: self.strip_hour.unwrap_or(usual.strip_hour),
        };
        let kind = if self.rapid { HoldKind::TrialHours } else { HoldKind::PortlandMaturity };
        let cold = cold_days(&daily);
        let day = |pour_day: usize| {
            let (days, worked) = held(hold, kind, pour_day, &daily, clock);
            HoldOfDay {
                pour_day: pour_day as i64,
                mean_c: daily[pour_day].celsius(),
                hold_days: days,
                cold: cold[pour_day],
                worked,
            }
        };
        let least = thickness.map(least_placing_temperature).transpose().map_err(|fault| vec![fault_of(&fault)])?;
        Ok(Holds { days: (0..daily.len()).map(day).collect(), least_placing_c: least.map(Celsius::celsius) })
    }
}

/// Days in the mould when poured on a day of the temperatures, with their worked lines; none where they end too early.
pub fn held(
    hold: Hours,
    kind: HoldKind,
    pour_day: usize,
    daily: &[Celsius],
    clock: HoldClock,
) -> (Option<i64>, Vec<WorkedLine>) {
    match hold_days(hold, kind, pour_day, daily, clock) {
        Ok(days) => (Some(i64::from(days)), lines(hold_worked(kind, pour_day, daily, clock, days))),
        Err(_) => (None, Vec::new()),
    }
}

impl Calculation for AskedMaturity {
    type Found = Maturity;

    fn work_out(&self, _: &Known) -> Result<Maturity, Vec<Fault>> {
        let mut reading = Reading::default();
        let cement = if self.rapid { Cement::RapidSettingCsa } else { Cement::Portland };
        if let Err(fault) = check_portland(cement) {
            reading.push("/rapid", said(&fault));
        }
        let history = reading.each("/history", &self.history, |reading, at, one| one.read(at, reading));
        let datum = reading.temperature("/datum", self.datum.as_deref().unwrap_or("0 °C"));
        let reference = reading.take("/history", Celsius::from_celsius(REFERENCE_C));
        let ((history, datum), reference) = reading.done(history.zip(datum).zip(reference))?;
        let age = equivalent_age(&history, PORTLAND_Q_K, reference).map_err(|faults: Faults| faults_of(&faults))?;
        let factor = temperature_time(&history, datum);
        let danish = history.iter().map(|i| age_factor_danish(i.temperature) * i.time.hours()).sum();
        let worked = age_worked(&history, datum).map(WorkedLine::from).to_vec();
        let clock = history.iter().map(|i| i.time.hours()).sum();
        Ok(Maturity {
            temperature_time_c_h: factor,
            equivalent_age_h: age,
            equivalent_age_danish_h: danish,
            clock_h: clock,
            worked,
        })
    }
}
