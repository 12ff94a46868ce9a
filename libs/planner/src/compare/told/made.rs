//! Mixes and panels.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;
use workshop::documents::facts::{Mix, Panel};

use super::super::because::Because;
use super::{List, both};

impl List<'_> {
    pub(super) fn recipes(&mut self) {
        for (was, is) in both(&self.old.mixes, &self.new.mixes, |m| &m.id) {
            let (because, sentence) = match (was, is) {
                (None, Some(is)) => (Because::Recipe, format!("mix \"{}\" is new", is.id)),
                (Some(was), None) => (Because::Recipe, format!("mix \"{}\" is no longer used", was.id)),
                (Some(was), Some(is)) => match mix_change(was, is, self.first(), self.old.last_day) {
                    Some(change) => change,
                    None => continue,
                },
                (None, None) => continue,
            };
            let Some(any) = is.or(was) else { continue };
            let takes = |panel: &&Panel| panel.mixes.contains(&any.id);
            let panels = self.new.panels.iter().chain(&self.old.panels).filter(takes);
            let kinds = panels.map(|panel| (panel.id.clone(), any.finish.clone())).collect();
            self.add(because, &any.id, sentence).kinds = kinds;
        }
        for (was, is) in both(&self.old.panels, &self.new.panels, |p| &p.id) {
            let Some(any) = is.or(was) else { continue };
            if was != is {
                let kinds = self.kinds_of(&any.id);
                self.add(Because::Recipe, &any.id, format!("panel \"{}\" is another", any.id)).kinds = kinds;
            }
        }
    }

    pub(super) fn kinds_of(&self, panel: &str) -> BTreeSet<(String, String)> {
        let mixes = self.new.panels.iter().filter(|p| p.id == panel).flat_map(|p| &p.mixes);
        let finish = |mix: &String| self.new.mixes.iter().find(|m| m.id == *mix).map(|m| m.finish.clone());
        mixes.filter_map(finish).map(|finish| (panel.to_owned(), finish)).collect()
    }
}

fn mix_change(was: &Mix, is: &Mix, first: Day, last: Day) -> Option<(Because, String)> {
    let weather = |mix: &Mix| {
        let known = |day: &Day| (first..=last).contains(day);
        let cold: BTreeSet<Day> = mix.not_on.iter().copied().filter(known).collect();
        let days = first.iter_days().take_while(|day| *day <= last);
        let holds: Vec<i64> = days.map(|day| mix.hold_when_poured_on(day)).collect();
        (cold, holds)
    };
    let plain = |mix: &Mix| Mix { not_on: BTreeSet::new(), hold_days_on: BTreeMap::new(), hold_days: 0, ..mix.clone() };
    if plain(was) != plain(is) {
        return Some((Because::Recipe, format!("mix \"{}\" is another", is.id)));
    }
    let ((cold_before, holds_before), (cold, holds)) = (weather(was), weather(is));
    if cold_before != cold {
        return Some((Because::Weather, format!("mix \"{}\" may not be poured on other days than before", is.id)));
    }
    (holds_before != holds).then(|| (Because::Weather, format!("mix \"{}\" stays in its moulds otherwise", is.id)))
}
