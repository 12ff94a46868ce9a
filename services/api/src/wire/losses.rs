//! Forms of scrap: its causes, what was lost of a lot, how many panels come out good.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue as domain;
use workshop::checks;
use workshop::ids::{PanelId, ScrapCauseId};
use workshop::lots::{self, LotLoss};
use workshop::passing;

use super::basics::{Id, id, sound, words};
use super::lots::{Lot, Stage};
use crate::http::body::Incoming;

/// A cause of scrap, from the workshop's own list.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "id": "cracked-corner", "name": "Corner cracked while stripping" }))]
pub struct ScrapCause {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
}

impl Incoming for ScrapCause {
    type Domain = domain::ScrapCause;

    fn into_domain(self) -> Result<domain::ScrapCause, Vec<Fault>> {
        let cause = domain::ScrapCause { id: id("/id", ScrapCauseId::parse, &self.id)?, name: self.name };
        let faults = checks::catalogue::scrap_cause_faults(&cause);
        sound(cause, faults)
    }
}

impl From<domain::ScrapCause> for ScrapCause {
    fn from(cause: domain::ScrapCause) -> Self {
        Self { id: Id::of(&cause.id), name: cause.name }
    }
}

/// That panels of a lot are not fit to be sold.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "quantity": 1, "cause": "cracked-corner", "day": "2026-05-05", "note": "the lower left one" }))]
pub struct GivenScrap {
    /// How many, at most what the lot has.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
    /// Why, from the workshop's own list.
    pub cause: Id,
    /// The day; today where it is not given.
    pub day: Option<NaiveDate>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

/// Scrap as it was given.
#[derive(Clone, Debug)]
pub struct ScrapGiven {
    /// How many.
    pub quantity: i64,
    /// Why.
    pub cause: ScrapCauseId,
    /// The day, where one was given.
    pub day: Option<NaiveDate>,
    /// Anything to remember.
    pub note: Option<String>,
}

impl Incoming for GivenScrap {
    type Domain = ScrapGiven;

    fn into_domain(self) -> Result<ScrapGiven, Vec<Fault>> {
        let cause = id("/cause", ScrapCauseId::parse, &self.cause)?;
        Ok(ScrapGiven { quantity: self.quantity, cause, day: self.day, note: self.note })
    }
}

words!(
    /// Why panels came off a lot without going on.
    LossKind for lots::LossKind {
        /// Not fit to be sold.
        Scrapped,
        /// Never poured after all: their ticket was voided.
        TakenBack,
        /// Only partly filled: another ticket that was to fill them was voided.
        NotWhole,
    }
);

/// Panels that came off a lot without going on.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "day": "2026-05-05", "quantity": 1, "kind": "scrapped", "cause": "cracked-corner", "note": null, "by": "bench tablet", "at": "2026-05-05T07:30:00Z" }))]
pub struct Loss {
    /// The day.
    pub day: NaiveDate,
    /// How many.
    pub quantity: i64,
    /// Why.
    pub kind: LossKind,
    /// The cause, where they were scrapped.
    pub cause: Option<Id>,
    /// Anything to remember.
    pub note: Option<String>,
    /// The name of the token it came with; null where there was none.
    pub by: Option<String>,
    /// When it was written down.
    pub at: Option<DateTime<Utc>>,
}

impl From<LotLoss> for Loss {
    fn from(loss: LotLoss) -> Self {
        Self {
            day: loss.day,
            quantity: loss.quantity,
            kind: loss.kind.into(),
            cause: loss.cause.as_ref().map(Id::of),
            note: loss.note,
            by: loss.said.by,
            at: loss.said.at,
        }
    }
}

/// A lot after some of it was scrapped, with all that was ever lost of it.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "lot": { "id": 12, "panel": "bed-side-900", "revision": "foamed-grey@2", "finish": "grey-smooth", "poured_on": "2026-04-28",
        "ticket": "2026-04-28-01", "stage": "soaking", "since": "2026-04-30", "quantity": 5, "tank": "north-tank", "rack": null },
    "losses": [{ "day": "2026-05-05", "quantity": 1, "kind": "scrapped", "cause": "cracked-corner", "note": null, "by": "bench tablet", "at": "2026-05-05T07:30:00Z" }],
}))]
pub struct LotLosses {
    /// The lot as it is now.
    pub lot: Lot,
    /// What was lost of it, in the order it was written down.
    pub losses: Vec<Loss>,
}

/// How many panels of one kind passed each stage.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "panel": "bed-side-900",
    "stages": [{ "stage": "in_mould", "came": 40, "scrapped": 1, "pass_rate": 0.975, "causes": [{ "cause": "cracked-corner", "panels": 1 }], "through": 40 }],
    "suggested_pass_rate": 0.975, "pass_rate_in_use": null,
}))]
pub struct PassRate {
    /// Which panel.
    pub panel: Id,
    /// Stage by stage, as measured.
    pub stages: Vec<StagePass>,
    /// The share that comes out good at the end, as measured: a suggestion, used only when a person writes it to the panel.
    pub suggested_pass_rate: Option<f64>,
    /// The share the panel says now.
    pub pass_rate_in_use: Option<f64>,
}

/// One stage of it.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct StagePass {
    /// Which stage.
    pub stage: Stage,
    /// Panels that came into it.
    pub came: i64,
    /// Of these, scrapped there.
    pub scrapped: i64,
    /// The share that passed of the panels that are through; none where none is.
    pub pass_rate: Option<f64>,
    /// Why, the causes in the order of their ids.
    pub causes: Vec<CauseCount>,
    /// Panels of the lots of which none is there any more (of ready panels: all): what the share is measured on.
    pub through: i64,
}

/// So many panels for one cause.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct CauseCount {
    /// The cause.
    pub cause: Id,
    /// How many panels.
    pub panels: i64,
}

impl PassRate {
    /// Of a panel, as measured, beside what it says now.
    pub fn of(panel: &PanelId, stages: &[passing::StagePass], in_use: Option<f64>) -> Self {
        let stage = |pass: &passing::StagePass| StagePass {
            stage: pass.stage.into(),
            came: pass.came,
            scrapped: pass.scrapped,
            pass_rate: pass.rate(),
            causes: pass
                .causes
                .iter()
                .map(|(cause, panels)| CauseCount { cause: Id::of(cause), panels: *panels })
                .collect(),
            through: pass.through,
        };
        Self {
            panel: Id::of(panel),
            stages: stages.iter().map(stage).collect(),
            suggested_pass_rate: passing::suggested(stages),
            pass_rate_in_use: in_use,
        }
    }
}
