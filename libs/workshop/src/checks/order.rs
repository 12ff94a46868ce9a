//! Faults of an order: by itself, against the day, and against what the workshop can make.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;

use super::found::Found;
use crate::Fault;
use crate::catalogue::{Mix, MixRevision, Panel, PanelSet, RevisionState};
use crate::ids::{FinishId, MixId, PanelId, SetId};
use crate::orders::{Item, Order, OrderLine, OrderState};

/// Most lines of an order.
pub const LINES_MOST: usize = 200;

/// Every fault of an order by itself.
pub fn faults(order: &Order) -> Vec<Fault> {
    let mut found = Found::new();
    lines_in(&order.lines, &mut found);
    found.day("/due_on", order.due_on);
    if let Some(promised) = order.promised_on {
        found.day("/promised_on", promised);
    }
    if let Some(customer) = &order.customer {
        found.name("/customer", customer);
    }
    found.note("/note", order.note.as_deref());
    found.all()
}

/// Every fault of what is wanted by itself.
pub fn lines_faults(lines: &[OrderLine]) -> Vec<Fault> {
    let mut found = Found::new();
    lines_in(lines, &mut found);
    found.all()
}

fn lines_in(lines: &[OrderLine], found: &mut Found) {
    found.ensure(!lines.is_empty(), "/lines", || "is empty: an order has one line at least".to_owned());
    found.ensure(lines.len() <= LINES_MOST, "/lines", || format!("has more than {LINES_MOST} lines: split the order"));
    for (index, line) in lines.iter().enumerate() {
        found.whole(&format!("/lines/{index}/quantity"), line.quantity, 1..=10_000);
    }
}

/// A due day that is past. Typed, that is a slip; imported, it is history, and only said.
pub fn past_due(order: &Order, today: Day) -> Option<Fault> {
    let past = order.state == OrderState::Open && order.due_on < today;
    past.then(|| Fault::at("/due_on", format!("{} is past: today is {today}; give today or a later day", order.due_on)))
}

/// What the workshop can make, as far as an order needs to know.
#[derive(Clone, Debug, Default)]
pub struct Range {
    /// The sets there are.
    pub sets: BTreeMap<SetId, PanelSet>,
    /// The finishes each panel can be had in; a panel that is there has an entry, be it empty.
    pub finishes: BTreeMap<PanelId, BTreeSet<FinishId>>,
    /// The finishes there are.
    pub known_finishes: BTreeSet<FinishId>,
}

impl Range {
    /// From the catalogue: a panel can be had in the finish of each mix of which it suits a revision in use.
    pub fn new(
        sets: Vec<PanelSet>,
        panels: &[Panel],
        mixes: &[Mix],
        revisions: &[MixRevision],
        known_finishes: BTreeSet<FinishId>,
    ) -> Self {
        let finish_of: BTreeMap<&MixId, &FinishId> = mixes.iter().map(|mix| (&mix.id, &mix.finish)).collect();
        let in_use: BTreeSet<_> = revisions.iter().filter(|r| r.state == RevisionState::InUse).map(|r| &r.id).collect();
        let finishes_of = |panel: &Panel| {
            let suiting = panel.suits.iter().filter(|suit| in_use.contains(&suit.revision));
            suiting.filter_map(|suit| finish_of.get(&suit.revision.mix).map(|f| (*f).clone())).collect()
        };
        Self {
            finishes: panels.iter().map(|panel| (panel.id.clone(), finishes_of(panel))).collect(),
            sets: sets.into_iter().map(|set| (set.id.clone(), set)).collect(),
            known_finishes,
        }
    }
}

/// Every fault of what an order wants against what the workshop can make: sets, panels and finishes that are not there, and
/// finishes that no mix in use gives for one of the panels, with those that are possible.
pub fn range_faults(lines: &[OrderLine], range: &Range) -> Vec<Fault> {
    let mut found = Found::new();
    for (index, line) in lines.iter().enumerate() {
        line_faults(index, line, range, &mut found);
    }
    found.all()
}

fn line_faults(index: usize, line: &OrderLine, range: &Range, found: &mut Found) {
    let at = |field: &str| format!("/lines/{index}/{field}");
    if !range.known_finishes.contains(&line.finish) {
        let known = listed(range.known_finishes.iter());
        found.add(at("finish"), format!("there is no finish '{}'; {known}", line.finish));
    }
    let panels = match &line.item {
        Item::Panel(panel) if range.finishes.contains_key(panel) => vec![panel],
        Item::Panel(panel) => {
            found.add(at("panel"), format!("there is no panel '{panel}': make it first, or name one that is there"));
            return;
        }
        Item::Set(set) => match range.sets.get(set) {
            Some(set) => set.panels.iter().map(|(panel, _)| panel).collect(),
            None => {
                found.add(at("set"), format!("there is no set '{set}': make it first, or name one that is there"));
                return;
            }
        },
    };
    if range.known_finishes.contains(&line.finish) {
        finish_faults(&at("finish"), line, &panels, range, found);
    }
}

/// One sentence for the line: which panel cannot be had so, and in what all of them can.
fn finish_faults(pointer: &str, line: &OrderLine, panels: &[&PanelId], range: &Range, found: &mut Found) {
    let none = BTreeSet::new();
    let of = |panel: &PanelId| range.finishes.get(panel).unwrap_or(&none);
    let without: Vec<String> =
        panels.iter().filter(|p| !of(p).contains(&line.finish)).map(|p| format!("'{p}'")).collect();
    if without.is_empty() {
        return;
    }
    let mut possible = range.known_finishes.clone();
    for panel in panels {
        possible = possible.intersection(of(panel)).cloned().collect();
    }
    let possible = match possible.is_empty() {
        true => "no finish is possible for it: put a mix in use that suits the panel".to_owned(),
        false => format!("possible: {}", possible.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")),
    };
    let detail = format!("no mix in use gives '{}' for the panel {}; {possible}", line.finish, without.join(", "));
    found.add(pointer, detail);
}

fn listed<'a>(ids: impl Iterator<Item = &'a FinishId>) -> String {
    let names: Vec<String> = ids.map(ToString::to_string).collect();
    if names.is_empty() { "there is none yet".to_owned() } else { format!("there are {}", names.join(", ")) }
}
