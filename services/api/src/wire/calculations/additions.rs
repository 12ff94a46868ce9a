//! Forms about what is added in small doses or by the measure: pigment, fibre, admixture, loose sand.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::wire::basics::words;
use crate::wire::proportions::WorkedLine;

words!(
    /// Iron oxides by colour: beyond its typical saturation more of one gives no more colour.
    OxideColour for mix::pigment::Oxide {
        /// Saturated at 6 % of cement.
        Black,
        /// At 7 %.
        Brown,
        /// At 8 %.
        Red,
        /// At 9 %.
        Yellow,
    }
);

words!(
    /// What a dose of iron oxides looks like on grey cement.
    Shade for mix::pigment::Shade {
        /// Below 1 %: hardly seen.
        Faint,
        /// 1 to 3 %.
        Pastel,
        /// 3 to 5 %.
        Strong,
        /// Above 5 %: little more colour for much more pigment.
        LittleGained,
    }
);

/// Pigments of a load.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "cementitious": "19.5 kg",
    "pigments": [
        { "name": "charcoal, liquid", "percent": 3.5, "oxide": "black", "solids_percent": 50.0 },
        { "name": "umber", "percent": 1.0, "oxide": "brown" },
    ],
}))]
pub struct AskedPigments {
    /// Cement and additions of the load, as "19.5 kg" or "43 lb".
    #[schema(min_length = 1, max_length = 40)]
    pub cementitious: String,
    /// The pigments: together at most 10 % of the cementitious material and not beyond the lowest saturation among them.
    #[schema(min_items = 1, max_items = 20)]
    pub pigments: Vec<WrittenPigment>,
}

/// One pigment.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenPigment {
    /// As people say it.
    #[schema(min_length = 1, max_length = 60)]
    pub name: String,
    /// Dose of solid pigment, per cent of the cementitious material.
    #[schema(minimum = 0, maximum = 100)]
    pub percent: f64,
    /// Which iron oxide, for its typical saturation.
    pub oxide: Option<OxideColour>,
    /// Or its maker's most, per cent of cementitious material.
    #[schema(minimum = 0, maximum = 100)]
    pub saturation_percent: Option<f64>,
    /// Solids of a liquid colour, per cent by mass; 100, dry, where none is given.
    #[schema(minimum = 1, maximum = 100)]
    pub solids_percent: Option<f64>,
}

/// What to weigh of each pigment.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Pigments {
    /// The pigments.
    pub pigments: Vec<WeighPigment>,
    /// Solid pigment of all together, per cent of the cementitious material.
    pub total_percent: f64,
    /// Water that comes with them and counts in w/c.
    pub water_kg: f64,
    /// What all of them look like, where all are iron oxides.
    pub shade: Option<Shade>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// What to weigh of a pigment.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct WeighPigment {
    /// Which.
    pub name: String,
    /// As it comes.
    pub weigh_kg: f64,
    /// The solid pigment in it.
    pub solid_kg: f64,
    /// The water in it.
    pub water_kg: f64,
}

/// What fibre is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FibreKind {
    /// Glass: refused below 16 % zirconia.
    Glass,
    /// Polypropylene, polyvinyl alcohol and the like.
    Synthetic,
    /// Steel.
    Steel,
    /// Basalt.
    Basalt,
}

/// Fibre of a load: by per cent of the whole mix, or by content.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "kind": "glass", "zirconia_percent": 16.5, "percent_of_mix": 0.5, "rest": "29.9 kg" }))]
pub struct AskedFibre {
    /// What it is made of.
    pub kind: FibreKind,
    /// Zirconia of glass, per cent by mass: from the maker's data sheet.
    #[schema(minimum = 0, maximum = 100)]
    pub zirconia_percent: Option<f64>,
    /// Per cent of the whole mix, the fibre included; with the mass of all else.
    #[schema(minimum = 0, maximum = 50)]
    pub percent_of_mix: Option<f64>,
    /// All else that goes in, as "29.9 kg".
    #[schema(max_length = 40)]
    pub rest: Option<String>,
    /// Or its content, kilograms in a cubic metre; with the load.
    #[schema(minimum = 0, maximum = 500)]
    pub content_kg_m3: Option<f64>,
    /// The load, as "31.5 L".
    #[schema(max_length = 40)]
    pub load: Option<String>,
}

/// What to weigh of a fibre.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FibreOfLoad {
    /// Its mass.
    pub mass_kg: f64,
    /// How the figure came about.
    pub worked: Vec<WorkedLine>,
}

/// An admixture dosed in millilitres to 100 kg of cementitious material.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "cementitious": "19.5 kg", "ml_per_100_kg": 650.0, "relative_density": 1.08 }))]
pub struct AskedAdmixture {
    /// Cement and additions of the load.
    #[schema(min_length = 1, max_length = 40)]
    pub cementitious: String,
    /// The dose.
    #[schema(minimum = 0, maximum = 10000)]
    pub ml_per_100_kg: f64,
    /// Its relative density, to weigh it.
    #[schema(minimum = 0.5, maximum = 3)]
    pub relative_density: Option<f64>,
}

/// What to measure of an admixture.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct AdmixtureOfLoad {
    /// Its volume.
    pub volume_ml: f64,
    /// Its mass; null where its relative density is not given.
    pub mass_kg: Option<f64>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// Moist sand measured by volume: bulking makes a measure of it hold less sand.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "loose": "20 L", "dry_bulk_density": "1600 kg/m³", "bulking_percent": 25.0 }))]
pub struct AskedLooseSand {
    /// The measure, as "20 L" or "1 ft³".
    #[schema(min_length = 1, max_length = 40)]
    pub loose: String,
    /// Bulk density of the dry sand.
    #[schema(min_length = 1, max_length = 40)]
    pub dry_bulk_density: String,
    /// By how much the moist sand takes more room than the dry, per cent.
    #[schema(minimum = 0, maximum = 100)]
    pub bulking_percent: f64,
}

/// Sand in a loose measure.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct LooseSand {
    /// Dry sand in it.
    pub dry_kg: f64,
    /// Dry sand that would be in it if it were dry.
    pub unbulked_kg: f64,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}
