//! Forms of weighings at the mixer and the mould, the answers to them, and what was done.

use chrono::{DateTime, Utc};
use quantities::{Grams, Millilitres};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::checks;
use workshop::corrections as domain;

use super::basics::{sound, words};
use super::calculations::mixer::LoadAnswer;
use super::proportions::WorkedLine;
use crate::http::body::Incoming;

words!(
    /// Where a load is weighed.
    WeighedAt for domain::WeighedAt {
        /// Before it leaves the mixer.
        Mixer,
        /// At the mould, before it is poured.
        Mould,
    }
);

words!(
    /// What was done with a load.
    Did for domain::Did {
        /// Poured.
        Poured,
        /// Foam was folded in.
        FoamAdded,
        /// Slurry was mixed in.
        SlurryAdded,
        /// Not poured.
        ThrownAway,
    }
);

/// A ticket's load as weighed. Limits are the ticket's; what else is not given is the revision's.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "by": "the bench", "place": "mixer", "measured_wet_density_kg_m3": 1042.0, "volume_ml": 31500, "minutes_since_foaming": 4.0,
    "foam_density_kg_m3": 51.0, "generator_l_per_minute": 45.0,
}))]
pub struct GivenWeighing {
    /// By whom.
    #[schema(min_length = 1, max_length = 200)]
    pub by: String,
    /// Where.
    pub place: WeighedAt,
    /// Wet density measured.
    #[schema(minimum = 100, maximum = 3500)]
    pub measured_wet_density_kg_m3: f64,
    /// Volume of the load now, ml; where none is given the ticket's own, washout and all, or as weighed last with what was added since.
    #[schema(minimum = 1, maximum = 10000000)]
    pub volume_ml: Option<i64>,
    /// Minutes since the foam went in; 0 for a mix without foam.
    #[schema(minimum = 0, maximum = 1440)]
    #[serde(default)]
    pub minutes_since_foaming: f64,
    /// Density of the foam as weighed today; the revision's where none is given.
    #[schema(minimum = 10, maximum = 300)]
    pub foam_density_kg_m3: Option<f64>,
    /// Density of the slurry without foam; the revision's where none is given.
    #[schema(minimum = 100, maximum = 3500)]
    pub slurry_density_kg_m3: Option<f64>,
    /// Most the mixer holds in work, ml; the revision's largest batch and washout where none is given.
    #[schema(minimum = 1, maximum = 10000000)]
    pub mixer_most_ml: Option<i64>,
    /// What the foam generator gives, litres a minute: for the seconds it runs.
    #[schema(minimum = 0.001, maximum = 100000)]
    pub generator_l_per_minute: Option<f64>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

impl Incoming for GivenWeighing {
    type Domain = domain::Weighing;

    fn into_domain(self) -> Result<domain::Weighing, Vec<Fault>> {
        let weighing = domain::Weighing {
            by: self.by,
            place: self.place.into(),
            measured_wet_density_kg_m3: self.measured_wet_density_kg_m3,
            volume: self.volume_ml.map(Millilitres::new),
            minutes_since_foaming: self.minutes_since_foaming,
            foam_density_kg_m3: self.foam_density_kg_m3,
            slurry_density_kg_m3: self.slurry_density_kg_m3,
            mixer_most: self.mixer_most_ml.map(Millilitres::new),
            generator_l_per_minute: self.generator_l_per_minute,
            note: self.note,
        };
        let faults = checks::correction::weighing_faults(&weighing);
        sound(weighing, faults)
    }
}

/// A weighing of a ticket's load, the answer to it, and what was done. Nothing of it is ever changed.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "ticket": "2026-05-04-01", "sequence": 1, "at": "2026-05-04T12:40:00Z", "by": "the bench", "place": "mixer",
    "measured_wet_density_kg_m3": 1042.0, "volume_ml": 31500, "minutes_since_foaming": 4.0, "foam_density_kg_m3": 51.0,
    "slurry_density_kg_m3": 1831.8, "mixer_most_ml": 36000, "generator_l_per_minute": 45.0,
    "answer": "add_foam", "sentence": "add 2.8 L of foam (0.14 kg), fold in, weigh again (4 s of the generator)",
    "added_ml": 2842, "added_g": 145, "generator_seconds": 3.8, "volume_then_ml": 34342, "panels_then": 3,
    "rise_percent": null, "note": null,
    "done": { "at": "2026-05-04T12:44:00Z", "by": "the bench", "did": "foam_added", "added_ml": 2800, "note": null },
}))]
pub struct TicketCorrection {
    /// Of which ticket.
    pub ticket: String,
    /// Counted from 1 for each ticket.
    pub sequence: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// By whom.
    pub by: String,
    /// Where it was weighed.
    pub place: WeighedAt,
    /// Wet density measured.
    pub measured_wet_density_kg_m3: f64,
    /// Volume of the load then, ml.
    pub volume_ml: i64,
    /// Minutes since the foam went in.
    pub minutes_since_foaming: f64,
    /// Density of the foam the answer reckons with.
    pub foam_density_kg_m3: Option<f64>,
    /// Density of the slurry without foam it reckons with.
    pub slurry_density_kg_m3: Option<f64>,
    /// Most the mixer holds that it reckons with, ml.
    pub mixer_most_ml: Option<i64>,
    /// Output of the foam generator it reckons with, litres a minute.
    pub generator_l_per_minute: Option<f64>,
    /// What was answered.
    pub answer: LoadAnswer,
    /// The same in a sentence.
    pub sentence: String,
    /// Foam or slurry to add, ml.
    pub added_ml: Option<i64>,
    /// Its mass, g.
    pub added_g: Option<i64>,
    /// Seconds of the generator, for foam.
    pub generator_seconds: Option<f64>,
    /// The load after it, ml.
    pub volume_then_ml: i64,
    /// Whole panels it then fills, where the ticket is of one panel.
    pub panels_then: Option<i64>,
    /// Rise of the wet density from the mixer to the mould, at the mould.
    pub rise_percent: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
    /// What was done; null as long as nobody has said.
    pub done: Option<CorrectionDone>,
}

/// What was done with a load after an answer.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CorrectionDone {
    /// When it was said.
    pub at: DateTime<Utc>,
    /// By whom.
    pub by: String,
    /// What.
    pub did: Did,
    /// How much foam or slurry really went in, ml.
    pub added_ml: Option<i64>,
    /// Anything to remember.
    pub note: Option<String>,
}

/// A correction just recorded, with how its figures came about.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "correction": {
        "ticket": "2026-05-04-01", "sequence": 1, "at": "2026-05-04T12:40:00Z", "by": "the bench", "place": "mixer",
        "measured_wet_density_kg_m3": 1042.0, "volume_ml": 31500, "minutes_since_foaming": 4.0, "foam_density_kg_m3": 51.0,
        "slurry_density_kg_m3": 1831.8, "mixer_most_ml": 36000, "generator_l_per_minute": 45.0,
        "answer": "add_foam", "sentence": "add 2.8 L of foam (0.14 kg), fold in, weigh again (4 s of the generator)",
        "added_ml": 2842, "added_g": 145, "generator_seconds": 3.8, "volume_then_ml": 34342, "panels_then": 3,
        "rise_percent": null, "note": null, "done": null,
    },
    "worked": [{ "what": "foam to add", "formula": "x = V (D - T) / (T - ρf)", "numbers": "31.500 L · (1042.0 - 960.0) / (960.0 - 51.0)", "result": 2.842, "unit": "L", "source": "mass and volume balance" }],
}))]
pub struct RecordedCorrection {
    /// What is kept.
    pub correction: TicketCorrection,
    /// How the figures came about; not kept.
    pub worked: Vec<WorkedLine>,
}

impl From<domain::Correction> for TicketCorrection {
    fn from(c: domain::Correction) -> Self {
        let done = |d: domain::Done| CorrectionDone {
            at: d.at,
            by: d.by,
            did: d.did.into(),
            added_ml: d.added.map(Millilitres::get),
            note: d.note,
        };
        Self {
            ticket: c.ticket.to_string(),
            sequence: c.sequence,
            at: c.at,
            by: c.by,
            place: c.place.into(),
            measured_wet_density_kg_m3: c.measured_wet_density_kg_m3,
            volume_ml: c.volume.get(),
            minutes_since_foaming: c.minutes_since_foaming,
            foam_density_kg_m3: c.foam_density_kg_m3,
            slurry_density_kg_m3: c.slurry_density_kg_m3,
            mixer_most_ml: c.mixer_most.map(Millilitres::get),
            generator_l_per_minute: c.generator_l_per_minute,
            answer: c.answer.into(),
            sentence: c.sentence,
            added_ml: c.added.map(Millilitres::get),
            added_g: c.added_mass.map(Grams::get),
            generator_seconds: c.generator_seconds,
            volume_then_ml: c.volume_then.get(),
            panels_then: c.panels_then,
            rise_percent: c.rise_percent,
            note: c.note,
            done: c.done.map(done),
        }
    }
}

/// What was done with a load after an answer.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "by": "the bench", "did": "foam_added", "added_ml": 2800 }))]
pub struct GivenDone {
    /// By whom.
    #[schema(min_length = 1, max_length = 200)]
    pub by: String,
    /// What.
    pub did: Did,
    /// How much foam or slurry really went in, ml; as answered where none is given and it was done as answered.
    #[schema(minimum = 1, maximum = 10000000)]
    pub added_ml: Option<i64>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

impl Incoming for GivenDone {
    type Domain = domain::Done;

    fn into_domain(self) -> Result<domain::Done, Vec<Fault>> {
        let done = domain::Done {
            // The moment is the service's, set when it is written.
            at: DateTime::UNIX_EPOCH,
            by: self.by,
            did: self.did.into(),
            added: self.added_ml.map(Millilitres::new),
            note: self.note,
        };
        let faults = checks::correction::done_faults(&done);
        sound(done, faults)
    }
}
