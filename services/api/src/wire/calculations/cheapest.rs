//! Forms of the cheapest proportions within limits.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::recipe::IngredientKind;
use crate::wire::proportions::{Proportions, WorkedLine};

/// Materials that may go in, at today's prices, and the limits their mix must keep. A limit is written as `exactly`, or as
/// `least` and `most`, either or both.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "materials": [
        { "material": "water", "kind": "water" },
        { "material": "cement", "kind": "portland_cement", "price": { "minor": 749, "pack": "25 kg" } },
        { "material": "sand", "kind": "aggregate", "relative_density": 2.65, "price": { "minor": 320, "pack": "25 kg" }, "most": "600 kg/m³" },
        { "material": "ar-fibre", "kind": "fibre", "relative_density": 2.7, "price": { "minor": 5200, "pack": "20 kg" }, "exactly": "4 kg/m³" },
    ],
    "foam": { "density": "50 g/L", "water_counted": false, "dilution": 25.0, "concentrate_relative_density": 1.02, "price": { "minor": 6900, "pack": "20 L" } },
    "wet_density": { "exactly": "960 kg/m³" }, "water_cement": { "least": 0.45, "most": 0.55 }, "cement": { "least": "300 kg/m³" },
}))]
pub struct AskedCheapest {
    /// What may go in, in mixing order; without a least a material may also stay out.
    #[schema(min_items = 2, max_items = 30)]
    pub materials: Vec<WrittenChoice>,
    /// Preformed foam that may go in.
    pub foam: Option<WrittenFoamChoice>,
    /// Entrapped or entrained air that is not the foam's, per cent of the concrete.
    #[schema(minimum = 0, maximum = 30)]
    #[serde(default)]
    pub air_percent: f64,
    /// Wet density.
    pub wet_density: Option<WrittenBand>,
    /// Oven-dry density by the 1.2 · C rule; not with rapid-setting cement.
    pub oven_dry_density: Option<WrittenBand>,
    /// Water over cement, the foam's water counted as the foam says.
    pub water_cement: Option<RatioBand>,
    /// Water over cementitious material, likewise.
    pub water_cementitious: Option<RatioBand>,
    /// Cement of all kinds, kilograms in a cubic metre.
    pub cement: Option<WrittenBand>,
}

/// A limit in writing.
#[derive(Clone, Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenBand {
    /// Just this; then neither of the others.
    #[schema(max_length = 40)]
    pub exactly: Option<String>,
    /// Not below this.
    #[schema(max_length = 40)]
    pub least: Option<String>,
    /// Not above this.
    #[schema(max_length = 40)]
    pub most: Option<String>,
}

/// A limit on a ratio.
#[derive(Clone, Debug, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RatioBand {
    /// Just this; then neither of the others.
    #[schema(minimum = 0, maximum = 10)]
    pub exactly: Option<f64>,
    /// Not below this.
    #[schema(minimum = 0, maximum = 10)]
    pub least: Option<f64>,
    /// Not above this.
    #[schema(minimum = 0, maximum = 10)]
    pub most: Option<f64>,
}

/// What a pack costs.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenPrice {
    /// Price of a pack, minor units.
    #[schema(minimum = 0, maximum = 1000000000)]
    pub minor: i64,
    /// What a pack holds, a mass or a volume, as "25 kg" or "20 L".
    #[schema(min_length = 1, max_length = 40)]
    pub pack: String,
}

/// A material that may go in.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenChoice {
    /// The material: an id of the catalogue, or any name where kind and relative density are given here.
    #[schema(min_length = 1, max_length = 60)]
    pub material: String,
    /// What it is to the mix; the catalogue's where none is given.
    pub kind: Option<IngredientKind>,
    /// Relative density as weighed; the catalogue's where none is given, 1 for water, 3.15 for Portland cement.
    #[schema(minimum = 0.01, maximum = 10)]
    pub relative_density: Option<f64>,
    /// Its price; the catalogue's where none is given. Water that has none costs nothing.
    pub price: Option<WrittenPrice>,
    /// Just so much of it, as "4 kg/m³", "7 lb/yd³", "3 % of cementitious", "0.5 % of mix" or "650 ml per 100 kg".
    #[schema(max_length = 60)]
    pub exactly: Option<String>,
    /// At least so much of it, likewise.
    #[schema(max_length = 60)]
    pub least: Option<String>,
    /// At most so much of it, likewise.
    #[schema(max_length = 60)]
    pub most: Option<String>,
    /// Share of a blended cement that is Portland, per cent by mass.
    #[schema(minimum = 0, maximum = 100)]
    pub portland_percent: Option<f64>,
    /// Share of its mass that is water which wets the cement (liquid colour, admixture), per cent.
    #[schema(minimum = 0, maximum = 100)]
    #[serde(default)]
    pub water_percent: f64,
    /// Water held inside an aggregate's grains over its dry mass, per cent; 0 where it is weighed surface-dry.
    #[schema(minimum = 0, maximum = 100)]
    #[serde(default)]
    pub absorption_percent: f64,
    /// Dose beyond which this pigment gives no more colour, per cent of cementitious material.
    #[schema(minimum = 0, maximum = 100)]
    pub saturation_percent: Option<f64>,
}

/// Preformed foam that may go in.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenFoamChoice {
    /// Density of the foam, as "50 g/L" or "3 lb/ft³".
    #[schema(min_length = 1, max_length = 40)]
    pub density: String,
    /// Whether the water/cement ratio counts the foam's water.
    pub water_counted: bool,
    /// Parts of water to one of concentrate, by volume.
    #[schema(minimum = 1, maximum = 200)]
    pub dilution: f64,
    /// Relative density of the concentrate.
    #[schema(minimum = 0.5, maximum = 2)]
    pub concentrate_relative_density: Option<f64>,
    /// The concentrate in the catalogue, for its price and relative density.
    #[schema(max_length = 60)]
    pub concentrate: Option<String>,
    /// Or its price.
    pub price: Option<WrittenPrice>,
    /// Least foam, per cent of the concrete's volume.
    #[schema(minimum = 0, maximum = 100)]
    pub least_percent: Option<f64>,
    /// Most foam, per cent of the concrete's volume.
    #[schema(minimum = 0, maximum = 100)]
    pub most_percent: Option<f64>,
}

/// The cheapest mix, or why there is none.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CheapestFound {
    /// The cheapest mix; null where no mix keeps all limits.
    pub mix: Option<CheapestMix>,
    /// Which limits exclude each other; null where there is a mix.
    pub conflict: Option<LimitConflict>,
    /// How the cost and the limited measures came about.
    pub worked: Vec<WorkedLine>,
}

/// The cheapest mix within the limits.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CheapestMix {
    /// Material cost of a cubic metre, minor units.
    pub cost_minor_m3: f64,
    /// What each part has in it, in mixing order, foam last.
    pub parts: Vec<PartOfCost>,
    /// The limits that hold the cost up, those whose relaxing saves most first.
    pub binding: Vec<BindingLimit>,
    /// The mix worked out.
    pub proportions: Proportions,
}

/// A part of the cost.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PartOfCost {
    /// The material, or foam.
    pub material: String,
    /// Its mass in a cubic metre.
    pub content_kg_m3: f64,
    /// Its price, minor units to the kilogram.
    pub price_minor_kg: f64,
    /// Its cost in a cubic metre, minor units.
    pub cost_minor_m3: f64,
}

/// A limit that the cheapest mix just keeps, and what relaxing it by a step would save.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BindingLimit {
    /// The limit in words, as "at least 300 kg/m³ of cement".
    pub limit: String,
    /// Its number.
    pub value: f64,
    /// The unit of its number; empty for a ratio.
    pub unit: String,
    /// The number it was relaxed to; null for the ceiling on pigments, which stays.
    pub relaxed_to: Option<f64>,
    /// What a cubic metre then costs, minor units.
    pub relaxed_cost_minor_m3: Option<f64>,
    /// How much less that is, minor units.
    pub saves_minor_m3: Option<f64>,
    /// All of this in a sentence.
    pub sentence: String,
}

/// Limits that cannot be met together.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LimitConflict {
    /// In a sentence, with what could be met instead.
    pub sentence: String,
    /// The limits; leaving out any one makes room for the rest of them.
    pub limits: Vec<LimitInConflict>,
}

/// A limit of a conflict, and how near it could be met.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LimitInConflict {
    /// The limit in words.
    pub limit: String,
    /// Its number.
    pub value: f64,
    /// The unit of its number; empty for a ratio.
    pub unit: String,
    /// The nearest number that a mix can have which keeps all other limits; null where there is no such mix either.
    pub nearest: Option<f64>,
}
