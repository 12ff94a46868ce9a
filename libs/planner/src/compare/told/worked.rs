//! Days, hours, places, pins and policy.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;
use workshop::documents::facts::{MouldGroup, Pour, Room};

use super::super::because::Because;
use super::{List, both};

impl List<'_> {
    /// Working days, hours and batches of the days both plans know.
    pub(super) fn days(&mut self) {
        let (old, new, first) = (self.old, self.new, self.first());
        let last = old.last_day.min(new.last_day);
        for day in first.iter_days().take_while(|day| *day <= last) {
            match (old.working_days.contains(&day), new.working_days.contains(&day)) {
                (true, false) => {
                    self.add(Because::Calendar, "", format!("{day} is closed")).days = BTreeSet::from([day]);
                }
                (false, true) => {
                    self.add(Because::Calendar, "", format!("{day} is worked")).days = BTreeSet::from([day]);
                }
                (true, true) if old.labour_minutes.on(day) != new.labour_minutes.on(day) => {
                    let (was, is) = (old.labour_minutes.on(day), new.labour_minutes.on(day));
                    let sentence = format!("{day} has {is} minutes of labour instead of {was}");
                    self.add(Because::Hours, "", sentence).days = BTreeSet::from([day]);
                }
                _ => {}
            }
        }
        if old.mixer_batches != new.mixer_batches {
            let (was, is) = (old.mixer_batches, new.mixer_batches);
            self.add(Because::Mixer, "", format!("the mixer manages {is} batches a day instead of {was}"));
        }
    }

    pub(super) fn places(&mut self) {
        let (old, new, first) = (self.old, self.new, self.first());
        let last = old.last_day.min(new.last_day);
        for (was, is) in both(&old.mould_groups, &new.mould_groups, |g| &g.id) {
            let Some(any) = is.or(was) else { continue };
            let count = |group: Option<&MouldGroup>, day| group.map_or(0, |g| g.in_service(day));
            let differ: BTreeSet<Day> = first
                .iter_days()
                .take_while(|day| *day <= last)
                .filter(|day| count(was, *day) != count(is, *day))
                .collect();
            if let Some(day) = differ.first().copied() {
                let (before, after) = (count(was, day), count(is, day));
                let sentence = format!("group \"{}\" has {after} moulds instead of {before} from {day}", any.id);
                let kinds = self.cast_in(&any.id);
                let told = self.add(Because::Moulds, &any.id, sentence);
                (told.kinds, told.days) = (kinds, BTreeSet::new());
            }
        }
        for (noun, old, new) in [("tank", &old.tanks, &new.tanks), ("rack", &old.racks, &new.racks)] {
            for (was, is) in both(old, new, |room| &room.id) {
                let Some(any) = is.or(was) else { continue };
                let mm = |room: Option<&Room>| room.map_or(0.0, |room| room.mm);
                if mm(was) != mm(is) {
                    let sentence = format!("{noun} \"{}\" has {} mm of row instead of {}", any.id, mm(is), mm(was));
                    self.add(Because::Rooms, &any.id, sentence);
                }
            }
        }
    }

    fn cast_in(&self, group: &str) -> BTreeSet<(String, String)> {
        let panels = self.new.panels.iter().filter(|panel| panel.mould_group == group);
        panels.flat_map(|panel| self.kinds_of(&panel.id)).collect()
    }

    pub(super) fn pins(&mut self) {
        let sums = |pins: &[Pour]| {
            let mut sums: BTreeMap<(Day, String, String), i64> = BTreeMap::new();
            pins.iter().for_each(|p| *sums.entry((p.day, p.panel.clone(), p.mix.clone())).or_default() += p.quantity);
            sums
        };
        let (before, after) = (sums(&self.old.pinned), sums(&self.new.pinned));
        let keys: BTreeSet<_> =
            before.keys().chain(after.keys()).filter(|key| key.0 >= self.first()).cloned().collect();
        for key in keys.into_iter().filter(|key| before.get(key) != after.get(key)) {
            let (day, panel, mix) = &key;
            let sentence = match after.get(&key) {
                Some(count) => format!("{count} of panel \"{panel}\" in mix \"{mix}\" are pinned on {day}"),
                None => format!("panel \"{panel}\" in mix \"{mix}\" is no longer pinned on {day}"),
            };
            let finish = self.new.mixes.iter().find(|m| m.id == *mix).map(|m| m.finish.clone());
            let kinds = finish.into_iter().map(|finish| (panel.clone(), finish)).collect();
            let told = self.add(Because::Pin, panel, sentence);
            (told.kinds, told.days) = (kinds, BTreeSet::from([*day]));
        }
    }

    pub(super) fn policy(&mut self) {
        let (old, new) = (&self.old.policy, &self.new.policy);
        if old.steady_days != new.steady_days {
            let sentence = format!("{} days are held steady instead of {}", new.steady_days, old.steady_days);
            self.add(Because::Policy, "", sentence);
        }
        if old.unmet_days != new.unmet_days {
            let sentence =
                format!("what is not ready counts {} days more instead of {}", new.unmet_days, old.unmet_days);
            self.add(Because::Policy, "", sentence);
        }
    }
}
