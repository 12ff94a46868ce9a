//! Forms of a load weighed at the mixer and at the mould.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::recipe::WrittenRecipe;
use crate::wire::basics::{RevisionText, words};
use crate::wire::proportions::WorkedLine;

/// A measure weighed full and empty.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeighedMeasure {
    /// Full, as "1.02 kg".
    #[schema(min_length = 1, max_length = 40)]
    pub full: String,
    /// Empty and clean.
    #[schema(min_length = 1, max_length = 40)]
    pub empty: String,
    /// What it holds, as "1 L".
    #[schema(min_length = 1, max_length = 40)]
    pub holds: String,
}

/// A load as measured, and what it may be.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "wet_density": "960 kg/m³", "wet_density_low": "920 kg/m³", "wet_density_high": "1000 kg/m³",
    "slurry_density": "1838 kg/m³", "foam_density": "50 g/L",
    "measured_wet_density": "1042 kg/m³", "volume": "29 L", "minutes_since_foaming": 4.0, "mixer_most": "36 L",
    "generator_l_per_minute": 45.0, "panel": "10.8 L",
}))]
pub struct AskedCorrection {
    /// A revision on record, for what is not given below.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out, for what is not given below.
    pub recipe: Option<WrittenRecipe>,
    /// Wet density aimed at.
    #[schema(max_length = 40)]
    pub wet_density: Option<String>,
    /// Least that is accepted.
    #[schema(max_length = 40)]
    pub wet_density_low: Option<String>,
    /// Most that is accepted.
    #[schema(max_length = 40)]
    pub wet_density_high: Option<String>,
    /// Density of the slurry without foam.
    #[schema(max_length = 40)]
    pub slurry_density: Option<String>,
    /// Density of the foam at hand.
    #[schema(max_length = 40)]
    pub foam_density: Option<String>,
    /// Wet density measured at the mixer.
    #[schema(max_length = 40)]
    pub measured_wet_density: Option<String>,
    /// Or the measure it was found with.
    pub weighed: Option<WeighedMeasure>,
    /// Volume of the load.
    #[schema(min_length = 1, max_length = 40)]
    pub volume: String,
    /// Minutes since the foam went in.
    #[schema(minimum = 0, maximum = 1440)]
    pub minutes_since_foaming: f64,
    /// Most minutes from foaming within which it may still be corrected and poured; 30 where none is given.
    #[schema(minimum = 1, maximum = 1440)]
    pub most_minutes: Option<f64>,
    /// Most the mixer holds in work.
    #[schema(min_length = 1, max_length = 40)]
    pub mixer_most: String,
    /// What the foam generator gives, litres a minute.
    #[schema(minimum = 0.001, maximum = 100000)]
    pub generator_l_per_minute: Option<f64>,
    /// Concrete in a panel: how many the load fills is worked out.
    #[schema(max_length = 40)]
    pub panel: Option<String>,
    /// Wet density weighed again at the mould, where it was.
    #[schema(max_length = 40)]
    pub wet_density_at_mould: Option<String>,
}

words!(
    /// What to do with a load.
    LoadAnswer for workshop::corrections::LoadAnswer {
        /// Pour it.
        Accept,
        /// Fold in foam, weigh again.
        AddFoam,
        /// Mix in slurry without foam, weigh again.
        AddSlurry,
        /// Do not pour it.
        Reject,
    }
);

/// What to do with a load at the mixer, and at the mould where it was weighed there.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Correction {
    /// What to do.
    pub answer: LoadAnswer,
    /// The same in a sentence.
    pub sentence: String,
    /// Wet density measured at the mixer.
    pub measured_wet_density_kg_m3: f64,
    /// Foam or slurry to add.
    pub add_l: Option<f64>,
    /// Its mass.
    pub add_kg: Option<f64>,
    /// Seconds of the generator, for foam.
    pub generator_seconds: Option<f64>,
    /// The load after it.
    pub volume_l: f64,
    /// Whole panels the load then fills.
    pub panels: Option<i64>,
    /// Whether it was right at the mould.
    pub at_mould: Option<AtMould>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// A load weighed again at the mould.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AtMould {
    /// Accept or reject.
    pub answer: LoadAnswer,
    /// The same in a sentence.
    pub sentence: String,
    /// Wet density over that at the mixer.
    pub rise_percent: f64,
}
