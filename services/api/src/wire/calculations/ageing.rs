//! Forms about strength with age, frost, and soaking in cold water.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::wire::proportions::WorkedLine;

/// A strength found at 28 days, and the ages it is wanted for. Portland cement only.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "strength_28_days_mpa": 30.0, "ages_days": [1.0, 3.0, 7.0], "high_early": false }))]
pub struct AskedGain {
    /// Strength at 28 days, moist-cured at about 21 °C.
    #[schema(minimum = 0, maximum = 200)]
    pub strength_28_days_mpa: f64,
    /// Ages, days.
    #[schema(min_items = 1, max_items = 50)]
    pub ages_days: Vec<f64>,
    /// Whether the cement is rapid-setting: it is refused, for its strength does not grow like Portland cement's.
    #[serde(default)]
    pub rapid: bool,
    /// Whether the Portland cement is one of high early strength.
    #[serde(default)]
    pub high_early: bool,
}

/// Strength with age: an estimate, never a promise.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Gain {
    /// For each age.
    pub strengths: Vec<StrengthAt>,
    /// What an estimate is worth.
    pub caution: String,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}

/// Strength at an age.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct StrengthAt {
    /// The age.
    pub age_days: f64,
    /// The strength.
    pub strength_mpa: f64,
    /// Its share of the 28-day strength.
    pub share_percent: f64,
    /// Whether frost can no longer harm it: 3.5 MPa or more.
    pub safe_from_frost: bool,
}

/// A pour with the air of the days after it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "safe_age_hours_at_20c": 20.0, "pour_hour": 15.0,
    "days": [{ "mean": "7 °C", "least": "3 °C" }, { "mean": "6 °C", "least": "1 °C" }, { "mean": "2 °C", "least": "-2 °C" }],
}))]
pub struct AskedFrost {
    /// Age at 20 °C at which the mix reaches 3.5 MPa by its trials, hours.
    #[schema(minimum = 0, maximum = 1000)]
    pub safe_age_hours_at_20c: f64,
    /// Hour of the day of the pour; 15 where none is given.
    #[schema(minimum = 0, maximum = 24)]
    pub pour_hour: Option<f64>,
    /// The air of the pour day and those after it.
    #[schema(min_items = 1, max_items = 60)]
    pub days: Vec<AirOfDay>,
}

/// A day's air.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AirOfDay {
    /// On average, as "7 °C" or "45 °F".
    #[schema(min_length = 1, max_length = 40)]
    pub mean: String,
    /// At its coldest.
    #[schema(min_length = 1, max_length = 40)]
    pub least: String,
}

/// Whether frost comes before the concrete can bear it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Frost {
    /// Whether it may be poured.
    pub may_be_poured: bool,
    /// First day, counted from the pour's as 0, whose frost would harm it; null where it is safe in time.
    pub frost_on: Option<i64>,
    /// Whether it is cold weather by the newer definition: air below 40 °F before the concrete is safe from frost. It is
    /// then placed warm and kept covered.
    pub cold: bool,
    /// How that came about.
    pub worked: Vec<WorkedLine>,
}

/// Water that panels soak in.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "water": "12 °C" }))]
pub struct AskedSoak {
    /// Temperature of the water as measured.
    #[schema(min_length = 1, max_length = 40)]
    pub water: String,
    /// The workshop's own table; 5 days from 20 °C, 7 from 15 °C, 11 from 10 °C where none is given.
    #[schema(max_items = 20)]
    #[serde(default)]
    pub table: Vec<SoakRow>,
}

/// Least days in water at least so warm.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SoakRow {
    /// At least so warm.
    #[schema(min_length = 1, max_length = 40)]
    pub from: String,
    /// Least days.
    #[schema(minimum = 0, maximum = 90)]
    pub days: u32,
}

/// Days under water.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Soak {
    /// At least.
    pub least_days: i64,
    /// How that came about.
    pub worked: Vec<WorkedLine>,
}
