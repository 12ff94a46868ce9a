//! Facts and plan laid out to be looked up: ids, working days, and the plan's rows that can be read at all.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use workshop::documents::facts::{Facts, Lot, Material, Mix, Panel, Room};
use workshop::documents::plan::{Batches, Lift, Plan, Pour, Strip};

use super::{Broken, Rule, tell};

/// A panel and a mix.
pub(super) type Pair<'a> = (&'a str, &'a str);

/// Panels or packs added up. A row may name any whole number there is; sums of them fit into twice the width.
pub(super) type Count = i128;

/// A row and the number of its working day.
pub(super) type Dated<'a, T> = (usize, &'a T);

pub(super) struct Sheet<'a> {
    pub facts: &'a Facts,
    pub plan: &'a Plan,
    /// Working days of the horizon.
    pub days: Vec<Day>,
    pub panels: BTreeMap<&'a str, &'a Panel>,
    pub mixes: BTreeMap<&'a str, &'a Mix>,
    pub materials: BTreeMap<&'a str, &'a Material>,
    pub pours: Vec<Dated<'a, Pour>>,
    pub strips: Vec<Dated<'a, Strip>>,
    pub lifts: Vec<Dated<'a, Lift>>,
    pub batches: Vec<Dated<'a, Batches>>,
}

impl<'a> Sheet<'a> {
    pub fn new(facts: &'a Facts, plan: &'a Plan, broken: &mut Vec<Broken>) -> Self {
        let horizon = facts.working_days.range(facts.first_day..).take_while(|day| **day <= facts.last_day);
        let mut sheet = Sheet {
            facts,
            plan,
            days: horizon.copied().collect(),
            panels: facts.panels.iter().map(|p| (p.id.as_str(), p)).collect(),
            mixes: facts.mixes.iter().map(|m| (m.id.as_str(), m)).collect(),
            materials: facts.materials.iter().map(|m| (m.id.as_str(), m)).collect(),
            pours: Vec::new(),
            strips: Vec::new(),
            lifts: Vec::new(),
            batches: Vec::new(),
        };
        sheet.pours = sheet.rows("pours", &plan.pours, |r| (r.day, Some(&r.panel), &r.mix, r.quantity), broken);
        sheet.strips = sheet.rows("strips", &plan.strips, |r| (r.day, Some(&r.panel), &r.mix, r.quantity), broken);
        sheet.lifts = sheet.rows("lifts", &plan.lifts, |r| (r.day, Some(&r.panel), &r.mix, r.quantity), broken);
        sheet.batches = sheet.rows("batches", &plan.batches, |r| (r.day, None, &r.mix, 1), broken);
        sheet
    }

    /// The rows of a list that can be read; the others are told.
    fn rows<T>(
        &self,
        list: &str,
        rows: &'a [T],
        parts: impl Fn(&'a T) -> (Day, Option<&'a String>, &'a String, i64),
        broken: &mut Vec<Broken>,
    ) -> Vec<Dated<'a, T>> {
        let mut good = Vec::new();
        for (n, row) in rows.iter().enumerate() {
            let (day, panel, mix, quantity) = parts(row);
            let place = format!("{list}/{n}");
            match self.index(day) {
                None => tell(broken, Rule::Rows, place, format!("{day} is not a working day of the horizon")),
                Some(_) if quantity < 1 => {
                    tell(broken, Rule::Rows, place, format!("a quantity of {quantity} is not 1 or more"));
                }
                Some(_) if panel.is_some_and(|id| !self.panels.contains_key(id.as_str())) => {
                    tell(broken, Rule::Rows, place, "it names a panel the facts do not know");
                }
                Some(_) if !self.mixes.contains_key(mix.as_str()) => {
                    tell(broken, Rule::Rows, place, format!("the facts know no mix \"{mix}\""));
                }
                Some(index) => good.push((index, row)),
            }
        }
        good
    }

    /// Number of a working day.
    pub fn index(&self, day: Day) -> Option<usize> {
        self.days.binary_search(&day).ok()
    }

    /// Number of the first working day not before a day; one past the last where there is none.
    pub fn on_or_after(&self, day: Day) -> usize {
        self.days.partition_point(|d| *d < day)
    }

    /// Number of the first working day so many calendar days after a day, not before the horizon.
    pub fn after(&self, day: Day, days: i64) -> usize {
        let span = chrono::Duration::try_days(days);
        let then = span.and_then(|span| day.checked_add_signed(span)).unwrap_or(Day::MAX);
        self.on_or_after(then.max(self.facts.first_day))
    }

    /// The tank a row means.
    pub fn tank<'b>(&'b self, named: &'b Option<String>) -> Option<&'b str> {
        meant(named, &self.facts.tanks)
    }

    /// The rack a row means.
    pub fn rack<'b>(&'b self, named: &'b Option<String>) -> Option<&'b str> {
        meant(named, &self.facts.racks)
    }

    /// The lots whose panel and mix are known.
    pub fn lots(&self) -> impl Iterator<Item = &'a Lot> {
        let (panels, mixes) = (&self.panels, &self.mixes);
        let known = move |lot: &&Lot| panels.contains_key(lot.panel.as_str()) && mixes.contains_key(lot.mix.as_str());
        self.facts.lots.iter().filter(known)
    }

    /// Counts by pair and working day.
    pub fn by_pair<T>(
        &self,
        rows: &[Dated<'a, T>],
        parts: impl Fn(&'a T) -> (&'a String, &'a String, i64),
    ) -> BTreeMap<Pair<'a>, Vec<Count>> {
        let mut counts = BTreeMap::new();
        for (day, row) in rows {
            let (panel, mix, quantity) = parts(row);
            let of_pair = counts.entry((panel.as_str(), mix.as_str())).or_insert_with(|| vec![0; self.days.len()]);
            of_pair[*day] += Count::from(quantity);
        }
        counts
    }

    /// Panels poured by pair and day.
    pub fn poured(&self) -> BTreeMap<Pair<'a>, Vec<Count>> {
        self.by_pair(&self.pours, |r| (&r.panel, &r.mix, r.quantity))
    }

    /// Panels stripped by pair and day.
    pub fn stripped(&self) -> BTreeMap<Pair<'a>, Vec<Count>> {
        self.by_pair(&self.strips, |r| (&r.panel, &r.mix, r.quantity))
    }

    /// Panels lifted by pair and day.
    pub fn lifted(&self) -> BTreeMap<Pair<'a>, Vec<Count>> {
        self.by_pair(&self.lifts, |r| (&r.panel, &r.mix, r.quantity))
    }
}

fn meant<'b>(named: &'b Option<String>, rooms: &'b [Room]) -> Option<&'b str> {
    match named.as_deref() {
        Some(id) if !id.is_empty() => Some(id),
        _ if rooms.len() == 1 => Some(&rooms[0].id),
        _ => None,
    }
}
