//! A recipe as people write it down, in any usual form.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use utoipa::ToSchema;

/// What an ingredient is to the mix.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum IngredientKind {
    /// Portland cement.
    PortlandCement,
    /// Portland cement blended with slag, ash or limestone.
    BlendedCement,
    /// Rapid-setting calcium sulfoaluminate cement.
    RapidCement,
    /// Ash, slag or silica fume added at the mixer.
    Addition,
    /// Mixing water.
    Water,
    /// Sand, gravel, crushed stone.
    Aggregate,
    /// Perlite, pumice, expanded clay.
    LightweightAggregate,
    /// Dry or liquid colour.
    Pigment,
    /// Fibre.
    Fibre,
    /// Any other admixture.
    Admixture,
}

/// A recipe for one making of any size. Quantities are written with their unit, metric or US; a unit that could mean two
/// things ("gal", "oz", "ton", "bag", "%") is refused with the choices.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenRecipe {
    /// What goes in, in mixing order, foam apart.
    #[schema(min_items = 1, max_items = 50)]
    pub ingredients: Vec<WrittenIngredient>,
    /// Preformed foam, where there is some.
    pub foam: Option<WrittenFoam>,
    /// Entrapped or entrained air that is not the foam's, per cent of the concrete.
    #[schema(minimum = 0, maximum = 30)]
    #[serde(default)]
    pub air_percent: f64,
    /// Wet density to aim at, as "960 kg/m³" or "60 lb/ft³".
    #[schema(max_length = 40)]
    pub wet_density: Option<String>,
    /// Least wet density that is accepted; 5 % below the aim where none is given.
    #[schema(max_length = 40)]
    pub wet_density_low: Option<String>,
    /// Most wet density that is accepted; 5 % above the aim where none is given.
    #[schema(max_length = 40)]
    pub wet_density_high: Option<String>,
    /// What the making is said to give, as "50 L", to be held against the absolute volumes.
    #[schema(max_length = 40)]
    pub claimed_yield: Option<String>,
}

/// One ingredient as written.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenIngredient {
    /// The material: an id of the catalogue, or any name where kind and relative density are given here.
    #[schema(min_length = 1, max_length = 60)]
    pub material: String,
    /// What it is to the mix; the catalogue's where none is given.
    pub kind: Option<IngredientKind>,
    /// How much: "15 lb", "2 x 25 kg", "350 kg/m³", "590 lb/yd³", "3 parts", "4 ft³" (loose, with a bulk density; else a
    /// liquid), "5 % of cementitious", "2 % of mix", "650 ml per 100 kg". All main ingredients in one way.
    #[schema(min_length = 1, max_length = 60)]
    pub amount: String,
    /// Relative density as weighed; the catalogue's where none is given, 1 for water, 3.15 for Portland cement.
    #[schema(minimum = 0.01, maximum = 10)]
    pub relative_density: Option<f64>,
    /// Bulk density of a loose measure, as "1600 kg/m³" or "94 lb/ft³".
    #[schema(max_length = 40)]
    pub bulk_density: Option<String>,
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
    /// Zirconia in glass fibre, per cent: below 16 the glass is refused.
    #[schema(minimum = 0, maximum = 100)]
    pub zirconia_percent: Option<f64>,
    /// Dose beyond which this pigment gives no more colour, per cent of cementitious material.
    #[schema(minimum = 0, maximum = 100)]
    pub saturation_percent: Option<f64>,
}

/// Preformed foam as written.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenFoam {
    /// Density of the foam, as "50 kg/m³", "50 g/L" or "3 lb/ft³".
    #[schema(min_length = 1, max_length = 40)]
    pub density: String,
    /// How much: a mass or a volume in writing; "rest" for what the other ingredients leave of the claimed yield (of a
    /// cubic metre where none is claimed); as much as the wet density needs where nothing is given.
    #[schema(max_length = 40)]
    pub amount: Option<String>,
    /// Whether the water/cement ratio counts the foam's water: then the water written down is all water.
    pub water_counted: bool,
    /// The foaming concentrate in the catalogue, for its price.
    #[schema(max_length = 60)]
    pub concentrate: Option<String>,
    /// Parts of water to one of concentrate, by volume.
    #[schema(minimum = 1, maximum = 200)]
    pub dilution: Option<f64>,
    /// Relative density of the concentrate.
    #[schema(minimum = 0.5, maximum = 2)]
    #[serde(default = "of_water")]
    pub concentrate_relative_density: f64,
}

fn of_water() -> f64 {
    1.0
}

/// A recipe of foamed concrete for the examples: neat Portland paste at w/c 0.5 with glass fibre, foam filling the rest.
pub fn foamed() -> Value {
    json!({
        "ingredients": [
            { "material": "water", "kind": "water", "amount": "310.5 kg/m³" },
            { "material": "cement", "kind": "portland_cement", "amount": "621 kg/m³" },
            { "material": "ar-fibre", "kind": "fibre", "amount": "4 kg/m³", "relative_density": 2.7 },
        ],
        "foam": {
            "density": "50 kg/m³", "amount": "rest", "water_counted": false, "dilution": 25.0, "concentrate_relative_density": 1.02,
        },
    })
}

/// A recipe of gravel concrete for the examples.
pub fn gravel() -> Value {
    json!({
        "ingredients": [
            { "material": "water", "kind": "water", "amount": "178 kg/m³" },
            { "material": "gravel", "kind": "aggregate", "amount": "960 kg/m³", "relative_density": 2.68 },
            { "material": "sand", "kind": "aggregate", "amount": "845.6 kg/m³", "relative_density": 2.65 },
            { "material": "cement", "kind": "portland_cement", "amount": "380 kg/m³" },
        ],
        "air_percent": 2.0,
    })
}
