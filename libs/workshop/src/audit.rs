//! The sweep: everything that must hold between the records, worked out anew from all of them.
//!
//! Nothing here trusts what a transaction believed when it wrote: sums are added up from the single lines, and each rule
//! names what it found and where. Pure: whoever has read the tables asks.

mod floor;
mod ledger;
mod moulds;
mod sent;
#[cfg(test)]
mod tests;
mod tickets;

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use crate::catalogue::{Amount, PanelSet};
use crate::ids::{LotId, MaterialId, OrderId, RunId, SetId, StockEntryId};
use crate::lots::{Lot, LotJoin, LotLoss, LotMove};
use crate::moulds::MouldUse;
use crate::orders::Order;
use crate::stock::{Delivery, StockEntry};
use crate::tickets::Ticket;

/// A lot, and what it began with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Begun {
    /// The lot as it is.
    pub lot: Lot,
    /// Panels it began with; none where an earlier version of the program did not note it.
    pub made: Option<i64>,
}

/// Panels of one lot sent out on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dispatched {
    /// The dispatch's number.
    pub id: i64,
    /// From which lot.
    pub lot: LotId,
    /// How many.
    pub quantity: i64,
    /// The day.
    pub day: Day,
    /// For which order.
    pub order: Option<OrderId>,
}

/// Everything the sweep looks at, read at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Records {
    /// Days issued, each with its run.
    pub issued_days: Vec<(Day, RunId)>,
    /// Every ticket.
    pub tickets: Vec<Ticket>,
    /// Every line of the ledger, in the order it was written.
    pub entries: Vec<StockEntry>,
    /// What is kept as on hand beside the ledger.
    pub balances: BTreeMap<MaterialId, Amount>,
    /// Lines drawn by a dispatch, each with the dispatch's number.
    pub drawn_by_dispatch: BTreeMap<StockEntryId, i64>,
    /// Every delivery.
    pub deliveries: Vec<Delivery>,
    /// Every lot.
    pub lots: Vec<Begun>,
    /// Every move, with the lot it made.
    pub moves: Vec<(LotMove, LotId)>,
    /// Every lot that was put together with others.
    pub joins: Vec<LotJoin>,
    /// Every dispatch.
    pub dispatches: Vec<Dispatched>,
    /// Every loss.
    pub losses: Vec<LotLoss>,
    /// Every use of a mould.
    pub mould_uses: Vec<MouldUse>,
    /// Every order.
    pub orders: Vec<Order>,
    /// The sets that are still as they were first made: of others nobody knows what an order of them once meant.
    pub unchanged_sets: BTreeMap<SetId, PanelSet>,
}

/// One thing that does not hold.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Break {
    /// Which rule.
    pub rule: &'static str,
    /// Where: a ticket, a material, a lot.
    pub place: String,
    /// What is wrong, in one sentence.
    pub sentence: String,
}

impl Break {
    /// One more thing that does not hold.
    pub fn of(rule: &'static str, place: impl ToString, sentence: impl Into<String>) -> Self {
        Self { rule, place: place.to_string(), sentence: sentence.into() }
    }
}

/// Everything that does not hold; nothing where all does.
pub fn sweep(records: &Records) -> Vec<Break> {
    let mut breaks = tickets::breaks(records);
    breaks.extend(ledger::breaks(records));
    breaks.extend(floor::breaks(records));
    breaks.extend(moulds::breaks(records));
    breaks.extend(sent::breaks(records));
    breaks.sort();
    breaks
}
