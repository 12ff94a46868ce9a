//! Where panels came from and where they went: from an order back to lots, tickets and deliveries, and forward again.

use std::collections::{BTreeMap, BTreeSet};

use crate::audit::{Dispatched, Records};
use crate::dated::{Dated, dated};
use crate::ids::{DeliveryId, LotId, MaterialId, OrderId, StockEntryId, TicketNumber};
use crate::lots::Lot;
use crate::shared::begun_by;
use crate::tickets::Ticket;

/// From where to look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Start {
    /// An order: back.
    Order(OrderId),
    /// A delivery: forward.
    Delivery(DeliveryId),
    /// A lot: both ways.
    Lot(LotId),
}

/// So much of a material of a delivery went into a ticket.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Use {
    /// Which ticket.
    pub ticket: TicketNumber,
    /// Of which material.
    pub material: MaterialId,
    /// Which delivery; none where the ledger knew it before any.
    pub delivery: Option<DeliveryId>,
    /// How much, in the material's own unit.
    pub amount: i64,
}

/// Everything that hangs together with where one looked from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trace {
    /// What was sent out.
    pub sent: Vec<Dispatched>,
    /// The lots on the way, from the pour on, by number; each with the lots it came from: one it was moved out of,
    /// or those that were put together.
    pub lots: Vec<(Lot, Vec<LotId>)>,
    /// The tickets they were filled from: a panel filled from two batches has both.
    pub tickets: Vec<TicketNumber>,
    /// What went into those tickets.
    pub uses: Vec<Use>,
}

/// Looks.
pub fn trace(records: &Records, start: &Start) -> Trace {
    let web = Web::of(records);
    let lots = match start {
        Start::Order(order) => {
            let sent = records.dispatches.iter().filter(|d| d.order.as_ref() == Some(order));
            web.back(sent.map(|d| d.lot).collect())
        }
        Start::Delivery(delivery) => web.forward(web.made_from(*delivery)),
        Start::Lot(lot) => {
            web.back(BTreeSet::from([*lot])).union(&web.forward(BTreeSet::from([*lot]))).copied().collect()
        }
    };
    let mut trace = web.told(&lots);
    match start {
        Start::Order(order) => trace.sent.retain(|d| d.order.as_ref() == Some(order)),
        Start::Delivery(delivery) => trace.uses.retain(|used| used.delivery == Some(*delivery)),
        Start::Lot(_) => {}
    }
    trace
}

/// The records by what they hang on.
struct Web<'a> {
    records: &'a Records,
    came_from: BTreeMap<LotId, Vec<LotId>>,
    went_to: BTreeMap<LotId, Vec<LotId>>,
    tickets: BTreeMap<LotId, BTreeSet<TicketNumber>>,
    dated: Dated,
    deliveries: BTreeMap<StockEntryId, DeliveryId>,
}

impl<'a> Web<'a> {
    fn of(records: &'a Records) -> Self {
        let (mut went_to, mut came_from) = (BTreeMap::<LotId, Vec<LotId>>::new(), BTreeMap::<LotId, Vec<LotId>>::new());
        for (from, made) in steps(records) {
            went_to.entry(from).or_default().push(made);
            came_from.entry(made).or_default().push(from);
        }
        let received = records.entries.iter().filter_map(|e| Some((e.id, e.entry.delivery?)));
        Self {
            records,
            came_from,
            went_to,
            tickets: filled_from(records),
            dated: dated(&records.entries),
            deliveries: received.collect(),
        }
    }

    /// These lots and all they came from.
    fn back(&self, from: BTreeSet<LotId>) -> BTreeSet<LotId> {
        reached(&self.came_from, from)
    }

    /// These lots and all they became.
    fn forward(&self, from: BTreeSet<LotId>) -> BTreeSet<LotId> {
        reached(&self.went_to, from)
    }

    /// The lots as they were poured from tickets that used something of a delivery.
    fn made_from(&self, delivery: DeliveryId) -> BTreeSet<LotId> {
        let uses = self.uses(None);
        let tickets: BTreeSet<TicketNumber> =
            uses.into_iter().filter(|used| used.delivery == Some(delivery)).map(|used| used.ticket).collect();
        let filled = self.tickets.iter().filter(|(_, from)| !from.is_disjoint(&tickets));
        filled.map(|(lot, _)| *lot).collect()
    }

    fn told(&self, lots: &BTreeSet<LotId>) -> Trace {
        let poured = lots.iter().filter_map(|lot| self.tickets.get(lot));
        let tickets: BTreeSet<TicketNumber> = poured.flatten().copied().collect();
        let among = self.records.lots.iter().filter(|begun| lots.contains(&begun.lot.id));
        let mut found: Vec<_> = among
            .map(|begun| (begun.lot.clone(), self.came_from.get(&begun.lot.id).cloned().unwrap_or_default()))
            .collect();
        found.sort_by_key(|(lot, _)| lot.id);
        Trace {
            sent: self.records.dispatches.iter().filter(|d| lots.contains(&d.lot)).cloned().collect(),
            lots: found,
            uses: self.uses(Some(&tickets)),
            tickets: tickets.into_iter().collect(),
        }
    }

    /// What went into tickets (all, where none are named), put together by delivery.
    fn uses(&self, of: Option<&BTreeSet<TicketNumber>>) -> Vec<Use> {
        let mut sums: BTreeMap<(TicketNumber, &MaterialId, Option<DeliveryId>), i64> = BTreeMap::new();
        for entry in &self.records.entries {
            let Some(ticket) = entry.entry.ticket.filter(|t| of.is_none_or(|of| of.contains(t))) else { continue };
            for (from, amount) in self.dated.taken.get(&entry.id).into_iter().flatten() {
                let delivery = self.deliveries.get(from).copied();
                *sums.entry((ticket, &entry.entry.material, delivery)).or_default() += amount;
            }
        }
        let used = |((ticket, material, delivery), amount): ((_, &MaterialId, _), _)| Use {
            ticket,
            material: material.clone(),
            delivery,
            amount,
        };
        sums.into_iter().map(used).collect()
    }
}

/// From which lot panels went on into which, by moves and by joins.
fn steps(records: &Records) -> impl Iterator<Item = (LotId, LotId)> {
    let moved = records.moves.iter().map(|(step, made)| (step.from, *made));
    moved.chain(records.joins.iter().map(|join| (join.from, join.into)))
}

/// These lots and all that `next` leads to.
fn reached(next: &BTreeMap<LotId, Vec<LotId>>, from: BTreeSet<LotId>) -> BTreeSet<LotId> {
    let (mut found, mut ahead) = (BTreeSet::new(), Vec::from_iter(from));
    while let Some(lot) = ahead.pop() {
        if found.insert(lot) {
            ahead.extend(next.get(&lot).into_iter().flatten());
        }
    }
    found
}

/// The tickets each lot was poured from, for lots that came from no other.
fn filled_from(records: &Records) -> BTreeMap<LotId, BTreeSet<TicketNumber>> {
    let moved: BTreeSet<LotId> = steps(records).map(|(_, made)| made).collect();
    let mut by_day: BTreeMap<_, Vec<Ticket>> = BTreeMap::new();
    for ticket in &records.tickets {
        by_day.entry(ticket.number.day).or_default().push(ticket.clone());
    }
    let poured = records.lots.iter().map(|begun| &begun.lot).filter(|lot| !moved.contains(&lot.id));
    let from = |lot: &Lot| {
        let number = lot.ticket?;
        let day = by_day.get(&number.day)?;
        let ticket = day.iter().find(|t| t.number == number)?;
        let before = begun_by(ticket, &lot.panel, day);
        Some((lot.id, before.iter().map(|t| t.number).chain([number]).collect()))
    };
    poured.filter_map(from).collect()
}
