//! Forms of what a scale can tell apart and how far a mass may be out.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::recipe::IngredientKind;
use crate::wire::proportions::WorkedLine;

/// A mass to be weighed on a scale.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "capacity": "50 kg", "scale_step_g": 20, "kind": "portland_cement", "mass": "10.09 kg" }))]
pub struct AskedScale {
    /// Most the scale weighs.
    #[schema(min_length = 1, max_length = 40)]
    pub capacity: String,
    /// Its step, grams; the workshop's where none is given, else 1.
    #[schema(minimum = 1, maximum = 10000)]
    pub scale_step_g: Option<i64>,
    /// What is weighed.
    pub kind: IngredientKind,
    /// How much of it.
    #[schema(min_length = 1, max_length = 40)]
    pub mass: String,
    /// Of an addition, pigment or fibre: its share of the cement, per cent. Up to 5 % it may be further out.
    #[schema(minimum = 0, maximum = 100)]
    pub of_cement_percent: Option<f64>,
    /// Of mixing water: all of it, with what the aggregates bring; the water weighed where none is given.
    #[schema(max_length = 40)]
    pub all_water: Option<String>,
}

/// What a scale can tell apart, and how far the mass may be out.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ScaleCheck {
    /// Accuracy asked of the scale at this mass.
    pub accuracy_g: f64,
    /// Whether its steps are fine enough for its capacity.
    pub fine_enough: bool,
    /// Least mass whose rounding to the scale's step stays within the tolerance of EN 206.
    pub least_weighable_g: f64,
    /// Whether this mass is that much.
    pub weighable: bool,
    /// How far it may be out, by each rule that speaks of it.
    pub bands: Vec<MassBand>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// Least and most that a mass may be.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct MassBand {
    /// The rule in words.
    pub rule: String,
    /// Least.
    pub least_kg: f64,
    /// Most.
    pub most_kg: f64,
    /// Where the rule comes from.
    pub source: String,
}
