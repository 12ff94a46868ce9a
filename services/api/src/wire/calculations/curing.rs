//! Forms of moist curing, and of the hours of air that count towards stripping.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::recipe::{self, WrittenRecipe};
use super::time::Stretch;
use crate::wire::basics::RevisionText;
use crate::wire::proportions::WorkedLine;

/// A mix that is to be kept wet.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "recipe": recipe::foamed() }))]
pub struct AskedCuring {
    /// A revision on record.
    pub revision: Option<RevisionText>,
    /// Or a recipe written out.
    pub recipe: Option<WrittenRecipe>,
    /// Whether its Portland cement is one of moderate heat and sulfate resistance.
    #[serde(default)]
    pub moderate: bool,
}

/// How long a mix is kept wet at least: a specification's days, a floor for the workshop's own.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Curing {
    /// Days of moist curing.
    pub least_days: i64,
    /// Ash, slag and the like over all cementitious material.
    pub other_than_portland_percent: f64,
    /// Hours for which it is kept from rain.
    pub rain_hours: f64,
    /// Days for which it is kept from flowing water.
    pub flowing_water_days: i64,
    /// How the days came about.
    pub worked: Vec<WorkedLine>,
}

/// Air over walls, columns or sides of ordinary concrete of which no strength is specified.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "air": [
    { "hours": 6.0, "temperature": "12 °C" }, { "hours": 10.0, "temperature": "4 °C" }, { "hours": 7.0, "temperature": "55 °F" },
] }))]
pub struct AskedStripping {
    /// One stretch after another.
    #[schema(min_items = 1, max_items = 1000)]
    pub air: Vec<Stretch>,
}

/// The hours that count towards stripping.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Stripping {
    /// Hours of air at 50 °F (10 °C) or more; colder ones do not count.
    pub warm_hours: f64,
    /// Hours that are wanted.
    pub wanted_hours: f64,
    /// Whether there are as many. Foamed panels go by their own hold instead.
    pub may_be_stripped: bool,
    /// How the hours came about.
    pub worked: Vec<WorkedLine>,
}
