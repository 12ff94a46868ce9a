//! The ledger of materials: entries are written once, never edited, only countered.

use chrono::{DateTime, NaiveDate as Day, Utc};

use crate::catalogue::Amount;
use crate::ids::{DeliveryId, MaterialId, StockEntryId, TicketNumber};
use crate::said::Said;

/// Why stock changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum EntryKind {
    /// Came in.
    Received,
    /// Taken by a ticket.
    Drawn,
    /// The difference between a count and what the ledger said.
    Counted,
    /// Put right by a person, with a note.
    Adjusted,
    /// Spoilt or lost.
    WrittenOff,
    /// The opposite of an earlier entry.
    Countered,
}

/// A line of the ledger, as it is to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewStockEntry {
    /// Of which material.
    pub material: MaterialId,
    /// The workshop's local day.
    pub day: Day,
    /// Why.
    pub kind: EntryKind,
    /// Signed: what comes in is above 0, what goes out below.
    pub amount: Amount,
    /// What a count found, for `Counted`.
    pub counted: Option<Amount>,
    /// The ticket that drew it.
    pub ticket: Option<TicketNumber>,
    /// The delivery it came with.
    pub delivery: Option<DeliveryId>,
    /// The entry this is the opposite of.
    pub counters: Option<StockEntryId>,
    /// Anything to remember.
    pub note: Option<String>,
}

/// A line of the ledger, written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StockEntry {
    /// Its number.
    pub id: StockEntryId,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// What it says.
    pub entry: NewStockEntry,
    /// On hand after it.
    pub balance: Amount,
    /// The name of the token it came with; none where there was none.
    pub by: Option<String>,
}

/// Where a delivery stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeliveryState {
    /// Ordered; a person says so.
    OnItsWay,
    /// Arrived, and in the ledger.
    Here,
}

/// Packs of one material, ordered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Delivery {
    /// Its number.
    pub id: DeliveryId,
    /// Of which material.
    pub material: MaterialId,
    /// How many packs, 1 or more.
    pub packs: i64,
    /// What a pack holds, in the material's own unit, as it was when they were ordered.
    pub pack: Amount,
    /// Day it should come.
    pub expected_on: Day,
    /// Where it stands.
    pub state: DeliveryState,
    /// Day it came.
    pub arrived_on: Option<Day>,
    /// What came, in the material's own unit, where it is here.
    pub received: Option<Amount>,
    /// The delivery of which only a part came, where this is the rest of it.
    pub rest_of: Option<DeliveryId>,
    /// Who said that it is here, and when.
    pub said: Said,
}

impl Delivery {
    /// What was ordered, in the material's own unit.
    pub fn ordered(&self) -> Amount {
        Amount::new(self.pack.get() * self.packs)
    }

    /// Packs that did not come with it, rounded up to whole ones; 0 where all came, or nothing has yet.
    pub fn packs_missing(&self) -> i64 {
        let missing = self.received.map_or(0, |received| (self.ordered() - received).get().max(0));
        let pack = self.pack.get().max(1);
        missing / pack + i64::from(missing % pack > 0)
    }
}
