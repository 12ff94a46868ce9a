//! Forms of ordinary proportioning: coarse aggregate by its bulk volume, fine aggregate by difference.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::wire::basics::words;
use crate::wire::proportions::WorkedLine;

words!(
    /// Largest grain of a coarse aggregate.
    LargestGrain for mix::fill::Largest {
        /// 3/8 in, about 10 mm.
        ThreeEighthsInch,
        /// 3/4 in, about 20 mm.
        ThreeQuartersInch,
    }
);

/// A volume of concrete and all that goes in but the fine aggregate, which fills what is left.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "concrete": "1 m³",
    "others": [
        { "material": "cement", "mass": "380 kg", "relative_density": 3.15 },
        { "material": "water", "mass": "178 kg", "relative_density": 1.0 },
    ],
    "air_percent": 2.0,
    "coarse": { "largest": "three_quarters_inch", "fineness_modulus": 2.7, "bulk_density": "1560 kg/m³", "relative_density": 2.68 },
    "relative_density": 2.65,
}))]
pub struct AskedFill {
    /// The concrete wanted, as "1 m³" or "1 yd³".
    #[schema(min_length = 1, max_length = 40)]
    pub concrete: String,
    /// What goes in beside the aggregates proportioned here.
    #[schema(min_items = 1, max_items = 30)]
    pub others: Vec<WeighedPart>,
    /// Entrapped or entrained air, per cent of the concrete.
    #[schema(minimum = 0, maximum = 30)]
    #[serde(default)]
    pub air_percent: f64,
    /// Coarse aggregate to be found by its bulk volume; it may also stand among the others.
    pub coarse: Option<CoarseWanted>,
    /// Relative density of the fine aggregate.
    #[schema(minimum = 0.01, maximum = 10)]
    pub relative_density: f64,
}

/// A part of the concrete by its mass.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeighedPart {
    /// Which material.
    #[schema(min_length = 1, max_length = 60)]
    pub material: String,
    /// Its mass in the concrete wanted.
    #[schema(min_length = 1, max_length = 40)]
    pub mass: String,
    /// Its relative density.
    #[schema(minimum = 0.01, maximum = 10)]
    pub relative_density: f64,
}

/// A coarse aggregate, by the share of the concrete that it fills in bulk: from the table or as given.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CoarseWanted {
    /// Its largest grain, for the table; with the fineness modulus.
    pub largest: Option<LargestGrain>,
    /// Fineness modulus of the fine aggregate, 2.4 to 3.
    #[schema(minimum = 0, maximum = 10)]
    pub fineness_modulus: Option<f64>,
    /// Or the share itself, per cent of the concrete's volume.
    #[schema(minimum = 0, maximum = 100)]
    pub share_percent: Option<f64>,
    /// Its dry-rodded bulk density, as "1600 kg/m³" or "100 lb/ft³".
    #[schema(min_length = 1, max_length = 40)]
    pub bulk_density: String,
    /// Its relative density.
    #[schema(minimum = 0.01, maximum = 10)]
    pub relative_density: f64,
}

/// The aggregates of the concrete.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AggregatesFound {
    /// Coarse aggregate; null where none was to be found.
    pub coarse_kg: Option<f64>,
    /// Share of the concrete that it fills in bulk.
    pub coarse_share_percent: Option<f64>,
    /// Room that all others and the air leave.
    pub left_l: f64,
    /// Fine aggregate that fills it.
    pub fine_kg: f64,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}
