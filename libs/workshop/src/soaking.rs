//! Soaking in cold water: a day in it counts as less than a day, by the temperature measured in the tank.
//!
//! A revision's soak days are days in water as warm as the warmest step of the workshop's table. A temperature holds from the
//! day it was measured until the next one is, and for [`HOLDS_DAYS`] at most; where none holds, days count in full.

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate as Day};

use crate::catalogue::{Material, MixRevision};
use crate::ids::{PanelId, RevisionId, TankId};
use crate::lots::{Lot, Stage};
use crate::planning::draws::is_rapid;
use crate::site::Workshop;

/// Least days in water of one temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoakStep {
    /// Temperature of the water, 0 to 60 °C.
    pub water_c: f64,
    /// Least days in it, 1 to 90.
    pub least_days: i64,
}

/// What stands in the table until a workshop changes it: common practice, no source. Beside it, the age factors of ASTM C1074
/// (equivalent age at 20 °C, Q = 5000 K) are 0.744 at 15 °C and 0.548 at 10 °C, where these steps count 5/7 and 5/11 of a day:
/// on the safe side.
pub const COMMON_PRACTICE: [SoakStep; 3] = [
    SoakStep { water_c: 20.0, least_days: 5 },
    SoakStep { water_c: 15.0, least_days: 7 },
    SoakStep { water_c: 10.0, least_days: 11 },
];

/// Temperatures measured in one tank, °C, by the day.
pub type Readings = BTreeMap<Day, f64>;

/// Temperatures measured in tanks.
pub type Water = BTreeMap<TankId, Readings>;

/// A measured temperature tells the water's for so many days, the day it was measured among them: common practice, no source. Longer than most soaking takes: to hold a cold reading longer is on the safe side, but
/// one of winter does not stand for summer.
pub const HOLDS_DAYS: u64 = 30;

/// No soaking is told to take longer, days.
const LONGEST: u64 = 400;
/// The least a day in water near freezing counts, of a day in the warmest.
const LEAST_SHARE: f64 = 0.02;

/// What a day in water of a temperature counts, of a day in the table's warmest: 0.02 to 1. Between the steps, and beyond the
/// coldest, one over the days changes in a straight line.
pub fn share(table: &[SoakStep], water_c: f64) -> f64 {
    let mut steps: Vec<(f64, f64)> = table.iter().map(|s| (s.water_c, 1.0 / s.least_days.max(1) as f64)).collect();
    steps.sort_by(|a, b| b.0.total_cmp(&a.0));
    let Some(&(warmest, whole)) = steps.first() else { return 1.0 };
    if water_c >= warmest || steps.len() < 2 {
        return 1.0;
    }
    let at = steps.iter().position(|(c, _)| water_c >= *c).unwrap_or(steps.len() - 1);
    let ((warm, more), (cold, less)) = (steps[at - 1], steps[at]);
    let rate = less + (water_c - cold) * (more - less) / (warm - cold);
    (rate / whole).clamp(LEAST_SHARE, 1.0)
}

/// The day from which panels put into a tank on `since` may be lifted: never before `since` and the soak days.
pub fn soaked_on(since: Day, soak_days: i64, readings: Option<&Readings>, table: &[SoakStep]) -> Day {
    let mut left = soak_days.max(0) as f64;
    for day in since.iter_days().take(LONGEST as usize) {
        if left < 1.0e-6 {
            return day;
        }
        let oldest = day - Days::new(HOLDS_DAYS - 1);
        let measured = readings.and_then(|r| r.range(oldest..=day).next_back());
        left -= measured.map_or(1.0, |(_, water_c)| share(table, *water_c));
    }
    since + Days::new(LONGEST.max(soak_days.max(0).unsigned_abs()))
}

/// The earliest day on which panels that soak came into their tank; none where none soak.
pub fn in_tanks_since(lots: &[Lot]) -> Option<Day> {
    lots.iter().filter(|l| l.stage == Stage::Soaking && l.quantity > 0).map(|l| l.since).min()
}

/// How long panels soak in the workshop's tanks.
#[derive(Clone, Debug)]
pub struct Soaking<'a> {
    table: &'a [SoakStep],
    water: &'a Water,
    days: BTreeMap<&'a RevisionId, i64>,
    rapid: BTreeSet<&'a RevisionId>,
}

/// Panels that soak longer than their revision's days.
#[derive(Clone, Debug, PartialEq)]
pub struct Slow {
    /// In which tank.
    pub tank: TankId,
    /// Which panel.
    pub panel: PanelId,
    /// From which mix revision.
    pub revision: RevisionId,
    /// How many.
    pub quantity: i64,
    /// Day they could be lifted in warm water.
    pub usual: Day,
    /// Day they may be lifted.
    pub until: Day,
    /// The last temperature measured in the tank, °C.
    pub water_c: f64,
    /// The day it was.
    pub measured_on: Day,
}

impl<'a> Soaking<'a> {
    /// By the workshop's table and what was measured. Rapid-setting cement does not follow the table: it soaks by its own
    /// trials' days.
    pub fn new(workshop: &'a Workshop, revisions: &'a [MixRevision], materials: &[Material], water: &'a Water) -> Self {
        let by_id = materials.iter().map(|m| (&m.id, m)).collect();
        let rapid = revisions.iter().filter(|r| is_rapid(r, &by_id)).map(|r| &r.id).collect();
        let days = revisions.iter().map(|r| (&r.id, r.soak_days)).collect();
        Self { table: &workshop.soaking, water, days, rapid }
    }

    /// The day panels may be lifted, in warm water and as the water was and is.
    pub fn lifted(&self, revision: &RevisionId, tank: Option<&TankId>, since: Day) -> (Day, Day) {
        let days = self.days.get(revision).copied().unwrap_or(0);
        let readings = tank.and_then(|tank| self.water.get(tank)).filter(|_| !self.rapid.contains(revision));
        (soaked_on(since, days, None, self.table), soaked_on(since, days, readings, self.table))
    }

    /// The panels of these lots that soak longer than usual and are not soaked before `day`.
    pub fn slow(&self, lots: &[Lot], day: Day) -> Vec<Slow> {
        let soaking = lots.iter().filter(|l| l.stage == Stage::Soaking && l.quantity > 0);
        let mut found: Vec<Slow> = soaking.filter_map(|lot| self.slow_one(lot)).filter(|s| s.until >= day).collect();
        found.sort_by(|a, b| (&a.tank, a.until, &a.panel).cmp(&(&b.tank, b.until, &b.panel)));
        found
    }

    fn slow_one(&self, lot: &Lot) -> Option<Slow> {
        let tank = lot.tank.as_ref()?;
        let (usual, until) = self.lifted(&lot.revision, Some(tank), lot.since);
        let (measured_on, water_c) = self.water.get(tank)?.last_key_value()?;
        (until > usual).then(|| Slow {
            tank: tank.clone(),
            panel: lot.panel.clone(),
            revision: lot.revision.clone(),
            quantity: lot.quantity,
            usual,
            until,
            water_c: *water_c,
            measured_on: *measured_on,
        })
    }

    /// How many panels in a tank may be lifted on another day than `before`, and the latest of their days now; none where
    /// nothing moves.
    pub fn moved(&self, before: &Self, lots: &[Lot], tank: &TankId) -> Option<(i64, Day)> {
        let there =
            lots.iter().filter(|l| l.stage == Stage::Soaking && l.tank.as_ref() == Some(tank) && l.quantity > 0);
        let day = |soaking: &Self, lot: &Lot| soaking.lifted(&lot.revision, Some(tank), lot.since).1;
        let moved: Vec<(i64, Day)> =
            there.filter(|l| day(self, l) != day(before, l)).map(|l| (l.quantity, day(self, l))).collect();
        let last = moved.iter().map(|(_, day)| *day).max()?;
        Some((moved.iter().map(|(panels, _)| panels).sum(), last))
    }
}
