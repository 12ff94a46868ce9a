//! Moulds by their numbers: which one each panel is poured in. A mould is called by its group and the number painted on it,
//! 1 to as many as the group has.
//!
//! Panels of a day are given the moulds that stand empty, the one unused for the longest first, so that all wear alike. Since
//! moulds of a group are alike and pours are given out in the order of their days, taking any empty one never costs a later
//! pour its own: whenever there is a way, this is one.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate as Day};

use crate::catalogue::{MouldGroup, Panel};
use crate::documents::Plan;
use crate::ids::{LotId, MouldGroupId, PanelId, RevisionId, TicketNumber};
use crate::lots::Lot;
use crate::tickets::Ticket;

/// A mould that goes out of service within so many days is given last: its panel may still be in it.
const STAY_DAYS: u64 = 7;
/// From this share of its life on a mould is warned of.
const NEAR_LIFE: f64 = 0.9;

/// Where the use of a mould stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UseState {
    /// On a ticket that is not mixed yet.
    Given,
    /// A panel stands in it.
    Filled,
    /// Empty again.
    Over,
    /// It came to nothing: the ticket was voided, or the panel was never whole.
    NotUsed,
}

/// One panel in one mould.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MouldUse {
    /// Of which group.
    pub group: MouldGroupId,
    /// Its number.
    pub number: i64,
    /// Day of the pour.
    pub day: Day,
    /// The ticket that fills the panel up.
    pub ticket: TicketNumber,
    /// The ticket that begins it, where that is another.
    pub begun_by: Option<TicketNumber>,
    /// Which panel.
    pub panel: PanelId,
    /// The lot it is in, once mixed.
    pub lot: Option<LotId>,
    /// Where it stands.
    pub state: UseState,
}

/// What one mould has been through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Worn {
    /// Panels poured in it.
    pub uses: i64,
    /// The last day of a pour.
    pub last: Option<Day>,
    /// Whether it is given out or a panel stands in it.
    pub taken: bool,
}

/// The moulds of one group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shelf {
    /// The group.
    pub group: MouldGroup,
    /// What each mould has been through, by its number.
    pub worn: BTreeMap<i64, Worn>,
    /// Panels that stand in moulds of the group of which nobody said which.
    pub unknown: i64,
    /// Moulds that are empty only once today's strips are done.
    pub after_strips: BTreeSet<i64>,
}

impl Shelf {
    /// The group's moulds with what was done in them, in any order. `standing` are all panels in moulds of the group.
    pub fn of(group: MouldGroup, uses: &[MouldUse], standing: i64) -> Self {
        let mut worn: BTreeMap<i64, Worn> = (1..=group.moulds).map(|number| (number, Worn::default())).collect();
        let mut known = 0;
        for one in uses.iter().filter(|one| one.group == group.id && one.state != UseState::NotUsed) {
            let mould = worn.entry(one.number).or_default();
            mould.last = mould.last.max(Some(one.day));
            mould.uses += i64::from(one.state != UseState::Given);
            mould.taken |= matches!(one.state, UseState::Given | UseState::Filled);
            known += i64::from(one.state == UseState::Filled);
        }
        Self { group, worn, unknown: (standing - known).max(0), after_strips: BTreeSet::new() }
    }

    /// The numbers out of service on a day: those named, and where none are, the highest.
    pub fn out_on(&self, day: Day) -> BTreeSet<i64> {
        let mut out = BTreeSet::new();
        for missing in self.group.out_of_service.iter().filter(|o| (o.from..=o.to).contains(&day)) {
            out.extend(missing.which.iter().copied());
            let unnamed = missing.moulds - i64::try_from(missing.which.len()).unwrap_or(i64::MAX);
            for _ in 0..unnamed.max(0) {
                out.extend((1..=self.group.moulds).rev().find(|number| !out.contains(number)));
            }
        }
        out
    }

    /// Moulds that may be poured in on a day, the best first: empty already, not soon out of service, unused for the longest,
    /// lowest number.
    pub fn empty_on(&self, day: Day) -> Vec<i64> {
        let out = self.out_on(day);
        let soon: BTreeSet<i64> = (1..=STAY_DAYS).flat_map(|days| self.out_on(day + Days::new(days))).collect();
        let stand =
            |(number, worn): &(&i64, &Worn)| !worn.taken && !out.contains(*number) && **number <= self.group.moulds;
        let key = |(n, worn): (&i64, &Worn)| (self.after_strips.contains(n), soon.contains(n), worn.last, *n);
        let mut empty: Vec<_> = self.worn.iter().filter(stand).map(key).collect();
        empty.sort_unstable();
        // Somewhere the panels nobody named a mould for stand as well; as far as anyone knows, in the last of these.
        let known = empty.len().saturating_sub(usize::try_from(self.unknown).unwrap_or(usize::MAX));
        empty.into_iter().take(known).map(|(.., number)| number).collect()
    }

    /// What there is to say of a mould's wear after one more use, where it nears the group's life.
    pub fn wear(&self, number: i64) -> Option<String> {
        let life = self.group.life_uses?;
        let uses = self.worn.get(&number).map_or(0, |worn| worn.uses);
        let near = uses as f64 >= life as f64 * NEAR_LIFE;
        near.then(|| format!("mould {} {number} has been used {uses} of {life} times: look it over", self.group.id))
    }
}

/// Counts the moulds that the plan strips on `day` as empty, where they may be poured again the same day: the oldest panels
/// come out first. One that a ticket of another day waits for, since its panel was to be stripped by then, stays that ticket's.
pub fn expect_strips(shelves: &mut [Shelf], uses: &[MouldUse], lots: &[Lot], panels: &[Panel], plan: &Plan, day: Day) {
    let given = uses.iter().filter(|one| one.state == UseState::Given);
    let given: BTreeSet<(&MouldGroupId, i64)> = given.map(|one| (&one.group, one.number)).collect();
    for strip in plan.strips.iter().filter(|strip| strip.day == day) {
        let Some(panel) = panels.iter().find(|panel| panel.id.as_str() == strip.panel) else { continue };
        let of_group = |shelf: &&mut Shelf| shelf.group.id == panel.mould_group && shelf.group.turnaround_days == 0;
        let Some(shelf) = shelves.iter_mut().find(of_group) else { continue };
        let of_mix = |id: LotId| lots.iter().any(|lot| lot.id == id && lot.revision.to_string() == strip.mix);
        let stands =
            |one: &&MouldUse| one.state == UseState::Filled && one.panel == panel.id && one.lot.is_some_and(of_mix);
        let mut standing: Vec<(Day, i64)> = uses.iter().filter(stands).map(|one| (one.day, one.number)).collect();
        standing.retain(|(_, number)| !shelf.after_strips.contains(number));
        standing.sort_unstable();
        standing.truncate(usize::try_from(strip.quantity).unwrap_or(0));
        let unnamed = strip.quantity - i64::try_from(standing.len()).unwrap_or(0);
        shelf.unknown = (shelf.unknown - unnamed).max(0);
        for (_, number) in standing {
            shelf.worn.entry(number).or_default().taken = given.contains(&(&shelf.group.id, number));
            shelf.after_strips.insert(number);
        }
    }
}

/// Gives the day's tickets, in mixing order, their moulds. A panel begun by one batch keeps its mould to the batch that fills
/// it up. Where no mould is known to be empty the ticket says so.
pub fn give(shelves: &[Shelf], tickets: &mut [Ticket], day: Day) {
    let by_group: BTreeMap<&MouldGroupId, &Shelf> = shelves.iter().map(|shelf| (&shelf.group.id, shelf)).collect();
    let mut empty: BTreeMap<MouldGroupId, Vec<i64>> =
        by_group.iter().map(|(id, shelf)| ((*id).clone(), shelf.empty_on(day).into_iter().rev().collect())).collect();
    let mut begun: BTreeMap<(RevisionId, PanelId), i64> = BTreeMap::new();
    for ticket in tickets {
        let mut cautions = Vec::new();
        for fill in &mut ticket.fills {
            let key = (ticket.revision.clone(), fill.panel.clone());
            let begins = fill.begun.get() > 0;
            let wanted = usize::try_from(fill.finished).unwrap_or(0) + usize::from(begins);
            fill.moulds.extend(begun.remove(&key));
            let stack = empty.entry(fill.mould_group.clone()).or_default();
            while fill.moulds.len() < wanted
                && let Some(number) = stack.pop()
            {
                fill.moulds.push(number);
                cautions.extend(by_group.get(&fill.mould_group).and_then(|shelf| shelf.wear(number)));
            }
            if let Some(last) = fill.moulds.last().filter(|_| begins && fill.moulds.len() == wanted) {
                begun.insert(key, *last);
            }
            let missing = wanted.saturating_sub(fill.moulds.len());
            if missing > 0 {
                cautions.push(format!(
                    "for {missing} {} no mould of {} is known to be empty: see which are, and correct the records",
                    fill.panel, fill.mould_group
                ));
            }
        }
        ticket.cautions.extend(cautions);
    }
}

#[cfg(test)]
mod tests;
