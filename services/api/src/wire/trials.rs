//! Forms of trials and of the states a revision was put in.

use chrono::{DateTime, NaiveDate, Utc};
use quantities::{Grams, Millilitres};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::checks;
use workshop::ids::{MaterialId, PanelId, TrialId};
use workshop::trials as domain;

use super::basics::{Id, RevisionText, each, id, revision, sound, words};
use super::mixes::RevisionState;
use crate::http::body::Incoming;

words!(
    /// The state hardened concrete is weighed in; figures of different states are never compared.
    HardState for domain::HardState {
        /// Just out of its mould.
        Demoulded,
        /// Soaked, as lifted.
        FromTheTank,
        /// In balance with the workshop's air.
        AirDry,
        /// With all free water driven off.
        OvenDry,
    }
);

/// A recorded test batch of a revision. What was not measured is left out; what comes later is added to it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "grey-2-january", "revision": "foamed-grey@2", "mixed_on": "2026-01-12", "by": "the bench", "batch_ml": 12000,
    "masses": [{ "material": "water", "mass_g": 3730 }, { "material": "cement", "mass_g": 7450 }, { "material": "ar-fibre", "mass_g": 50 }],
    "wet_density_kg_m3": 957.0,
    "densities": [{ "state": "demoulded", "density_kg_m3": 941.0 }, { "state": "air_dry", "density_kg_m3": 816.0 }, { "state": "oven_dry", "density_kg_m3": 747.0 }],
    "strengths": [{ "age_days": 7.0, "strength_mpa": 1.9 }, { "age_days": 28.0, "strength_mpa": 2.9 }],
    "panels": [{ "panel": "bed-side-900", "state": "air_dry", "mass_g": 8760 }],
    "wear_loss_g": 34.0, "cracks": "none seen", "warp_mm": 1.0, "photos": ["grey-2-cube-28-days.jpg"],
    "note": "foam of 51 g/L",
}))]
pub struct Trial {
    /// Its id.
    pub id: Id,
    /// Which revision.
    pub revision: RevisionText,
    /// Day it was mixed.
    pub mixed_on: NaiveDate,
    /// Who made it.
    #[schema(min_length = 1, max_length = 200)]
    pub by: String,
    /// Volume of the batch, ml.
    #[schema(minimum = 1, maximum = 10000000)]
    pub batch_ml: Option<i64>,
    /// What really went in, in mixing order.
    #[schema(max_items = 50)]
    #[serde(default)]
    pub masses: Vec<TrialMass>,
    /// Wet (fresh) density measured.
    #[schema(minimum = 100, maximum = 3500)]
    pub wet_density_kg_m3: Option<f64>,
    /// Densities of hardened specimens, each with its state; several of one state count by their mean.
    #[schema(max_items = 100)]
    #[serde(default)]
    pub densities: Vec<TrialDensity>,
    /// Compressive strengths; several of one age count by their mean.
    #[schema(max_items = 100)]
    #[serde(default)]
    pub strengths: Vec<TrialStrength>,
    /// Panels weighed.
    #[schema(max_items = 100)]
    #[serde(default)]
    pub panels: Vec<TrialPanel>,
    /// Loss in the wear test, g.
    #[schema(minimum = 0, maximum = 1000000)]
    pub wear_loss_g: Option<f64>,
    /// Cracks seen, in words; left out where nobody looked.
    #[schema(max_length = 2000)]
    pub cracks: Option<String>,
    /// Warp over a panel's length, mm.
    #[schema(minimum = 0, maximum = 1000)]
    pub warp_mm: Option<f64>,
    /// Names of photos.
    #[schema(max_items = 200)]
    #[serde(default)]
    pub photos: Vec<String>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

/// What really went in of a material.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TrialMass {
    /// Which material.
    pub material: Id,
    /// How much, g.
    #[schema(minimum = 1, maximum = 1000000000000_i64)]
    pub mass_g: i64,
}

/// A density with its state.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TrialDensity {
    /// The state.
    pub state: HardState,
    /// The density.
    #[schema(minimum = 100, maximum = 3500)]
    pub density_kg_m3: f64,
}

/// A compressive strength with its age.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TrialStrength {
    /// Days from casting, above 0.
    #[schema(minimum = 0, maximum = 3650)]
    pub age_days: f64,
    /// The strength.
    #[schema(minimum = 0, maximum = 200)]
    pub strength_mpa: f64,
}

/// A panel weighed in a state.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TrialPanel {
    /// Which panel.
    pub panel: Id,
    /// The state.
    pub state: HardState,
    /// Its mass, g.
    #[schema(minimum = 1, maximum = 1000000000000_i64)]
    pub mass_g: i64,
}

impl Incoming for Trial {
    type Domain = domain::Trial;

    fn into_domain(self) -> Result<domain::Trial, Vec<Fault>> {
        let masses = each(self.masses, |i, one| {
            let material = id(&format!("/masses/{i}/material"), MaterialId::parse, &one.material)?;
            Ok((material, Grams::new(one.mass_g)))
        })?;
        let panels = each(self.panels, |i, one| {
            let panel = id(&format!("/panels/{i}/panel"), PanelId::parse, &one.panel)?;
            Ok(domain::PanelWeighed { panel, state: one.state.into(), mass: Grams::new(one.mass_g) })
        })?;
        let density = |one: TrialDensity| domain::HardDensity { state: one.state.into(), kg_m3: one.density_kg_m3 };
        let strength = |one: TrialStrength| domain::StrengthFound { age_days: one.age_days, mpa: one.strength_mpa };
        let trial = domain::Trial {
            id: id("/id", TrialId::parse, &self.id)?,
            revision: revision("/revision", &self.revision)?,
            mixed_on: self.mixed_on,
            by: self.by,
            batch: self.batch_ml.map(Millilitres::new),
            masses,
            wet_density_kg_m3: self.wet_density_kg_m3,
            densities: self.densities.into_iter().map(density).collect(),
            strengths: self.strengths.into_iter().map(strength).collect(),
            panels,
            wear_loss_g: self.wear_loss_g,
            cracks: self.cracks,
            warp_mm: self.warp_mm,
            photos: self.photos,
            note: self.note,
        };
        let faults = checks::trial::faults(&trial);
        sound(trial, faults)
    }
}

impl From<domain::Trial> for Trial {
    fn from(t: domain::Trial) -> Self {
        let mass =
            |(material, mass): &(MaterialId, Grams)| TrialMass { material: Id::of(material), mass_g: mass.get() };
        let density = |d: &domain::HardDensity| TrialDensity { state: d.state.into(), density_kg_m3: d.kg_m3 };
        let strength = |s: &domain::StrengthFound| TrialStrength { age_days: s.age_days, strength_mpa: s.mpa };
        let panel = |p: &domain::PanelWeighed| TrialPanel {
            panel: Id::of(&p.panel),
            state: p.state.into(),
            mass_g: p.mass.get(),
        };
        Self {
            id: Id::of(&t.id),
            revision: RevisionText::of(&t.revision),
            mixed_on: t.mixed_on,
            by: t.by,
            batch_ml: t.batch.map(Millilitres::get),
            masses: t.masses.iter().map(mass).collect(),
            wet_density_kg_m3: t.wet_density_kg_m3,
            densities: t.densities.iter().map(density).collect(),
            strengths: t.strengths.iter().map(strength).collect(),
            panels: t.panels.iter().map(panel).collect(),
            wear_loss_g: t.wear_loss_g,
            cracks: t.cracks,
            warp_mm: t.warp_mm,
            photos: t.photos,
            note: t.note,
        }
    }
}

/// That a revision was put in a state. Kept for good.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "number": 4, "revision": "foamed-grey@2", "state": "in_use", "at": "2026-02-16T09:10:00Z", "trial": "grey-2-january",
    "reason": "trial grey-2-january of 2026-01-12",
}))]
pub struct Standing {
    /// Its number, over all revisions.
    pub number: i64,
    /// Which revision.
    pub revision: RevisionText,
    /// The state it was put in.
    pub state: RevisionState,
    /// When.
    pub at: DateTime<Utc>,
    /// The newest trial of it on record then, where it was put in use.
    pub trial: Option<Id>,
    /// On whose word, or on which trial.
    pub reason: Option<String>,
}

impl From<(i64, domain::Standing)> for Standing {
    fn from((number, s): (i64, domain::Standing)) -> Self {
        Self {
            number,
            revision: RevisionText::of(&s.revision),
            state: s.state.into(),
            at: s.at,
            trial: s.trial.as_ref().map(Id::of),
            reason: s.reason,
        }
    }
}
