//! Trials: what was found of a revision when a test batch of it was cast, soaked, dried and broken; and on what a revision
//! is put in use.

use chrono::{DateTime, NaiveDate as Day, Utc};
use quantities::{ConcreteState, Grams, Millilitres};

use crate::catalogue::RevisionState;
use crate::ids::{MaterialId, PanelId, RevisionId, TrialId};

/// The state hardened concrete is weighed in. Figures of different states are never compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HardState {
    /// Just out of its mould.
    Demoulded,
    /// Soaked, as lifted.
    FromTheTank,
    /// In balance with the workshop's air.
    AirDry,
    /// With all free water driven off.
    OvenDry,
}

impl HardState {
    /// All of them, from the mould to the oven.
    pub const ALL: [Self; 4] = [Self::Demoulded, Self::FromTheTank, Self::AirDry, Self::OvenDry];

    /// The same among all states of concrete.
    pub const fn of_concrete(self) -> ConcreteState {
        match self {
            Self::Demoulded => ConcreteState::Demoulded,
            Self::FromTheTank => ConcreteState::FromTheTank,
            Self::AirDry => ConcreteState::AirDry,
            Self::OvenDry => ConcreteState::OvenDry,
        }
    }
}

/// A recorded test batch of a revision. What was not measured is left out; what comes later is added.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Its id.
    pub id: TrialId,
    /// Which revision.
    pub revision: RevisionId,
    /// When it was mixed.
    pub mixed_on: Day,
    /// Who made it.
    pub by: String,
    /// Volume of the batch.
    pub batch: Option<Millilitres>,
    /// What really went in, in mixing order.
    pub masses: Vec<(MaterialId, Grams)>,
    /// Wet (fresh) density measured, kg/m³, 100 to 3500.
    pub wet_density_kg_m3: Option<f64>,
    /// Densities of hardened specimens.
    pub densities: Vec<HardDensity>,
    /// Compressive strengths.
    pub strengths: Vec<StrengthFound>,
    /// Panels weighed.
    pub panels: Vec<PanelWeighed>,
    /// Loss in the wear test, grams.
    pub wear_loss_g: Option<f64>,
    /// Cracks seen, in words; nothing where nobody looked.
    pub cracks: Option<String>,
    /// Warp over a panel's length, mm, 0 to 1000.
    pub warp_mm: Option<f64>,
    /// Names of photos.
    pub photos: Vec<String>,
    /// Anything to remember.
    pub note: Option<String>,
}

/// A density with its state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HardDensity {
    /// The state.
    pub state: HardState,
    /// kg/m³, 100 to 3500.
    pub kg_m3: f64,
}

/// A strength with its age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrengthFound {
    /// Days from casting, above 0, at most 3650.
    pub age_days: f64,
    /// MPa, 0 to 200.
    pub mpa: f64,
}

/// A panel weighed in a state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelWeighed {
    /// Which panel.
    pub panel: PanelId,
    /// The state.
    pub state: HardState,
    /// Its mass.
    pub mass: Grams,
}

/// Ages within this of one another are one age, days.
pub const SAME_AGE_DAYS: f64 = 0.5;

impl Trial {
    /// Whether anything was found of the hardened concrete: a trial that only names its revision shows nothing yet.
    pub fn has_results(&self) -> bool {
        !self.densities.is_empty() || !self.strengths.is_empty()
    }

    /// Whether this says all that an older record of the trial said, and perhaps more.
    pub fn only_adds_to(&self, older: &Trial) -> bool {
        fn kept<T: PartialEq>(older: &Option<T>, newer: &Option<T>) -> bool {
            older.is_none() || older == newer
        }
        (&self.revision, self.mixed_on, &self.by) == (&older.revision, older.mixed_on, &older.by)
            && self.masses.starts_with(&older.masses)
            && self.densities.starts_with(&older.densities)
            && self.strengths.starts_with(&older.strengths)
            && self.panels.starts_with(&older.panels)
            && self.photos.starts_with(&older.photos)
            && kept(&older.batch, &self.batch)
            && kept(&older.wet_density_kg_m3, &self.wet_density_kg_m3)
            && kept(&older.wear_loss_g, &self.wear_loss_g)
            && kept(&older.cracks, &self.cracks)
            && kept(&older.warp_mm, &self.warp_mm)
    }

    /// Mean density in a state, where it was measured.
    pub fn density(&self, state: HardState) -> Option<f64> {
        mean(self.densities.iter().filter(|d| d.state == state).map(|d| d.kg_m3))
    }

    /// Mean strength at an age, where it was measured.
    pub fn strength(&self, age_days: f64) -> Option<f64> {
        mean(self.strengths.iter().filter(|s| (s.age_days - age_days).abs() <= SAME_AGE_DAYS).map(|s| s.mpa))
    }

    /// Mean mass of a panel in a state, grams, where it was weighed.
    pub fn panel_mass(&self, panel: &PanelId, state: HardState) -> Option<f64> {
        let weighed = self.panels.iter().filter(|p| p.panel == *panel && p.state == state);
        mean(weighed.map(|p| p.mass.get() as f64))
    }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

/// That a revision was put in a state: when, and on what it rests. Kept for good.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Which revision.
    pub revision: RevisionId,
    /// The state it was put in.
    pub state: RevisionState,
    /// When.
    pub at: DateTime<Utc>,
    /// The newest trial of it on record then, where it was put in use.
    pub trial: Option<TrialId>,
    /// The reason in words.
    pub reason: Option<String>,
}

/// On what a revision may be put in a state: a reason in words, or its newest trial with results; nothing is asked for
/// retiring one or putting it on trial again.
///
/// # Errors
/// In use without either.
pub fn standing_on(
    state: RevisionState,
    reason: Option<&str>,
    newest: Option<&Trial>,
) -> Result<(Option<TrialId>, Option<String>), crate::Fault> {
    let reason = reason.map(str::trim).filter(|reason| !reason.is_empty()).map(ToOwned::to_owned);
    match (state, reason, newest.filter(|trial| trial.has_results())) {
        (RevisionState::InUse, None, None) => Err(crate::Fault::at(
            "/reason",
            "is missing: no trial of this revision with a hardened density or a strength is on record, so record what one found, or say on whose word it is put in use",
        )),
        (RevisionState::InUse, None, Some(trial)) => {
            Ok((Some(trial.id.clone()), Some(format!("trial {} of {}", trial.id, trial.mixed_on))))
        }
        (RevisionState::InUse, reason, trial) => Ok((trial.map(|trial| trial.id.clone()), reason)),
        (_, reason, _) => Ok((None, reason)),
    }
}

#[cfg(test)]
mod tests;
