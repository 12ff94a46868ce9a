//! Forms about the mix as such: its proportions, two mixes side by side, its strength.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::recipe::{self, WrittenRecipe};
use crate::wire::basics::RevisionText;
use crate::wire::proportions::{Proportions, WorkedLine};

/// What proportions to work out.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "recipe": {
        "ingredients": [
            { "material": "water", "kind": "water", "amount": "15.5 kg" },
            { "material": "cement", "kind": "portland_cement", "amount": "1.24 x 25 kg" },
            { "material": "ar-fibre", "kind": "fibre", "amount": "0.2 kg", "relative_density": 2.7, "zirconia_percent": 16.5 },
        ],
        "foam": { "density": "50 kg/m³", "water_counted": false, "dilution": 25.0 },
        "wet_density": "960 kg/m³", "wet_density_low": "920 kg/m³", "wet_density_high": "1000 kg/m³",
        "claimed_yield": "50 L",
    },
    "panel": "10.8 L", "from_the_tank_density": "1010 kg/m³", "reference_wet_density": "2364 kg/m³",
}))]
pub struct AskedProportions {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
    /// Density of the foam as weighed today, as "55 g/L": foam and contents are found anew for the same wet density.
    #[schema(max_length = 40)]
    pub foam_density: Option<String>,
    /// Concrete in a panel, as "10.8 L": its masses are worked out.
    #[schema(max_length = 40)]
    pub panel: Option<String>,
    /// Density of the mix from the tank, as a trial found it, for what the panel weighs when it is lifted.
    #[schema(max_length = 40)]
    pub from_the_tank_density: Option<String>,
    /// Air-dry density, as a trial found it; by calculation where none is given and it can be.
    #[schema(max_length = 40)]
    pub air_dry_density: Option<String>,
    /// Fresh density of a reference concrete, to say by how much the mix is lighter.
    #[schema(max_length = 40)]
    pub reference_wet_density: Option<String>,
    /// Oven-dry density of a reference concrete.
    #[schema(max_length = 40)]
    pub reference_oven_dry_density: Option<String>,
}

/// One of two mixes.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedMix {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
}

/// Two mixes to lay side by side.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "first": { "recipe": recipe::foamed() }, "second": { "recipe": recipe::gravel() },
}))]
pub struct AskedComparison {
    /// The one.
    pub first: AskedMix,
    /// The other, the reference.
    pub second: AskedMix,
}

/// Two mixes side by side.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Comparison {
    /// The one.
    pub first: Proportions,
    /// The other, the reference.
    pub second: Proportions,
    /// Every material of either, in the order of the first.
    pub ingredients: Vec<ContentPair>,
    /// By how much the first is lighter, both fresh; negative where heavier.
    pub lighter_wet_percent: f64,
    /// By how much the first is lighter, both oven-dry by calculation.
    pub lighter_oven_dry_percent: Option<f64>,
    /// Material cost of a cubic metre of the first, minor units, foaming concentrate and all; null where the catalogue lacks
    /// a price, or a recipe does not say what its foam is made of.
    pub first_cost_minor_m3: Option<f64>,
    /// Why there is no cost of the first; null where there is one.
    pub first_cost_remark: Option<String>,
    /// The same of the second.
    pub second_cost_minor_m3: Option<f64>,
    /// Why there is none of the second.
    pub second_cost_remark: Option<String>,
    /// By how much the first is cheaper; null where not both costs are known.
    pub cheaper_percent: Option<f64>,
    /// How the differences came about.
    pub worked: Vec<WorkedLine>,
}

/// What a cubic metre of each has of a material.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ContentPair {
    /// Which material.
    pub material: String,
    /// In the first.
    pub first_kg_m3: f64,
    /// In the second.
    pub second_kg_m3: f64,
    /// The first less the second.
    pub difference_kg_m3: f64,
}

/// What strength to estimate.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "recipe": recipe::gravel(),
    "age_days": 7.0,
}))]
pub struct AskedStrength {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
    /// Age at which it is wanted, days.
    #[schema(minimum = 0.1, maximum = 3650)]
    pub age_days: f64,
    /// Whether air is entrained on purpose.
    #[serde(default)]
    pub air_entrained: bool,
    /// Whether the Portland cement is one of high early strength.
    #[serde(default)]
    pub high_early: bool,
}

/// Estimates of strength: never a promise.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct StrengthEstimates {
    /// What published relations say.
    pub estimates: Vec<StrengthEstimate>,
    /// Relations that do not hold for this mix, and why.
    pub refused: Vec<String>,
    /// What an estimate is worth.
    pub caution: String,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// One estimate.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct StrengthEstimate {
    /// By which relation.
    pub relation: String,
    /// The estimate.
    pub strength_mpa: f64,
    /// Where the relation comes from.
    pub source: String,
    /// What speaks against it here.
    pub warnings: Vec<String>,
}
