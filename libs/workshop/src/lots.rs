//! Panels on their way from mould to ready.

use chrono::NaiveDate as Day;

use crate::ids::{FinishId, LotId, PanelId, PinId, RackId, RevisionId, ScrapCauseId, TankId, TicketNumber};
use crate::said::Said;

/// Where a lot is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// In its mould.
    InMould,
    /// In a tank.
    Soaking,
    /// On a rack.
    Drying,
    /// Good to go.
    Ready,
}

/// Panels of one pour that are in one stage at one place since one day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lot {
    /// Its number.
    pub id: LotId,
    /// Which panel.
    pub panel: PanelId,
    /// From which mix revision.
    pub revision: RevisionId,
    /// In which finish (the mix's).
    pub finish: FinishId,
    /// Day it was poured.
    pub poured_on: Day,
    /// The ticket it was first filled from, where there was one.
    pub ticket: Option<TicketNumber>,
    /// Where it is.
    pub stage: Stage,
    /// Day it came there.
    pub since: Day,
    /// How many panels, 1 or more.
    pub quantity: i64,
    /// Which tank, while soaking.
    pub tank: Option<TankId>,
    /// Which rack, while drying.
    pub rack: Option<RackId>,
    /// In which of its rows, by the row's name.
    pub row: Option<String>,
}

/// A lot as it is to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewLot {
    /// Which panel.
    pub panel: PanelId,
    /// From which mix revision.
    pub revision: RevisionId,
    /// Day it was poured.
    pub poured_on: Day,
    /// The ticket it was first filled from.
    pub ticket: Option<TicketNumber>,
    /// Where it is.
    pub stage: Stage,
    /// Day it came there.
    pub since: Day,
    /// How many panels, 1 or more.
    pub quantity: i64,
    /// Which tank, while soaking.
    pub tank: Option<TankId>,
    /// Which rack, while drying.
    pub rack: Option<RackId>,
    /// In which of its rows, by the row's name.
    pub row: Option<String>,
}

/// That some panels of a lot went one stage further on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotMove {
    /// The lot they came from.
    pub from: LotId,
    /// Day of the move.
    pub day: Day,
    /// Where to: the stage after the lot's own.
    pub to: Stage,
    /// How many, at most the lot's.
    pub quantity: i64,
    /// Into which tank.
    pub tank: Option<TankId>,
    /// Onto which rack.
    pub rack: Option<RackId>,
    /// Into which of its rows, by the row's name.
    pub row: Option<String>,
    /// Who wrote it down, and when.
    pub said: Said,
}

/// That a whole lot was put together with others alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotJoin {
    /// The lot that went.
    pub from: LotId,
    /// The lot they make together.
    pub into: LotId,
    /// Day of it.
    pub day: Day,
    /// How many panels went.
    pub quantity: i64,
    /// Who wrote it down, and when.
    pub said: Said,
}

/// Why panels came off a lot without going on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LossKind {
    /// Not fit to be sold.
    Scrapped,
    /// Never poured after all: their ticket was voided.
    TakenBack,
    /// Only partly filled: another ticket that was to fill them was voided.
    NotWhole,
}

/// That panels of a lot were lost on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotLoss {
    /// The lot they were in.
    pub lot: LotId,
    /// Day of the loss.
    pub day: Day,
    /// How many, at most the lot's.
    pub quantity: i64,
    /// Why.
    pub kind: LossKind,
    /// The cause, from the workshop's list, for what was scrapped.
    pub cause: Option<ScrapCauseId>,
    /// Anything to remember.
    pub note: Option<String>,
    /// Who wrote it down, and when.
    pub said: Said,
}

/// A pour decided by a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pin {
    /// Its number.
    pub id: PinId,
    /// The day of the pour.
    pub day: Day,
    /// Which panel.
    pub panel: PanelId,
    /// From which mix revision.
    pub revision: RevisionId,
    /// How many, 1 or more.
    pub quantity: i64,
    /// Why.
    pub reason: String,
}
