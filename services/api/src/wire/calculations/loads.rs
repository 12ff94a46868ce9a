//! Forms about loads: batch sheets, foam, whole bags, the fill mark in a pail, moist aggregates.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::recipe::{self, WrittenRecipe};
use crate::wire::basics::{RevisionText, words};
use crate::wire::proportions::{BatchSheet, WorkedLine};

/// Which loads to weigh out.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "recipe": recipe::foamed(),
    "load": "64.8 L", "mixer_most": "36 L", "mixer_least": "8 L", "washout": "1.2 L", "scale_step_g": 10,
}))]
pub struct AskedBatch {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
    /// Concrete wanted, as "64.8 L" or "2.3 ft³".
    #[schema(min_length = 1, max_length = 40)]
    pub load: String,
    /// Most the mixer holds in work; one load of everything where none is given.
    #[schema(max_length = 40)]
    pub mixer_most: Option<String>,
    /// Or the mixer to its brim, with the share of it that is usable (a drum's tilt, a pail's splash).
    #[schema(max_length = 40)]
    pub mixer_brim: Option<String>,
    /// That share, per cent.
    #[schema(minimum = 1, maximum = 100)]
    pub mixer_usable_percent: Option<f64>,
    /// Least it mixes properly.
    #[schema(max_length = 40)]
    pub mixer_least: Option<String>,
    /// Minutes a load can be worked, for rapid-setting mixes: a load is then of whole panels that can be placed in time.
    #[schema(minimum = 0, maximum = 1440)]
    pub pot_life_minutes: Option<f64>,
    /// Minutes of them that mixing takes; 0 where none is given.
    #[schema(minimum = 0, maximum = 1440)]
    pub mixing_minutes: Option<f64>,
    /// Minutes to place a panel; with the pot life.
    #[schema(minimum = 0, maximum = 1440)]
    pub minutes_per_panel: Option<f64>,
    /// Concrete in a panel; with the pot life.
    #[schema(max_length = 40)]
    pub panel: Option<String>,
    /// Mixed on top of the last load, for what the washout loses.
    #[schema(max_length = 40)]
    pub washout: Option<String>,
    /// Step of the scale, grams; the workshop's where none is given, else 1.
    #[schema(minimum = 1, maximum = 10000)]
    pub scale_step_g: Option<i64>,
    /// Density of the foam as weighed today.
    #[schema(max_length = 40)]
    pub foam_density: Option<String>,
    /// Moisture of aggregates as tested today.
    #[schema(max_items = 20)]
    #[serde(default)]
    pub moisture: Vec<MoistureToday>,
}

/// An aggregate's moisture today.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MoistureToday {
    /// The aggregate, as the recipe names it.
    #[schema(min_length = 1, max_length = 60)]
    pub material: String,
    /// All water in it over its dry mass, per cent.
    #[schema(minimum = 0, maximum = 200)]
    pub percent: f64,
}

/// Equal loads and their sheets.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BatchSheets {
    /// Loads.
    pub count: i64,
    /// Litres of each, the last one's washout apart.
    pub each_l: f64,
    /// Litres beyond those wanted, because no load may be smaller.
    pub spare_l: f64,
    /// Least mass the scale weighs within 3 %, g.
    pub least_weighable_g: f64,
    /// The sheet of each load but the last; null where there is one load only.
    pub sheet: Option<BatchSheet>,
    /// The sheet of the last load, washout and all.
    pub last_sheet: BatchSheet,
    /// How the loads came about.
    pub worked: Vec<WorkedLine>,
}

/// What foam to work out: for a wet density, or from an amount of it, as the recipe says.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "recipe": recipe::foamed(),
    "load": "31.5 L", "measured_density": "52 g/L", "generator_l_per_minute": 45.0,
}))]
pub struct AskedFoam {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out: with a wet density and no amount of foam, the foam is found; with an amount, the wet density.
    pub recipe: Option<WrittenRecipe>,
    /// The load.
    #[schema(min_length = 1, max_length = 40)]
    pub load: String,
    /// Density of the foam as weighed today: foam and contents are found anew for the same wet density.
    #[schema(max_length = 40)]
    pub measured_density: Option<String>,
    /// What the generator gives, measured today: litres of foam caught, over minutes.
    #[schema(minimum = 0.001, maximum = 100000)]
    pub generator_l_per_minute: Option<f64>,
    /// Least density of foam that is used; 32 g/L where none is given.
    #[schema(max_length = 40)]
    pub least_density: Option<String>,
    /// Most density of foam that is used; 64.1 g/L where none is given.
    #[schema(max_length = 40)]
    pub most_density: Option<String>,
}

/// The foam of a load.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FoamOfLoad {
    /// Volume of foam.
    pub volume_l: f64,
    /// Its mass.
    pub mass_kg: f64,
    /// Its density.
    pub density_kg_m3: f64,
    /// Its share of the concrete.
    pub share_percent: f64,
    /// Foaming concentrate for its solution; null where the dilution is not known.
    pub concentrate_ml: Option<f64>,
    /// Water for its solution.
    pub solution_water_kg: f64,
    /// Seconds the generator runs.
    pub generator_seconds: Option<f64>,
    /// Wet density of the mix with it.
    pub wet_density_kg_m3: f64,
    /// Whether foam of this density may be used; null where it may.
    pub refused: Option<String>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// Whole bags of which material.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "recipe": recipe::foamed(),
    "material": "cement", "bag": "25 kg", "load": "64.8 L",
}))]
pub struct AskedBags {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
    /// The material that comes in bags, as the recipe names it.
    #[schema(min_length = 1, max_length = 60)]
    pub material: String,
    /// A bag, as "25 kg" or "94 lb".
    #[schema(min_length = 1, max_length = 40)]
    pub bag: String,
    /// The load wanted.
    #[schema(min_length = 1, max_length = 40)]
    pub load: String,
}

/// Loads of whole bags around the one wanted.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct BagChoices {
    /// What the load wanted needs.
    pub needed_kg: f64,
    /// What it leaves in the last opened bag; 0 where whole bags make the load.
    pub left_over_kg: f64,
    /// Where that can go, in a sentence; null where nothing is left.
    pub left_over_goes: Option<String>,
    /// The largest load of whole bags not above the one wanted; null where one bag already is.
    pub below: Option<LoadOfBags>,
    /// The smallest not below it.
    pub above: LoadOfBags,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// A load of whole bags.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LoadOfBags {
    /// Bags.
    pub bags: i64,
    /// Litres they make.
    pub volume_l: f64,
    /// Litres beyond the load wanted, for more panels or small pieces; 0 where there are none.
    pub spare_l: f64,
}

/// A pail by its inside measures, and either a volume or a mark.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "bottom_diameter": "285 mm", "top_diameter": "330 mm", "height": "400 mm", "volume": "18 L" }))]
pub struct AskedFillMark {
    /// Inside diameter at the bottom, as "285 mm" or "11.25 in".
    #[schema(min_length = 1, max_length = 40)]
    pub bottom_diameter: String,
    /// Inside diameter at the height measured.
    #[schema(min_length = 1, max_length = 40)]
    pub top_diameter: String,
    /// Inside height.
    #[schema(min_length = 1, max_length = 40)]
    pub height: String,
    /// A volume, for which the mark is wanted.
    #[schema(max_length = 40)]
    pub volume: Option<String>,
    /// Or a mark above the bottom, for which the volume is wanted.
    #[schema(max_length = 40)]
    pub mark: Option<String>,
}

/// A mark and what the pail holds up to it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FillMark {
    /// Above the bottom, inside.
    pub mark_mm: f64,
    /// Up to it.
    pub volume_l: f64,
    /// Up to the height measured.
    pub brim_l: f64,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

words!(
    /// How an aggregate's mass is meant.
    MoistureBasis for mix::moisture::Basis {
        /// Dry in the oven.
        OvenDry,
        /// Grains full, surface dry.
        SaturatedSurfaceDry,
    }
);

/// Moist aggregates of a load.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "mixing_water": "178 kg",
    "aggregates": [
        { "material": "gravel", "mass": "960 kg", "basis": "saturated_surface_dry", "moisture_percent": 1.5, "absorption_percent": 0.8 },
        { "material": "sand", "mass": "845.6 kg", "basis": "saturated_surface_dry", "free_surface_percent": 4.0 },
    ],
}))]
pub struct AskedMoisture {
    /// Mixing water the recipe asks for.
    #[schema(min_length = 1, max_length = 40)]
    pub mixing_water: String,
    /// The aggregates.
    #[schema(min_items = 1, max_items = 20)]
    pub aggregates: Vec<MoistAggregate>,
}

/// An aggregate and how wet it is: all water with its absorption, or the free water on its surface.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MoistAggregate {
    /// Which material.
    #[schema(min_length = 1, max_length = 60)]
    pub material: String,
    /// The recipe's mass.
    #[schema(min_length = 1, max_length = 40)]
    pub mass: String,
    /// How that mass is meant.
    pub basis: MoistureBasis,
    /// All water over its dry mass, per cent.
    #[schema(minimum = 0, maximum = 200)]
    pub moisture_percent: Option<f64>,
    /// Water its grains hold over its dry mass, per cent; with the above.
    #[schema(minimum = 0, maximum = 100)]
    pub absorption_percent: Option<f64>,
    /// Or free water on its surface over its surface-dry mass, per cent.
    #[schema(minimum = 0, maximum = 200)]
    pub free_surface_percent: Option<f64>,
}

/// What to weigh of moist aggregates, and the water left to add.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Moistures {
    /// The aggregates.
    pub aggregates: Vec<WeighMoist>,
    /// Mixing water to add.
    pub water_to_add_kg: f64,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// What to weigh of a moist aggregate.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WeighMoist {
    /// Which material.
    pub material: String,
    /// As it lies.
    pub weigh_kg: f64,
    /// Free water it brings; below zero where its dry grains drink from the mixing water.
    pub free_water_kg: f64,
}
