//! The form of a trace: what hangs together from delivery to customer.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::audit::Dispatched;
use workshop::trace as domain;

use super::basics::Id;
use super::lots::Lot;

/// Everything that hangs together with an order, a delivery or a lot.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "sent": [{ "day": "2026-05-20", "lot": 31, "quantity": 4, "order": "TH-1042" }],
    "lots": [{ "from": null, "also_from": [], "lot": { "id": 12, "panel": "bed-side-900", "revision": "foamed-grey@2", "finish": "grey-smooth",
        "poured_on": "2026-04-28", "ticket": "2026-04-28-01", "stage": "in_mould", "since": "2026-04-28", "quantity": 0, "tank": null, "rack": null } }],
    "tickets": ["2026-04-28-01"],
    "used": [{ "ticket": "2026-04-28-01", "material": "cement", "delivery": 3, "amount": 20310 }],
}))]
pub struct Trace {
    /// What was sent out, in the order it was.
    pub sent: Vec<Sent>,
    /// The lots, from the pour on; a lot that wholly went on has quantity 0.
    pub lots: Vec<TracedLot>,
    /// The tickets they were filled from. A panel filled from two batches has both.
    pub tickets: Vec<String>,
    /// What of which delivery went into those tickets, oldest used first.
    pub used: Vec<Used>,
}

/// Panels sent out.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Sent {
    /// The day.
    pub day: NaiveDate,
    /// From which lot.
    pub lot: i64,
    /// How many.
    pub quantity: i64,
    /// For which order.
    pub order: Option<Id>,
}

/// A lot, and the one it came from.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TracedLot {
    /// The lot its panels were in before; none where they were poured.
    pub from: Option<i64>,
    /// The other lots it was put together from.
    pub also_from: Vec<i64>,
    /// The lot.
    pub lot: Lot,
}

/// So much of a delivery in a ticket.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Used {
    /// The ticket.
    pub ticket: String,
    /// The material.
    pub material: Id,
    /// The delivery; none where it was there before any.
    pub delivery: Option<i64>,
    /// How much, in the material's own unit.
    pub amount: i64,
}

impl TracedLot {
    fn of(lot: workshop::lots::Lot, from: &[workshop::ids::LotId]) -> Self {
        let mut from = from.iter().map(|lot| lot.get());
        Self { from: from.next(), also_from: from.collect(), lot: Lot::from(lot) }
    }
}

impl From<Dispatched> for Sent {
    fn from(sent: Dispatched) -> Self {
        Self { day: sent.day, lot: sent.lot.get(), quantity: sent.quantity, order: sent.order.as_ref().map(Id::of) }
    }
}

impl From<domain::Trace> for Trace {
    fn from(trace: domain::Trace) -> Self {
        let used = |used: domain::Use| Used {
            ticket: used.ticket.to_string(),
            material: Id::of(&used.material),
            delivery: used.delivery.map(|d| d.get()),
            amount: used.amount,
        };
        Self {
            sent: trace.sent.into_iter().map(Sent::from).collect(),
            lots: trace.lots.into_iter().map(|(lot, from)| TracedLot::of(lot, &from)).collect(),
            tickets: trace.tickets.iter().map(ToString::to_string).collect(),
            used: trace.uses.into_iter().map(used).collect(),
        }
    }
}
