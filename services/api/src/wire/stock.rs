//! Forms of the stock ledger and of deliveries.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue::Amount;
use workshop::ids::{DeliveryId, MaterialId};
use workshop::stock as domain;

use super::basics::{Id, id, words};
use super::catalogue::StockUnit;
use crate::http::body::Incoming;

words!(
    /// Why stock changed.
    EntryKind for domain::EntryKind { Received, Drawn, Counted, Adjusted, WrittenOff, Countered }
);

/// The kinds of entry that a person writes; tickets draw and corrections counter by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GivenKind {
    /// Came in; amount above 0.
    Received,
    /// A count: give counted, and the ledger adds the difference.
    Counted,
    /// Put right, with a note; amount of either sign.
    Adjusted,
    /// Spoilt or lost; amount below 0.
    WrittenOff,
}

/// A line for the ledger, as a person gives it.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "material": "cement", "kind": "received", "amount": 250000, "note": "10 bags from the yard" }))]
pub struct GivenEntry {
    /// Of which material.
    pub material: Id,
    /// Why.
    pub kind: GivenKind,
    /// The workshop's day; today where it is not given.
    pub day: Option<NaiveDate>,
    /// In the material's own unit: what comes in above 0, what goes out below. Not for a count.
    #[schema(minimum = -1000000000000_i64, maximum = 1000000000000_i64)]
    pub amount: Option<i64>,
    /// What a count found, in the material's own unit.
    #[schema(minimum = 0, maximum = 1000000000000_i64)]
    pub counted: Option<i64>,
    /// The delivery of which it is written off; the oldest there is where it is not given.
    #[schema(minimum = 1)]
    pub delivery: Option<i64>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

/// An entry as it was given, made of the workshop's own types; what it adds to the ledger depends on what is on hand.
#[derive(Clone, Debug)]
pub struct Given {
    /// Of which material.
    pub material: MaterialId,
    /// The day, where one was given.
    pub day: Option<NaiveDate>,
    /// What it says.
    pub what: GivenAmount,
    /// The delivery of which it is written off.
    pub delivery: Option<DeliveryId>,
    /// Anything to remember.
    pub note: Option<String>,
}

/// What a given entry says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GivenAmount {
    /// So much more or less.
    Change(domain::EntryKind, Amount),
    /// So much was counted.
    Count(Amount),
}

impl Incoming for GivenEntry {
    type Domain = Given;

    fn into_domain(self) -> Result<Given, Vec<Fault>> {
        let material = id("/material", MaterialId::parse, &self.material)?;
        let mut faults = Vec::new();
        let mut need = |value: Option<i64>, other: Option<i64>, field: &str, not: &str| {
            if value.is_none() {
                faults.push(Fault::at(
                    format!("/{field}"),
                    format!("is missing: give it for this kind of entry, and not {not}"),
                ));
            }
            if other.is_some() {
                faults.push(Fault::at(format!("/{not}"), format!("is not for this kind of entry: give {field} only")));
            }
            Amount::new(value.unwrap_or_default())
        };
        let what = match self.kind {
            GivenKind::Counted => GivenAmount::Count(need(self.counted, self.amount, "counted", "amount")),
            kind => {
                let kind = match kind {
                    GivenKind::Received => domain::EntryKind::Received,
                    GivenKind::WrittenOff => domain::EntryKind::WrittenOff,
                    GivenKind::Adjusted | GivenKind::Counted => domain::EntryKind::Adjusted,
                };
                GivenAmount::Change(kind, need(self.amount, self.counted, "amount", "counted"))
            }
        };
        if self.delivery.is_some() && self.kind != GivenKind::WrittenOff {
            let detail = "is given, but only what is written off names a delivery: leave it out";
            faults.push(Fault::at("/delivery", detail));
        }
        let delivery = self.delivery.map(DeliveryId::new);
        super::basics::sound(Given { material, day: self.day, what, delivery, note: self.note }, faults)
    }
}

/// A line of the ledger.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "id": 17, "at": "2026-05-04T08:12:00Z", "material": "cement", "day": "2026-05-04", "kind": "received", "amount": 250000,
    "counted": null, "ticket": null, "delivery": 3, "counters": null, "note": "10 bags from the yard", "balance": 612500, "by": "bench tablet",
}))]
pub struct StockEntry {
    /// Its number; entries are numbered in the order they were written.
    pub id: i64,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// Of which material.
    pub material: Id,
    /// The workshop's day.
    pub day: NaiveDate,
    /// Why.
    pub kind: EntryKind,
    /// In the material's own unit, with its sign.
    pub amount: i64,
    /// What a count found.
    pub counted: Option<i64>,
    /// The ticket that drew it.
    pub ticket: Option<String>,
    /// The delivery it came with.
    pub delivery: Option<i64>,
    /// The entry this is the opposite of.
    pub counters: Option<i64>,
    /// Anything to remember.
    pub note: Option<String>,
    /// On hand after it.
    pub balance: i64,
    /// The name of the token it came with; null where there was none.
    pub by: Option<String>,
}

impl From<domain::StockEntry> for StockEntry {
    fn from(e: domain::StockEntry) -> Self {
        Self {
            id: e.id.get(),
            at: e.at,
            material: Id::of(&e.entry.material),
            day: e.entry.day,
            kind: e.entry.kind.into(),
            amount: e.entry.amount.get(),
            counted: e.entry.counted.map(Amount::get),
            ticket: e.entry.ticket.map(|t| t.to_string()),
            delivery: e.entry.delivery.map(|d| d.get()),
            counters: e.entry.counters.map(|c| c.get()),
            note: e.entry.note,
            balance: e.balance.get(),
            by: e.by,
        }
    }
}

/// Why an entry is taken back.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "note": "typed twice" }))]
pub struct CounterReason {
    /// Why.
    #[schema(min_length = 1, max_length = 2000)]
    pub note: String,
}

impl Incoming for CounterReason {
    type Domain = String;

    fn into_domain(self) -> Result<String, Vec<Fault>> {
        Ok(self.note)
    }
}

/// What there is of a material.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "material": "cement", "name": "Portland cement 42.5", "unit": "gram", "on_hand": 612500, "reserved": 40620, "free": 571880, "floor": 25000, "below_floor": false }))]
pub struct OnHand {
    /// Which material.
    pub material: Id,
    /// As people say it.
    pub name: String,
    /// What it is counted in.
    pub unit: StockUnit,
    /// How much there is, in that unit.
    pub on_hand: i64,
    /// How much of it issued tickets are still to draw.
    pub reserved: i64,
    /// How much is left without that; below 0 where tickets want more than there is.
    pub free: i64,
    /// Not to be gone below.
    pub floor: i64,
    /// Whether it is.
    pub below_floor: bool,
}

words!(
    /// Where a delivery stands.
    DeliveryState for domain::DeliveryState {
        /// Ordered.
        OnItsWay,
        /// Arrived, and in the ledger.
        Here,
    }
);

/// Packs of one material that have been ordered.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "material": "cement", "packs": 20, "expected_on": "2026-05-07" }))]
pub struct GivenDelivery {
    /// Of which material.
    pub material: Id,
    /// How many packs.
    #[schema(minimum = 1, maximum = 100000)]
    pub packs: i64,
    /// Day it should come.
    pub expected_on: NaiveDate,
}

impl Incoming for GivenDelivery {
    type Domain = (MaterialId, i64, NaiveDate);

    fn into_domain(self) -> Result<Self::Domain, Vec<Fault>> {
        Ok((id("/material", MaterialId::parse, &self.material)?, self.packs, self.expected_on))
    }
}

/// A delivery.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({ "id": 3, "material": "cement", "packs": 20, "pack": 25000, "expected_on": "2026-05-07", "state": "on_its_way", "arrived_on": null, "received": null, "rest_of": null, "by": null, "at": null }))]
pub struct Delivery {
    /// Its number.
    pub id: i64,
    /// Of which material.
    pub material: Id,
    /// How many packs.
    pub packs: i64,
    /// What a pack held when they were ordered, in the material's own unit.
    pub pack: i64,
    /// Day it should come.
    pub expected_on: NaiveDate,
    /// Where it stands.
    pub state: DeliveryState,
    /// Day it came.
    pub arrived_on: Option<NaiveDate>,
    /// What came, in the material's own unit.
    pub received: Option<i64>,
    /// The delivery of which only a part came, where this is the rest of it.
    pub rest_of: Option<i64>,
    /// Who said that it is here.
    pub by: Option<String>,
    /// When that was written down.
    pub at: Option<DateTime<Utc>>,
}

impl From<domain::Delivery> for Delivery {
    fn from(d: domain::Delivery) -> Self {
        Self {
            id: d.id.get(),
            material: Id::of(&d.material),
            packs: d.packs,
            pack: d.pack.get(),
            expected_on: d.expected_on,
            state: d.state.into(),
            arrived_on: d.arrived_on,
            received: d.received.map(Amount::get),
            rest_of: d.rest_of.map(|of| of.get()),
            by: d.said.by,
            at: d.said.at,
        }
    }
}

/// That a delivery has come.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "received": 450000, "rest_expected_on": "2026-05-11", "note": "two bags were not on the lorry" }))]
pub struct Arrival {
    /// Day it came; today where it is not given.
    pub arrived_on: Option<NaiveDate>,
    /// What came, in the material's own unit; all packs where it is not given.
    #[schema(minimum = 1, maximum = 1000000000000_i64)]
    pub received: Option<i64>,
    /// Where only a part came: the day the rest should come. It becomes a delivery of its own, on its way; without a day
    /// nothing more is expected.
    pub rest_expected_on: Option<NaiveDate>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

impl Incoming for Arrival {
    type Domain = Self;

    fn into_domain(self) -> Result<Self, Vec<Fault>> {
        Ok(self)
    }
}

/// What is left of one delivery or count of a material, oldest first: tickets use the oldest first.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "material": "cement", "unit": "gram", "entry": 17, "delivery": 3, "came_on": "2026-03-09", "age_days": 56, "left": 212500, "reserved": 40620,
    "use_by": "2026-06-07", "warning": null,
}))]
pub struct Portion {
    /// Of which material.
    pub material: Id,
    /// What it is counted in.
    pub unit: StockUnit,
    /// The line of the ledger it came in with.
    pub entry: i64,
    /// The delivery it came with; null where it was counted or put right.
    pub delivery: Option<i64>,
    /// Day it came.
    pub came_on: NaiveDate,
    /// Days since then.
    pub age_days: i64,
    /// What is left of it.
    pub left: i64,
    /// What issued tickets will take of it, the oldest first.
    pub reserved: i64,
    /// The last day to use it by what the material says; null where it keeps.
    pub use_by: Option<NaiveDate>,
    /// What to look at: it is old.
    pub warning: Option<String>,
}

/// What the mixed tickets of a mix used of a material in a month.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "month": "2026-05", "mix": "foamed-grey", "material": "cement", "unit": "gram", "tickets": 12, "planned": 243700, "actual": 245100,
    "difference": 1400, "difference_percent": 0.57,
}))]
pub struct MonthlyUse {
    /// The month.
    pub month: String,
    /// The mix, all its revisions together.
    pub mix: Id,
    /// The material.
    pub material: Id,
    /// What it is counted in.
    pub unit: Option<StockUnit>,
    /// Tickets mixed.
    pub tickets: i64,
    /// What they asked for.
    pub planned: i64,
    /// What went in.
    pub actual: i64,
    /// How much more went in than was asked for; below 0 where it was less.
    pub difference: i64,
    /// The same, per cent of what was asked for; null where nothing was.
    pub difference_percent: Option<f64>,
}
