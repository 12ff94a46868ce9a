//! The floor: no panel is lost between pour and customer, and none comes from nowhere.

use std::collections::BTreeMap;

use super::{Begun, Break, Records};
use crate::ids::{LotId, PanelId, TicketNumber};
use crate::lots::{LossKind, Stage};
use crate::shared::begun_by;
use crate::tickets::{Fill, Ticket, TicketState};

pub(super) fn breaks(records: &Records) -> Vec<Break> {
    let floor = Floor::of(records);
    let mut breaks: Vec<Break> = records.lots.iter().flat_map(|begun| floor.conserved(begun)).collect();
    breaks.extend(floor.poured(records));
    breaks
}

/// Sums by lot.
#[derive(Default)]
struct Floor<'a> {
    /// What went on, went out and was lost.
    gone: BTreeMap<LotId, i64>,
    /// What was taken off because it was only partly filled.
    not_whole: BTreeMap<LotId, i64>,
    /// Lots made of others: how many came with them.
    joined: BTreeMap<LotId, i64>,
    /// Lots made by a move: how many came, and to which stage.
    moved: BTreeMap<LotId, (i64, Stage)>,
    lots: BTreeMap<LotId, &'a Begun>,
}

impl<'a> Floor<'a> {
    fn of(records: &'a Records) -> Self {
        let mut floor = Self { lots: records.lots.iter().map(|b| (b.lot.id, b)).collect(), ..Self::default() };
        for (step, made) in &records.moves {
            *floor.gone.entry(step.from).or_default() += step.quantity;
            floor.moved.insert(*made, (step.quantity, step.to));
        }
        for join in &records.joins {
            *floor.gone.entry(join.from).or_default() += join.quantity;
            *floor.joined.entry(join.into).or_default() += join.quantity;
        }
        for sent in &records.dispatches {
            *floor.gone.entry(sent.lot).or_default() += sent.quantity;
        }
        for loss in &records.losses {
            *floor.gone.entry(loss.lot).or_default() += loss.quantity;
            if loss.kind == LossKind::NotWhole {
                *floor.not_whole.entry(loss.lot).or_default() += loss.quantity;
            }
        }
        floor
    }

    /// A lot began with what is there and what went on, went out or was lost.
    fn conserved(&self, begun: &Begun) -> Vec<Break> {
        let (lot, mut breaks) = (&begun.lot, Vec::new());
        let gone = self.gone.get(&lot.id).copied().unwrap_or(0);
        if let Some(made) = begun.made.filter(|made| *made != lot.quantity + gone) {
            let sentence =
                format!("it began with {made} panels, of which {} are there and {gone} have gone", lot.quantity);
            breaks.push(Break::of("lots", lot.id, sentence));
        }
        if let Some((quantity, stage)) = self.moved.get(&lot.id)
            && (begun.made.is_some_and(|made| made != *quantity) || *stage != lot.stage)
        {
            let sentence = format!("its move brought {quantity} panels to another stage or number than it has");
            breaks.push(Break::of("moves", lot.id, sentence));
        }
        if let Some(quantity) = self.joined.get(&lot.id).filter(|quantity| begun.made.is_some_and(|m| m != **quantity))
        {
            let sentence = format!("{quantity} panels were put together in it, and it began with another number");
            breaks.push(Break::of("joins", lot.id, sentence));
        }
        breaks
    }

    /// Whether its panels were in another lot before.
    fn came_on(&self, lot: LotId) -> bool {
        self.moved.contains_key(&lot) || self.joined.contains_key(&lot)
    }

    /// What a mixed ticket finished is what its lots began with; a void ticket has nothing standing.
    fn poured(&self, records: &Records) -> Vec<Break> {
        let mut made: BTreeMap<(TicketNumber, &PanelId), Poured> = BTreeMap::new();
        for begun in self.lots.values().filter(|b| !self.came_on(b.lot.id)) {
            let Some(ticket) = begun.lot.ticket else { continue };
            let poured = made.entry((ticket, &begun.lot.panel)).or_default();
            poured.made += begun.made.unwrap_or(0);
            poured.unknown |= begun.made.is_none();
            poured.there += begun.lot.quantity;
            poured.not_whole += self.not_whole.get(&begun.lot.id).copied().unwrap_or(0);
        }
        let mut by_day: BTreeMap<_, Vec<Ticket>> = BTreeMap::new();
        for ticket in &records.tickets {
            by_day.entry(ticket.number.day).or_default().push(ticket.clone());
        }
        let mut breaks = Vec::new();
        for ticket in &records.tickets {
            let day = by_day.get(&ticket.number.day).map_or(&[][..], Vec::as_slice);
            for fill in &ticket.fills {
                let poured = made.get(&(ticket.number, &fill.panel)).copied().unwrap_or_default();
                breaks.extend(poured.wrong(ticket, fill, day).map(|s| Break::of("pours", ticket.number, s)));
            }
        }
        breaks
    }
}

/// Lots that a ticket made of one panel.
#[derive(Clone, Copy, Default)]
struct Poured {
    made: i64,
    there: i64,
    not_whole: i64,
    unknown: bool,
}

impl Poured {
    fn wrong(self, ticket: &Ticket, fill: &Fill, day: &[Ticket]) -> Option<String> {
        if self.unknown {
            return None;
        }
        let panel = &fill.panel;
        match ticket.state {
            TicketState::Issued => (self.made > 0)
                .then(|| format!("it is still to be mixed, and {} {panel} are recorded from it", self.made)),
            TicketState::Void => {
                (self.there > 0).then(|| format!("it is void, and {} {panel} of it still stand in moulds", self.there))
            }
            TicketState::Mixed => {
                let broken = begun_by(ticket, panel, day).iter().any(|t| t.state == TicketState::Void);
                let whole = fill.finished - i64::from(broken);
                let stands = self.made - self.not_whole;
                (stands != whole).then(|| format!("it makes {whole} whole {panel}, its lots began with {stands}"))
            }
        }
    }
}
