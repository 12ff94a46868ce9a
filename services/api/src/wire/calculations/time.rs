//! Forms about time and temperature: days in the mould, age.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::wire::basics::RevisionText;
use crate::wire::proportions::WorkedLine;

/// A hold and the temperatures it runs in.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "hold_hours_at_20c": 26.0, "daily": ["8 °C", "6 °C", "3 °C", "7 °C", "9 °C", "10 °C", "10 °C", "10 °C"],
    "pour_hour": 15.0, "strip_hour": 8.0, "thickness": "40 mm",
}))]
pub struct AskedHold {
    /// Hours in the mould at 20 °C; hours by trial for rapid-setting cement.
    #[schema(minimum = 0, maximum = 240)]
    pub hold_hours_at_20c: f64,
    /// Whether the cement is rapid-setting: its hours pass by the clock.
    #[serde(default)]
    pub rapid: bool,
    /// Mean temperature of each calendar day, the first being the first pour day, as "8 °C" or "46 °F".
    #[schema(min_items = 2, max_items = 400)]
    pub daily: Vec<String>,
    /// Hour of the day at which panels are poured; 15 where none is given.
    #[schema(minimum = 0, maximum = 24)]
    pub pour_hour: Option<f64>,
    /// Hour of the day at which they are stripped; 8 where none is given.
    #[schema(minimum = 0, maximum = 24)]
    pub strip_hour: Option<f64>,
    /// Thickness of the panel, for the least temperature of the concrete when it is placed.
    #[schema(max_length = 40)]
    pub thickness: Option<String>,
}

/// Days in the mould for each pour day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Holds {
    /// One for each day of temperatures.
    pub days: Vec<HoldOfDay>,
    /// Least temperature of the concrete as placed.
    pub least_placing_c: Option<f64>,
}

/// The hold of one pour day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct HoldOfDay {
    /// The pour day, counted from 0.
    pub pour_day: i64,
    /// Its mean temperature.
    pub mean_c: f64,
    /// Calendar days to the strip; null where the temperatures end before the hold is reached.
    pub hold_days: Option<i64>,
    /// Whether the weather is cold that day: the fourth day or later below 40 °F.
    pub cold: bool,
    /// How the days came about.
    pub worked: Vec<WorkedLine>,
}

/// Days in the mould of a revision over the calendar.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "revision": "foamed-grey@2", "hold_hours_at_20c": 26.0, "rapid": false,
    "days": [{
        "day": "2026-03-02", "mean_c": 8.0, "hold_days": 3, "cold": false, "may_be_poured": true,
        "worked": [{ "what": "age after day 0", "formula": "t = Σ exp(-Q (1/T - 1/293.15)) Δt, Q = 5000 K; trial hours as they pass", "numbers": "9.0 h at 8.0 °C · 0.483", "result": 4.35, "unit": "h", "source": "ASTM C1074, equivalent age (Arrhenius); Q 5000 K from memory" }],
    }],
}))]
pub struct CalendarHolds {
    /// Which revision.
    pub revision: RevisionText,
    /// Its hold.
    pub hold_hours_at_20c: f64,
    /// Whether its hours pass by the clock.
    pub rapid: bool,
    /// One for each day asked for.
    pub days: Vec<HoldOn>,
}

/// The hold when poured on a day.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct HoldOn {
    /// The pour day.
    pub day: NaiveDate,
    /// Its air temperature, by the calendar or the workshop's usual one.
    pub mean_c: f64,
    /// Calendar days to the strip; null where it would take more than 120.
    pub hold_days: Option<i64>,
    /// Whether the weather is cold that day.
    pub cold: bool,
    /// Whether the air is warm enough for the workshop or the mix to pour.
    pub may_be_poured: bool,
    /// How the days came about.
    pub worked: Vec<WorkedLine>,
}

/// A temperature history.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "history": [{ "hours": 9.0, "temperature": "12 °C" }, { "hours": 24.0, "temperature": "8 °C" }], "datum": "0 °C" }))]
pub struct AskedMaturity {
    /// One stretch after another.
    #[schema(min_items = 1, max_items = 1000)]
    pub history: Vec<Stretch>,
    /// Datum of the temperature-time factor; 0 °C where none is given.
    #[schema(max_length = 40)]
    pub datum: Option<String>,
    /// Whether the cement is rapid-setting: it is refused, for it warms itself and follows neither law.
    #[serde(default)]
    pub rapid: bool,
}

/// A stretch of time at one concrete temperature.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Stretch {
    /// How long.
    #[schema(minimum = 0, maximum = 100000)]
    pub hours: f64,
    /// How warm, on average.
    #[schema(min_length = 1, max_length = 40)]
    pub temperature: String,
}

/// Age of Portland concrete by its temperatures.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Maturity {
    /// Temperature-time factor by Nurse and Saul.
    pub temperature_time_c_h: f64,
    /// Equivalent age at 20 °C.
    pub equivalent_age_h: f64,
    /// The same by the Danish factor, whose activation energy rises in the cold, for comparison.
    pub equivalent_age_danish_h: f64,
    /// Hours by the clock.
    pub clock_h: f64,
    /// How the figures came about.
    pub worked: Vec<WorkedLine>,
}
