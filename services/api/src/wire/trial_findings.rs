//! Forms of trials side by side, and of the workshop's own line from density to strength.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::basics::{Id, RevisionText, words};
use super::proportions::WorkedLine;
use super::trials::HardState;

words!(
    /// The states concrete is weighed in, fresh or hardened; figures of different states are never compared.
    ConcreteState for quantities::ConcreteState {
        /// As mixed, before it sets.
        Fresh,
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

/// Trials to lay side by side, each against one reference concrete: a trial on record, or figures.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "trials": ["grey-2-january", "perlite-1-january"], "reference_trial": "gravel-1-december", "age_days": 28.0 }))]
pub struct AskedTrialComparison {
    /// The trials.
    #[schema(min_items = 1, max_items = 50)]
    pub trials: Vec<Id>,
    /// The reference concrete, a trial on record.
    pub reference_trial: Option<Id>,
    /// Or the reference concrete by its figures.
    pub reference: Option<ReferenceFigures>,
    /// Age at which strengths are compared, days; 28 where none is given.
    #[schema(minimum = 0.5, maximum = 3650)]
    pub age_days: Option<f64>,
}

/// A reference concrete by its figures, those that are known.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReferenceFigures {
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// Its densities, each in its state.
    #[schema(max_items = 5)]
    #[serde(default)]
    pub densities: Vec<ConcreteDensity>,
    /// Its compressive strength at the age compared.
    #[schema(minimum = 0, maximum = 200)]
    pub strength_mpa: Option<f64>,
    /// Its loss in the wear test, g.
    #[schema(minimum = 0, maximum = 1000000)]
    pub wear_loss_g: Option<f64>,
    /// Its material cost, minor units for a cubic metre.
    #[schema(minimum = 0, maximum = 1000000000)]
    pub cost_minor_m3: Option<f64>,
}

/// A density in a state, fresh or hardened.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ConcreteDensity {
    /// The state.
    pub state: ConcreteState,
    /// The density.
    #[schema(minimum = 100, maximum = 3500)]
    pub density_kg_m3: f64,
}

/// Trials side by side.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "age_days": 28.0,
    "reference": {
        "name": "gravel-1-december", "trial": "gravel-1-december", "revision": "gravel-stone@1",
        "densities": [{ "state": "fresh", "density_kg_m3": 2371.0 }, { "state": "air_dry", "density_kg_m3": 2318.0 }],
        "strength_mpa": 33.5, "wear_loss_g": 11.0, "cost_minor_m3": 11240.0, "cracks": "none seen", "warp_mm": 0.0,
    },
    "trials": [{
        "figures": {
            "name": "grey-2-january", "trial": "grey-2-january", "revision": "foamed-grey@2",
            "densities": [{ "state": "fresh", "density_kg_m3": 957.0 }, { "state": "air_dry", "density_kg_m3": 816.0 }],
            "strength_mpa": 2.9, "wear_loss_g": 34.0, "cost_minor_m3": 14930.0, "cracks": "none seen", "warp_mm": 1.0,
        },
        "lighter": [{ "state": "fresh", "percent": 59.6 }, { "state": "air_dry", "percent": 64.8 }],
        "stronger_percent": -91.3, "less_worn_percent": -209.1, "cheaper_percent": -32.8, "panels": [],
        "remarks": ["oven-dry density was not found of both, so they are not compared in it"],
        "worked": [{ "what": "lighter, both air-dry", "formula": "(Dr - D) / Dr, both in one state", "numbers": "(2318.0 - 816.0) / 2318.0", "result": 64.8, "unit": "%", "source": "definition" }],
    }],
}))]
pub struct TrialComparison {
    /// Age at which strengths are compared, days.
    pub age_days: f64,
    /// The reference concrete.
    pub reference: ComparedFigures,
    /// Each trial against it, in the order asked for.
    pub trials: Vec<TrialAgainst>,
}

/// What is known of a concrete, means where several specimens were tested.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ComparedFigures {
    /// The trial's id, or the reference's name.
    pub name: String,
    /// Which trial.
    pub trial: Option<Id>,
    /// Of which revision.
    pub revision: Option<RevisionText>,
    /// Densities, each in its state.
    pub densities: Vec<ConcreteDensity>,
    /// Compressive strength at the age compared.
    pub strength_mpa: Option<f64>,
    /// Loss in the wear test, g.
    pub wear_loss_g: Option<f64>,
    /// Material cost of a cubic metre of the revision at today's prices, minor units.
    pub cost_minor_m3: Option<f64>,
    /// Cracks seen, in words.
    pub cracks: Option<String>,
    /// Warp over a panel's length, mm.
    pub warp_mm: Option<f64>,
}

/// A trial against the reference: per cent of the reference, above zero where the trial is the better.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TrialAgainst {
    /// What was found of it.
    pub figures: ComparedFigures,
    /// Lighter by, in every state known of both.
    pub lighter: Vec<LighterIn>,
    /// Stronger by, at the age compared.
    pub stronger_percent: Option<f64>,
    /// Less worn by.
    pub less_worn_percent: Option<f64>,
    /// Cheaper by.
    pub cheaper_percent: Option<f64>,
    /// Panels weighed in one state of both trials.
    pub panels: Vec<PanelLighter>,
    /// What could not be compared, and why.
    pub remarks: Vec<String>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// By how much lighter in a state.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LighterIn {
    /// The state of both.
    pub state: ConcreteState,
    /// Lighter by; below zero where heavier.
    pub percent: f64,
}

/// By how much lighter the same panel is in the same state.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PanelLighter {
    /// Which panel.
    pub panel: Id,
    /// The state of both.
    pub state: HardState,
    /// Its mass in the trial, g.
    pub mass_g: f64,
    /// Its mass in the reference, g.
    pub reference_mass_g: f64,
    /// Lighter by; below zero where heavier.
    pub lighter_percent: f64,
}

/// Whose trials a line is drawn through: concretes of two kinds are never put on one line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ConcreteOfLine {
    /// Portland cement, blended or not, with foam.
    #[default]
    PortlandFoamed,
    /// Portland cement without foam.
    PortlandWithoutFoam,
    /// Rapid-setting calcium sulfoaluminate cement with foam.
    RapidFoamed,
    /// The same without foam.
    RapidWithoutFoam,
}

impl ConcreteOfLine {
    /// By its cement and its foam.
    pub const fn of(rapid: bool, foamed: bool) -> Self {
        match (rapid, foamed) {
            (false, true) => Self::PortlandFoamed,
            (false, false) => Self::PortlandWithoutFoam,
            (true, true) => Self::RapidFoamed,
            (true, false) => Self::RapidWithoutFoam,
        }
    }
}

/// The workshop's own line from oven-dry density to strength at one age, ln f = a + b d.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "age_days": 28, "concrete": "portland_foamed",
    "points": [{ "trial": "grey-2-january", "revision": "foamed-grey@2", "oven_dry_density_kg_m3": 747.0, "strength_mpa": 2.9 }],
    "left_out": [{ "trial": "grey-2-february", "why": "no strength at 28 days" }],
    "readings": [], "remark": "trials so far: 1, too few for a line; record 5 or more of one age", "worked": [],
}))]
pub struct DensityStrength {
    /// Age of all strengths, days.
    pub age_days: i64,
    /// Of which concrete.
    pub concrete: ConcreteOfLine,
    /// The trials it is drawn through.
    pub points: Vec<LinePoint>,
    /// Trials of this concrete that are on no line, and why.
    pub left_out: Vec<LeftOut>,
    /// Strengths read off the line, at the density asked for or over the densities tried; none where there is no line.
    pub readings: Vec<LineReading>,
    /// Why there is no line, or no reading; null where there is.
    pub remark: Option<String>,
    /// How the line and its readings came about.
    pub worked: Vec<WorkedLine>,
}

/// A trial on the line.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LinePoint {
    /// Which trial.
    pub trial: Id,
    /// Of which revision.
    pub revision: RevisionText,
    /// Mean oven-dry density.
    pub oven_dry_density_kg_m3: f64,
    /// Mean strength at the age.
    pub strength_mpa: f64,
}

/// A trial that is on no line.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LeftOut {
    /// Which trial.
    pub trial: Id,
    /// Why.
    pub why: String,
}

/// A strength read off the line, with the interval in which nine new trials of ten fall.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LineReading {
    /// At which density.
    pub oven_dry_density_kg_m3: f64,
    /// Lower end.
    pub strength_low_mpa: f64,
    /// Middle (the median).
    pub strength_mpa: f64,
    /// Upper end.
    pub strength_high_mpa: f64,
}
