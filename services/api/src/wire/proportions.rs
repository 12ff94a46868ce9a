//! Forms of what the mix library works out: proportions and batch sheets.

use serde::Serialize;
use utoipa::ToSchema;

use super::basics::RevisionText;

/// A mix at its own yield, worked out.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "revision": "foamed-grey@2",
    "ingredients": [{ "material": "cement", "content_kg_m3": 621.0, "volume_l_m3": 197.1 }],
    "foam": { "volume_l_m3": 491.0, "content_kg_m3": 24.5, "density_kg_m3": 50.0, "concentrate_ml_m3": 907.0, "water_kg_m3": 23.6 },
    "yield_l": 1000.0, "claimed_yield_l": 1000.0, "yield_difference_percent": 0.0, "air_percent": 46.6,
    "wet_density_kg_m3": 960.1, "slurry_density_kg_m3": 1838.2, "oven_dry_density_kg_m3": 749.2, "oven_dry_remark": null,
    "equilibrium_density_kg_m3": null, "equilibrium_remark": "oven-dry + 50 kg/m³ holds for structural lightweight concrete, not for foamed concrete; weigh an air-dry specimen of a trial and record its density",
    "water_cement": 0.5, "water_cement_with_foam": 0.539, "water_cementitious": 0.5, "water_cementitious_with_foam": 0.539,
    "foam_water_counted": false, "panel": null, "lighter_wet_percent": null, "lighter_oven_dry_percent": null, "remarks": [],
    "worked": [{ "what": "wet density", "formula": "D = Σ M + ρf Vf, in one cubic metre", "numbers": "935.5 + 24.5", "result": 960.0, "unit": "kg/m³", "source": "mass and volume balance" }],
}))]
pub struct Proportions {
    /// Which revision, where it is one on record.
    pub revision: Option<RevisionText>,
    /// What goes in, in mixing order, foam apart.
    pub ingredients: Vec<Content>,
    /// The foam.
    pub foam: Option<FoamContent>,
    /// What the making as written really gives, by absolute volumes; a revision's is written for 1000 L.
    pub yield_l: f64,
    /// What the making is said to give.
    pub claimed_yield_l: Option<f64>,
    /// The absolute volumes' yield less the claim, per cent of the claim.
    pub yield_difference_percent: Option<f64>,
    /// All air over the volume of the concrete.
    pub air_percent: f64,
    /// Wet (fresh) density by calculation.
    pub wet_density_kg_m3: f64,
    /// Fresh density before the foam goes in.
    pub slurry_density_kg_m3: Option<f64>,
    /// Oven-dry density by calculation; null where the rule does not hold.
    pub oven_dry_density_kg_m3: Option<f64>,
    /// Why there is no oven-dry density, where there is none.
    pub oven_dry_remark: Option<String>,
    /// Equilibrium (air-dry) density by calculation; structural lightweight concrete only.
    pub equilibrium_density_kg_m3: Option<f64>,
    /// Why there is no equilibrium density, where there is none.
    pub equilibrium_remark: Option<String>,
    /// Water/cement without the foam's water; null where there is no cement.
    pub water_cement: Option<f64>,
    /// Water/cement with the foam's water.
    pub water_cement_with_foam: Option<f64>,
    /// Water/cementitious without the foam's water.
    pub water_cementitious: Option<f64>,
    /// Water/cementitious with the foam's water.
    pub water_cementitious_with_foam: Option<f64>,
    /// Which of the two the mix means: whether it counts the foam's water.
    pub foam_water_counted: bool,
    /// Masses of a panel of the volume asked for, by calculation.
    pub panel: Option<PanelMasses>,
    /// By how much it is lighter than the reference concrete, both fresh.
    pub lighter_wet_percent: Option<f64>,
    /// By how much it is lighter than the reference concrete, both oven-dry.
    pub lighter_oven_dry_percent: Option<f64>,
    /// What to keep in mind about these figures.
    pub remarks: Vec<String>,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// An ingredient in a cubic metre.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Content {
    /// Which material.
    pub material: String,
    /// Its mass.
    pub content_kg_m3: f64,
    /// Its absolute volume.
    pub volume_l_m3: f64,
}

/// Foam in a cubic metre.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct FoamContent {
    /// Its volume.
    pub volume_l_m3: f64,
    /// Its mass.
    pub content_kg_m3: f64,
    /// The density of the foam itself.
    pub density_kg_m3: f64,
    /// Foaming concentrate in it.
    pub concentrate_ml_m3: f64,
    /// Water in it.
    pub water_kg_m3: f64,
}

/// A panel's masses, each in its state: by calculation, or by the density a trial found. From the tank only a trial can say.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct PanelMasses {
    /// Concrete in it.
    pub volume_l: f64,
    /// As poured.
    pub fresh_kg: f64,
    /// As it is lifted from the tank, where its density is given.
    pub from_the_tank_kg: Option<f64>,
    /// At equilibrium with the air, where that can be calculated or its density is given.
    pub air_dry_kg: Option<f64>,
    /// Oven-dry, where that can be calculated.
    pub oven_dry_kg: Option<f64>,
}

/// One step of a calculation.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct WorkedLine {
    /// What is found.
    pub what: String,
    /// The formula.
    pub formula: String,
    /// The formula with its numbers.
    pub numbers: String,
    /// The result, in `unit`.
    pub result: f64,
    /// The unit; empty for a ratio.
    pub unit: String,
    /// Where the formula comes from.
    pub source: String,
}

impl From<mix::Worked> for WorkedLine {
    fn from(w: mix::Worked) -> Self {
        Self {
            what: w.what,
            formula: w.formula.to_owned(),
            numbers: w.numbers,
            result: w.result,
            unit: w.unit.to_owned(),
            source: w.source.cite().to_owned(),
        }
    }
}

/// What to weigh for one load.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "revision": "foamed-grey@2", "volume_l": 31.5,
    "lines": [{ "material": "cement", "exact_g": 19561.5, "mass_g": 19560 }],
    "foam": { "volume_l": 15.467, "mass_g": 773, "density_kg_m3": 50.0, "concentrate_ml": 29, "water_g": 744 },
    "wet_density_kg_m3": 960.1, "remarks": [],
    "worked": [{ "what": "mass of cement", "formula": "m = content · load, to the scale's step, a half upwards", "numbers": "621.00 kg/m³ · 0.0315 m³ = 19561.5 g", "result": 19560.0, "unit": "g", "source": "definition" }],
}))]
pub struct BatchSheet {
    /// Which revision, where it is one on record.
    pub revision: Option<RevisionText>,
    /// The load.
    pub volume_l: f64,
    /// Ingredients in mixing order; foam goes in last.
    pub lines: Vec<SheetLine>,
    /// The foam.
    pub foam: Option<SheetFoam>,
    /// Wet (fresh) density by calculation.
    pub wet_density_kg_m3: f64,
    /// What the weigher should know.
    pub remarks: Vec<String>,
    /// How the masses came about.
    pub worked: Vec<WorkedLine>,
}

/// One ingredient to weigh.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SheetLine {
    /// Which material.
    pub material: String,
    /// By calculation.
    pub exact_g: f64,
    /// To weigh, rounded to the scale.
    pub mass_g: i64,
}

/// The foam of one load.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct SheetFoam {
    /// Foam to fold in.
    pub volume_l: f64,
    /// Its mass, rounded to the scale.
    pub mass_g: i64,
    /// The density the volume is meant at.
    pub density_kg_m3: f64,
    /// Foaming concentrate in it.
    pub concentrate_ml: Option<i64>,
    /// Water in it.
    pub water_g: i64,
}
