//! Sending orders out: what is ready for which order, what goes, and what a pack list says of it.
//!
//! Ready panels are given to the orders that are due first. An order goes out whole, or in parts where the customer agreed.
//! Panels that became ready first go first; the hardware of an order goes with its last panels.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use quantities::{ConcreteState, Grams, Pieces};

use crate::catalogue::{MixRevision, Panel, PanelSet};
use crate::fault::Fault;
use crate::ids::{FinishId, LotId, MaterialId, OrderId, PanelId, RevisionId, SetId};
use crate::lots::{Lot, Stage};
use crate::orders::{Item, Order, OrderState};
use crate::trials::{HardState, Trial};

/// Panels sent out so far, by order, panel and finish.
pub type SentOut = BTreeMap<(OrderId, PanelId, FinishId), i64>;

/// How far the panels of one kind of an order have come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Which panel.
    pub panel: PanelId,
    /// In which finish.
    pub finish: FinishId,
    /// How many are ordered.
    pub ordered: i64,
    /// How many have been sent.
    pub sent: i64,
    /// How many stand ready for it, by lot, those first that became ready first.
    pub ready: Vec<(LotId, i64)>,
}

impl Line {
    /// How many are still to be sent.
    pub fn left(&self) -> i64 {
        (self.ordered - self.sent).max(0)
    }

    /// How many stand ready for it.
    pub fn ready_panels(&self) -> i64 {
        self.ready.iter().map(|(_, quantity)| quantity).sum()
    }
}

/// What of an order can go now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CanGo {
    /// All that is left of it.
    Whole,
    /// A part of it, and the customer agreed to parts.
    Part,
    /// Nothing.
    Nothing,
}

/// An open order as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The order.
    pub order: Order,
    /// Its panels, by panel and finish.
    pub lines: Vec<Line>,
}

impl Standing {
    /// What of it can go now.
    pub fn can_go(&self) -> CanGo {
        let left: i64 = self.lines.iter().map(Line::left).sum();
        let ready: i64 = self.lines.iter().map(Line::ready_panels).sum();
        match ready {
            ready if ready == left && left > 0 => CanGo::Whole,
            1.. if self.order.parts_agreed => CanGo::Part,
            _ => CanGo::Nothing,
        }
    }
}

/// Every open order of which something is left to send, those due first before the others, with the ready panels given out in
/// that order: what one has is not there for the next.
pub fn standing(orders: &[Order], sets: &BTreeMap<SetId, PanelSet>, sent: &SentOut, lots: &[Lot]) -> Vec<Standing> {
    let mut open: Vec<&Order> = orders.iter().filter(|o| o.state == OrderState::Open).collect();
    open.sort_by_key(|o| (o.promised_on.unwrap_or(o.due_on), std::cmp::Reverse(o.priority), o.id.clone()));
    let mut all = in_turn(open, sets, sent, lots);
    all.retain(|standing| standing.lines.iter().any(|line| line.left() > 0));
    all
}

/// Orders as they stand, the ready panels given out in this order.
pub fn in_turn<'o>(
    orders: impl IntoIterator<Item = &'o Order>,
    sets: &BTreeMap<SetId, PanelSet>,
    sent: &SentOut,
    lots: &[Lot],
) -> Vec<Standing> {
    let mut ready = Ready::of(lots);
    let mut one = |order: &Order| Standing { order: order.clone(), lines: lines(order, sets, sent, &mut ready) };
    orders.into_iter().map(&mut one).collect()
}

/// Where an order wants less than was sent of it already.
pub fn less_than_sent(order: &Order, sets: &BTreeMap<SetId, PanelSet>, sent: &SentOut) -> Vec<Fault> {
    let wanted = order.panels(sets);
    let of_it = sent.iter().filter(|((id, ..), _)| *id == order.id);
    let fault = |((_, panel, finish), sent): (&(_, PanelId, FinishId), &i64)| {
        let wants = wanted.get(&(panel.clone(), finish.clone())).copied().unwrap_or(0);
        let detail = format!(
            "{sent} {panel} in {finish} were sent already, and the lines ask for {wants}: ask for {sent} at the least"
        );
        (wants < *sent).then(|| Fault::at("/lines", detail))
    };
    of_it.filter_map(fault).collect()
}

/// One order by itself, with all ready panels there for it.
pub fn alone(order: &Order, sets: &BTreeMap<SetId, PanelSet>, sent: &SentOut, lots: &[Lot]) -> Standing {
    Standing { order: order.clone(), lines: lines(order, sets, sent, &mut Ready::of(lots)) }
}

fn lines(order: &Order, sets: &BTreeMap<SetId, PanelSet>, sent: &SentOut, ready: &mut Ready) -> Vec<Line> {
    let wanted = order.panels(sets).into_iter().map(|((panel, finish), ordered)| {
        let sent = sent.get(&(order.id.clone(), panel.clone(), finish.clone())).copied().unwrap_or(0);
        let mut line = Line { panel, finish, ordered, sent, ready: Vec::new() };
        line.ready = ready.take(&line.panel, &line.finish, line.left());
        line
    });
    wanted.collect()
}

/// Ready panels not yet given to an order: by panel and finish the lots, those first that became ready first.
struct Ready(BTreeMap<(PanelId, FinishId), Vec<ReadyLot>>);

/// Since when a lot is ready, which it is, and how many of it nobody has.
type ReadyLot = (Day, LotId, i64);

impl Ready {
    fn of(lots: &[Lot]) -> Self {
        let mut ready: BTreeMap<_, Vec<ReadyLot>> = BTreeMap::new();
        for lot in lots.iter().filter(|l| l.stage == Stage::Ready && l.quantity > 0) {
            let key = (lot.panel.clone(), lot.finish.clone());
            ready.entry(key).or_default().push((lot.since, lot.id, lot.quantity));
        }
        ready.values_mut().for_each(|lots| lots.sort());
        Self(ready)
    }

    fn take(&mut self, panel: &PanelId, finish: &FinishId, mut wanted: i64) -> Vec<(LotId, i64)> {
        let mut taken = Vec::new();
        for (_, lot, there) in self.0.get_mut(&(panel.clone(), finish.clone())).into_iter().flatten() {
            let some = wanted.min(*there);
            if some > 0 {
                *there -= some;
                wanted -= some;
                taken.push((*lot, some));
            }
        }
        taken
    }
}

/// Panels that a person says are to go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Which panel.
    pub panel: PanelId,
    /// In which finish.
    pub finish: FinishId,
    /// How many, 1 or more.
    pub quantity: i64,
}

/// What goes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Load {
    /// So many panels of each lot.
    pub lots: Vec<(LotId, i64)>,
    /// The hardware: with the last panels of the order only.
    pub hardware: Vec<(MaterialId, Pieces)>,
    /// Whether nothing of the order is left to send after it.
    pub complete: bool,
}

/// Decides what goes of an order: the parts named, or all that is left where none is named.
///
/// # Errors
/// Every fault: an order that is not open, panels that are not wanted or not ready, a part where none was agreed.
pub fn load(standing: &Standing, sets: &BTreeMap<SetId, PanelSet>, parts: Option<&[Part]>) -> Result<Load, Vec<Fault>> {
    let order = &standing.order;
    if order.state != OrderState::Open {
        let state = if order.state == OrderState::Dispatched { "sent out already" } else { "withdrawn" };
        return Err(vec![Fault::at("", format!("the order {} is {state}: nothing of it is left to send", order.id))]);
    }
    let mut faults = Vec::new();
    let mut load = Load { complete: true, ..Load::default() };
    for (index, part) in parts.into_iter().flatten().enumerate() {
        faults.extend(part_faults(index, part, standing));
    }
    for line in &standing.lines {
        let named = |p: &&Part| p.panel == line.panel && p.finish == line.finish;
        let wanted = match parts {
            None => line.left(),
            Some(parts) => parts.iter().filter(named).map(|p| p.quantity).sum(),
        };
        let ready = line.ready_panels();
        if wanted > ready && parts.is_none() {
            let (panel, finish) = (&line.panel, &line.finish);
            let detail = format!(
                "{wanted} {panel} in {finish} are wanted, and {ready} stand ready: wait for the others{}",
                name_parts(order)
            );
            faults.push(Fault::at("", detail));
        }
        load.complete &= wanted == line.left();
        let mut left = wanted.min(ready);
        for (lot, there) in &line.ready {
            let some = left.min(*there);
            if some > 0 {
                load.lots.push((*lot, some));
                left -= some;
            }
        }
    }
    if faults.is_empty() && load.lots.is_empty() && parts.is_some() {
        faults.push(Fault::at("/panels", "is empty: name what goes, or leave it out to send all that is left"));
    }
    if faults.is_empty() && !load.complete && !order.parts_agreed {
        let detail = format!(
            "the customer of {} has not agreed to parts: send the order whole, or note parts_agreed in it",
            order.id
        );
        faults.push(Fault::at("/panels", detail));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    if load.complete {
        load.hardware = hardware(order, sets);
    }
    Ok(load)
}

/// Decides what goes where a person named the lot: so many of its panels as a part of the order, by the rules of [`load`].
///
/// # Errors
/// Those of [`load`], told of `/quantity` and `/order`.
pub fn load_from(
    order: &Order,
    sets: &BTreeMap<SetId, PanelSet>,
    sent: &SentOut,
    lot: &Lot,
    quantity: i64,
) -> Result<Load, Vec<Fault>> {
    let part = Part { panel: lot.panel.clone(), finish: lot.finish.clone(), quantity };
    load(&alone(order, sets, sent, std::slice::from_ref(lot)), sets, Some(&[part])).map_err(|faults| {
        let place = |fault: &Fault| if fault.pointer.ends_with("/quantity") { "/quantity" } else { "/order" };
        faults.into_iter().map(|fault| Fault::at(place(&fault), fault.detail)).collect()
    })
}

fn name_parts(order: &Order) -> &'static str {
    if order.parts_agreed { ", or name in panels what goes now" } else { "" }
}

fn part_faults(index: usize, part: &Part, standing: &Standing) -> Vec<Fault> {
    let at = |field: &str| format!("/panels/{index}/{field}");
    let (panel, finish, quantity) = (&part.panel, &part.finish, part.quantity);
    let line = standing.lines.iter().find(|l| l.panel == *panel && l.finish == *finish);
    let detail = match line {
        None => return vec![Fault::at(at("panel"), format!("the order wants no {panel} in {finish}: leave it out"))],
        Some(_) if quantity < 1 => format!("{quantity} is out of range: give 1 or more"),
        Some(line) if quantity > line.left() => format!("{quantity} are more than the {} left to send", line.left()),
        Some(line) if quantity > line.ready_panels() => {
            format!("{quantity} are more than the {} that stand ready", line.ready_panels())
        }
        Some(_) => return Vec::new(),
    };
    vec![Fault::at(at("quantity"), detail)]
}

/// The hardware of an order's sets, by material.
pub fn hardware(order: &Order, sets: &BTreeMap<SetId, PanelSet>) -> Vec<(MaterialId, Pieces)> {
    let mut sums: BTreeMap<MaterialId, i64> = BTreeMap::new();
    for line in &order.lines {
        let Item::Set(set) = &line.item else { continue };
        for (material, pieces) in sets.get(set).into_iter().flat_map(|s| &s.hardware) {
            *sums.entry(material.clone()).or_default() += pieces.get() * line.quantity;
        }
    }
    sums.into_iter().map(|(material, pieces)| (material, Pieces::new(pieces))).collect()
}

/// The mass of one panel, with the state of its concrete and where it is from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelMass {
    /// Grams, rounded up: who lifts it is not to find it heavier.
    pub each: Grams,
    /// The state the concrete was in.
    pub state: ConcreteState,
    /// Where it is from.
    pub source: String,
}

/// What one panel of a revision weighs, as near to the state it is sent in as anything is known: panels weighed air-dry in
/// trials, else its concrete at the air-dry density of trials, else the same fresh at the revision's target density, which
/// is more than it weighs dry. Mesh is in what was weighed only.
pub fn panel_mass(panel: &Panel, revision: &MixRevision, trials: &[Trial]) -> PanelMass {
    let of_it: Vec<&Trial> = trials.iter().filter(|t| t.revision == revision.id).collect();
    let litres = panel.concrete().get() as f64 / 1000.0;
    if let Some(grams) = mean(of_it.iter().filter_map(|t| t.panel_mass(&panel.id, HardState::AirDry))) {
        let source = "weighed air-dry in trials".to_owned();
        return PanelMass { each: grams_up(grams), state: ConcreteState::AirDry, source };
    }
    if let Some(kg_m3) = mean(of_it.iter().filter_map(|t| t.density(HardState::AirDry))) {
        let source = "its concrete at the air-dry density of trials, without mesh".to_owned();
        return PanelMass { each: grams_up(kg_m3 * litres), state: ConcreteState::AirDry, source };
    }
    let source = "its concrete fresh at the target density, without mesh; dry it weighs less".to_owned();
    PanelMass { each: grams_up(revision.wet_density_kg_m3 * litres), state: ConcreteState::Fresh, source }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

/// kg/m³ times litres are grams.
fn grams_up(grams: f64) -> Grams {
    Grams::new(grams.ceil() as i64)
}

/// So many panels of one kind and revision on a pack list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Packed {
    /// Which panel.
    pub panel: PanelId,
    /// In which finish.
    pub finish: FinishId,
    /// From which revision: its mass hangs on it.
    pub revision: RevisionId,
    /// How many.
    pub quantity: i64,
    /// From which lots.
    pub lots: Vec<LotId>,
    /// The mass of one.
    pub mass: PanelMass,
}

/// What is to be known of panels before they are lifted and driven away. `limit` is the workshop's: two people above it.
pub fn lifting_notes(packed: &[Packed], names: &BTreeMap<PanelId, String>, limit: Grams) -> Vec<String> {
    let mut notes = Vec::new();
    for one in packed.iter().filter(|p| p.mass.each > limit) {
        let name = names.get(&one.panel).map_or(one.panel.as_str(), String::as_str);
        notes.push(format!(
            "{name} weighs {:.1} kg, above this workshop's limit of {:.1} kg: two people or a lifting aid.",
            kilograms(one.mass.each),
            kilograms(limit)
        ));
    }
    if !packed.is_empty() {
        notes.extend(ALWAYS.map(str::to_owned));
    }
    notes
}

/// No mass is safe to lift by itself: Health and Safety Executive, "Manual handling assessment: risk filters" (no legal weight
/// limit; filter values are no safe limits; twisting, reaching and repeating lower them; read). How panels are carried and
/// loaded: common practice, no source.
const ALWAYS: [&str; 2] = [
    "No mass makes a lift safe by itself: bend, twist and reach as little as possible.",
    "Carry and load panels on edge, with something soft between them, and tie them upright: flat they break.",
];

fn kilograms(mass: Grams) -> f64 {
    mass.get() as f64 / 1000.0
}
