//! Forms of lots, their moves, and pinned pours.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::ids::{LotId, OrderId, PanelId, PinId, RackId, TankId, TicketNumber};
use workshop::lots as domain;
use workshop::said::Said;

use super::basics::{Id, RevisionText, id, revision, words};
use crate::http::body::Incoming;

words!(
    /// Where a lot is.
    Stage for domain::Stage { InMould, Soaking, Drying, Ready }
);

/// Panels that are there, to be recorded: at take-over, or where they were forgotten.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "panel": "bed-side-900", "revision": "foamed-grey@2", "poured_on": "2026-04-28", "stage": "soaking", "since": "2026-04-30",
    "quantity": 6, "tank": "north-tank",
}))]
pub struct GivenLot {
    /// Which panel.
    pub panel: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// Day it was poured.
    pub poured_on: NaiveDate,
    /// The ticket it was first filled from, where there was one.
    #[schema(min_length = 13, max_length = 14)]
    pub ticket: Option<String>,
    /// Where it is.
    pub stage: Stage,
    /// Day it came there.
    pub since: NaiveDate,
    /// How many panels.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
    /// Which tank, while soaking.
    pub tank: Option<Id>,
    /// Which rack, while drying.
    pub rack: Option<Id>,
    /// In which of its rows, by the row's name.
    #[schema(min_length = 1, max_length = 200)]
    pub row: Option<String>,
}

impl Incoming for GivenLot {
    type Domain = domain::NewLot;

    fn into_domain(self) -> Result<domain::NewLot, Vec<Fault>> {
        let ticket = self.ticket.map(|text| {
            let fault =
                || vec![Fault::at("/ticket", format!("'{text}' is no ticket number: give it as 2026-05-04-01"))];
            TicketNumber::parse(&text).ok_or_else(fault)
        });
        Ok(domain::NewLot {
            panel: id("/panel", PanelId::parse, &self.panel)?,
            revision: revision("/revision", &self.revision)?,
            poured_on: self.poured_on,
            ticket: ticket.transpose()?,
            stage: self.stage.into(),
            since: self.since,
            quantity: self.quantity,
            tank: self.tank.map(|t| id("/tank", TankId::parse, &t)).transpose()?,
            rack: self.rack.map(|r| id("/rack", RackId::parse, &r)).transpose()?,
            row: self.row,
        })
    }
}

/// Panels of one pour that are in one stage at one place since one day.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 12, "panel": "bed-side-900", "revision": "foamed-grey@2", "finish": "grey-smooth", "poured_on": "2026-04-28",
    "ticket": "2026-04-28-01", "stage": "soaking", "since": "2026-04-30", "quantity": 6, "tank": "north-tank", "rack": null, "row": "by the door",
}))]
pub struct Lot {
    /// Its number.
    pub id: i64,
    /// Which panel.
    pub panel: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// In which finish.
    pub finish: Id,
    /// Day it was poured.
    pub poured_on: NaiveDate,
    /// The ticket it was first filled from.
    pub ticket: Option<String>,
    /// Where it is.
    pub stage: Stage,
    /// Day it came there.
    pub since: NaiveDate,
    /// How many panels there still are.
    pub quantity: i64,
    /// Which tank, while soaking.
    pub tank: Option<Id>,
    /// Which rack, while drying.
    pub rack: Option<Id>,
    /// In which of its rows, by the row's name.
    pub row: Option<String>,
}

impl From<domain::Lot> for Lot {
    fn from(l: domain::Lot) -> Self {
        Self {
            id: l.id.get(),
            panel: Id::of(&l.panel),
            revision: RevisionText::of(&l.revision),
            finish: Id::of(&l.finish),
            poured_on: l.poured_on,
            ticket: l.ticket.map(|t| t.to_string()),
            stage: l.stage.into(),
            since: l.since,
            quantity: l.quantity,
            tank: l.tank.as_ref().map(Id::of),
            rack: l.rack.as_ref().map(Id::of),
            row: l.row,
        }
    }
}

/// That panels of a lot went one stage further.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "to": "drying", "quantity": 6, "day": "2026-05-07", "rack": "long-rack", "row": "top" }))]
pub struct GivenMove {
    /// Day of the move; today where it is not given.
    pub day: Option<NaiveDate>,
    /// Where to: the stage after the lot's own.
    pub to: Stage,
    /// How many, at most what the lot has.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
    /// Into which tank.
    pub tank: Option<Id>,
    /// Onto which rack.
    pub rack: Option<Id>,
    /// Into which of its rows, by the row's name.
    #[schema(min_length = 1, max_length = 200)]
    pub row: Option<String>,
}

/// A move as it was given.
#[derive(Clone, Debug)]
pub struct MoveGiven {
    /// The day, where one was given.
    pub day: Option<NaiveDate>,
    /// Where to.
    pub to: domain::Stage,
    /// How many.
    pub quantity: i64,
    /// Into which tank.
    pub tank: Option<TankId>,
    /// Onto which rack.
    pub rack: Option<RackId>,
    /// Into which of its rows.
    pub row: Option<String>,
}

impl MoveGiven {
    /// As a move out of a lot, on `today` where no day was given.
    pub fn out_of(self, from: LotId, today: NaiveDate) -> domain::LotMove {
        domain::LotMove {
            from,
            day: self.day.unwrap_or(today),
            to: self.to,
            quantity: self.quantity,
            tank: self.tank,
            rack: self.rack,
            row: self.row,
            said: Said::default(),
        }
    }
}

impl Incoming for GivenMove {
    type Domain = MoveGiven;

    fn into_domain(self) -> Result<MoveGiven, Vec<Fault>> {
        Ok(MoveGiven {
            day: self.day,
            to: self.to.into(),
            quantity: self.quantity,
            tank: self.tank.map(|t| id("/tank", TankId::parse, &t)).transpose()?,
            rack: self.rack.map(|r| id("/rack", RackId::parse, &r)).transpose()?,
            row: self.row,
        })
    }
}

/// That ready panels went to a customer.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "quantity": 4, "day": "2026-05-20", "order": "TH-1042" }))]
pub struct GivenDispatch {
    /// How many.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
    /// The day; today where it is not given.
    pub day: Option<NaiveDate>,
    /// For which order; where none is named, for nobody's.
    pub order: Option<Id>,
}

/// A lot of which panels went out.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 31, "panel": "bed-side-900", "revision": "foamed-grey@2", "finish": "grey-smooth", "poured_on": "2026-04-28",
    "ticket": "2026-04-28-01", "stage": "ready", "since": "2026-05-18", "quantity": 2, "tank": null, "rack": null, "row": null, "warnings": [],
}))]
pub struct LotSent {
    /// Its number.
    pub id: i64,
    /// Which panel.
    pub panel: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// In which finish.
    pub finish: Id,
    /// Day it was poured.
    pub poured_on: NaiveDate,
    /// The ticket it was first filled from.
    pub ticket: Option<String>,
    /// Where it is.
    pub stage: Stage,
    /// Day it came there.
    pub since: NaiveDate,
    /// How many panels there still are.
    pub quantity: i64,
    /// Which tank, while soaking.
    pub tank: Option<Id>,
    /// Which rack, while drying.
    pub rack: Option<Id>,
    /// In which of its rows, by the row's name.
    pub row: Option<String>,
    /// What to look at.
    pub warnings: Vec<String>,
}

impl LotSent {
    /// The lot as it is now, and what to look at.
    pub fn of(lot: Lot, warnings: Vec<String>) -> Self {
        let Lot { id, panel, revision, finish, poured_on, ticket, stage, since, quantity, tank, rack, row } = lot;
        Self { id, panel, revision, finish, poured_on, ticket, stage, since, quantity, tank, rack, row, warnings }
    }
}

/// Lots to be put together with one.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "lots": [32] }))]
pub struct GivenJoin {
    /// Their numbers.
    #[schema(min_items = 1, max_items = 100)]
    pub lots: Vec<i64>,
}

impl Incoming for GivenJoin {
    type Domain = Vec<LotId>;

    fn into_domain(self) -> Result<Vec<LotId>, Vec<Fault>> {
        Ok(self.lots.into_iter().map(LotId::new).collect())
    }
}

/// A dispatch as it was given: how many, the day, the order.
pub type DispatchGiven = (i64, Option<NaiveDate>, Option<OrderId>);

impl Incoming for GivenDispatch {
    type Domain = DispatchGiven;

    fn into_domain(self) -> Result<DispatchGiven, Vec<Fault>> {
        Ok((self.quantity, self.day, self.order.map(|o| id("/order", OrderId::parse, &o)).transpose()?))
    }
}

/// A pour decided by a person.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = GivenPin, example = json!({ "day": "2026-05-08", "panel": "bed-side-900", "revision": "foamed-grey@2", "quantity": 4, "reason": "shown to visitors" }))]
pub struct GivenPin {
    /// The day of the pour.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// How many.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
    /// Why.
    #[schema(min_length = 1, max_length = 2000)]
    pub reason: String,
}

impl Incoming for GivenPin {
    type Domain = domain::Pin;

    /// A pin that has no number yet: 0.
    fn into_domain(self) -> Result<domain::Pin, Vec<Fault>> {
        Ok(domain::Pin {
            id: PinId::new(0),
            day: self.day,
            panel: id("/panel", PanelId::parse, &self.panel)?,
            revision: revision("/revision", &self.revision)?,
            quantity: self.quantity,
            reason: self.reason,
        })
    }
}

/// A pour decided by a person, with its number.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "id": 1, "day": "2026-05-08", "panel": "bed-side-900", "revision": "foamed-grey@2", "quantity": 4, "reason": "shown to visitors" }))]
pub struct Pin {
    /// Its number.
    pub id: i64,
    /// The day of the pour.
    pub day: NaiveDate,
    /// Which panel.
    pub panel: Id,
    /// From which mix revision.
    pub revision: RevisionText,
    /// How many.
    pub quantity: i64,
    /// Why.
    pub reason: String,
}

impl From<domain::Pin> for Pin {
    fn from(p: domain::Pin) -> Self {
        Self {
            id: p.id.get(),
            day: p.day,
            panel: Id::of(&p.panel),
            revision: RevisionText::of(&p.revision),
            quantity: p.quantity,
            reason: p.reason,
        }
    }
}
