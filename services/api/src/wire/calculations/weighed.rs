//! Forms about what the scale says: foam against its band before use, fresh concrete against its mix.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::mixer::WeighedMeasure;
use super::recipe::{self, WrittenRecipe};
use crate::wire::basics::RevisionText;
use crate::wire::proportions::WorkedLine;

/// Foam to be checked before it goes in, and the generator's output where foam was caught by the clock.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "weighed": { "full": "1.412 kg", "empty": "0.9 kg", "holds": "10 L" }, "caught": "30 L", "caught_in_seconds": 40.0,
}))]
pub struct AskedFoamCheck {
    /// Density measured, as "51 g/L".
    #[schema(max_length = 40)]
    pub measured_density: Option<String>,
    /// Or the measure it is found with.
    pub weighed: Option<WeighedMeasure>,
    /// Least density of foam that is used; 32 g/L where none is given.
    #[schema(max_length = 40)]
    pub least_density: Option<String>,
    /// Most density of foam that is used; 64.1 g/L where none is given.
    #[schema(max_length = 40)]
    pub most_density: Option<String>,
    /// Foam caught from the generator, with the seconds it took.
    #[schema(max_length = 40)]
    pub caught: Option<String>,
    /// The seconds.
    #[schema(minimum = 0.1, maximum = 86400)]
    pub caught_in_seconds: Option<f64>,
}

/// Whether foam may be used.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FoamCheck {
    /// Its density.
    pub density_kg_m3: f64,
    /// Whether it is within its band.
    pub may_be_used: bool,
    /// What is wrong with it and what to do; null where nothing is.
    pub refused: Option<String>,
    /// What the generator gives; null where no foam was caught by the clock.
    pub generator_l_per_minute: Option<f64>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// Fresh concrete weighed, held against its mix.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "recipe": recipe::gravel(),
    "weighed": { "full": "19.47 kg", "empty": "2.9 kg", "holds": "7 L" }, "designed": "24 L", "batched": "56.7 kg",
}))]
pub struct AskedFreshTest {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
    /// Wet density measured.
    #[schema(max_length = 40)]
    pub measured_wet_density: Option<String>,
    /// Or the measure it is found with.
    pub weighed: Option<WeighedMeasure>,
    /// Volume the load was meant to give.
    #[schema(min_length = 1, max_length = 40)]
    pub designed: String,
    /// All that really went in; what the mix asks for the volume where none is given.
    #[schema(max_length = 40)]
    pub batched: Option<String>,
}

/// What the scale says of fresh concrete.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FreshTest {
    /// Wet density measured.
    pub measured_wet_density_kg_m3: f64,
    /// Wet density of the mix.
    pub wet_density_kg_m3: f64,
    /// Volume the load really gives.
    pub yield_l: f64,
    /// What was made over what was meant.
    pub relative_yield: f64,
    /// Air by weighing, of the foam or not; null where the concrete is denser than it could be.
    pub air_percent: Option<f64>,
    /// Why there is no air by weighing; null where there is.
    pub air_remark: Option<String>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}
