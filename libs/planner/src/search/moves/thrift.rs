//! Changes that can make a diary cheaper: other mixes, fewer washouts, panels poured that would be put off.

use super::super::diary::Diary;
use super::super::walk::{Step, Walker};
use super::Hand;
use crate::problem::{DayIx, KindIx, MakeIx};

impl Hand<'_> {
    /// Has panels poured from another mix of their finish, on another day on which their mix is poured anyway, or both; or all of a mix;
    /// or so late that nobody waits for them.
    pub(super) fn save(&mut self, diary: &mut Diary, walker: &Walker) {
        let found = (0..8).map(|_| self.any_day()).find(|day| !walker.days[*day].pours.is_empty());
        let Some(day) = found else { return };
        let pours = &walker.days[day].pours;
        let step = pours[self.rng.below(pours.len())];
        match self.rng.below(8) {
            0 => self.another_mix(diary, walker, day, step),
            1 => self.all_on_another_day(diary, walker, day, step),
            2 => self.on_another_day(diary, walker, day, step),
            3 => self.put_in(diary, walker),
            4 => self.put_back(diary, walker, day, step),
            5 => self.all_from_another_mix(diary, walker, day, step),
            6 => self.another_mix_on_another_day(diary, walker, day, step),
            _ => self.tinker(diary, walker),
        }
    }

    /// All panels of a step, or some.
    fn some_of(&mut self, step: Step) -> i64 {
        if self.rng.below(2) == 0 { step.quantity } else { 1 + self.rng.below(step.quantity.max(1) as usize) as i64 }
    }

    /// Another make of the kind of a make, by lot: more often than not one that costs less.
    fn other_make(&mut self, make: MakeIx) -> Option<MakeIx> {
        let problem = self.problem;
        let of_kind = &problem.kinds[problem.makes[make].kind].makes;
        let (costs, any) = (problem.make_price(make), self.rng.below(4) == 0);
        let may = |other: &&MakeIx| **other != make && (any || problem.make_price(**other) < costs);
        let count = of_kind.iter().filter(may).count();
        if count == 0 {
            return None;
        }
        of_kind.iter().filter(may).nth(self.rng.below(count)).copied()
    }

    fn another_mix(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, step: Step) {
        let few = self.some_of(step);
        if let Some(other) = self.other_make(step.make) {
            self.fix(diary, walker, day, &[(step.make, -few), (other, few)]);
        }
    }

    /// What a day pours of a mix.
    fn of_mix(&self, walker: &Walker, day: DayIx, mix: usize) -> Vec<(MakeIx, i64)> {
        let pours = walker.days[day].pours.iter().filter(|step| self.problem.makes[step.make].mix == mix);
        pours.map(|step| (step.make, step.quantity)).collect()
    }

    fn all_on_another_day(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, step: Step) {
        let mix = self.problem.makes[step.make].mix;
        let (other, all) = (self.day_with(walker, day, mix), self.of_mix(walker, day, mix));
        if other != day {
            let none: Vec<(MakeIx, i64)> = all.iter().map(|(make, quantity)| (*make, -quantity)).collect();
            self.fix(diary, walker, day, &none);
            self.fix(diary, walker, other, &all);
        }
    }

    /// The washout of the mix is saved as well where every panel can be poured from the other.
    fn all_from_another_mix(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, step: Step) {
        let Some(other) = self.other_make(step.make) else { return };
        let all = self.of_mix(walker, day, self.problem.makes[step.make].mix);
        let swapped =
            all.iter().flat_map(|(make, quantity)| [(*make, -quantity), (self.like(*make, other), *quantity)]);
        let swapped: Vec<(MakeIx, i64)> = swapped.collect();
        self.fix(diary, walker, day, &swapped);
    }

    fn on_another_day(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, step: Step) {
        let few = match self.rng.below(3) {
            0 => step.quantity,
            1 => self.for_last_line(diary, walker, day, step),
            _ => 1 + self.rng.below(3) as i64,
        };
        let other = self.day_with(walker, day, self.problem.makes[step.make].mix);
        if other != day {
            self.fix(diary, walker, day, &[(step.make, -few)]);
            self.fix(diary, walker, other, &[(step.make, few)]);
        }
    }

    /// A mix that holds longer does where panels are poured sooner.
    fn another_mix_on_another_day(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, step: Step) {
        let few = self.some_of(step);
        let Some(make) = self.other_make(step.make) else { return };
        let other = self.day_with(walker, day, self.problem.makes[make].mix);
        if other != day {
            self.fix(diary, walker, day, &[(step.make, -few)]);
            self.fix(diary, walker, other, &[(make, few)]);
        }
    }

    /// Has some panels of a step poured so late that no order waits for them.
    fn put_back(&mut self, diary: &mut Diary, walker: &Walker, day: DayIx, step: Step) {
        let few = self.some_of(step);
        if let Some((other, make)) = self.beyond(self.problem.makes[step.make].kind).filter(|beyond| beyond.0 != day) {
            self.fix(diary, walker, day, &[(step.make, -few)]);
            self.fix(diary, walker, other, &[(make, few)]);
        }
    }

    /// Has panels poured that would be put off, from the cheapest mix and so late that no order waits for them.
    fn put_in(&mut self, diary: &mut Diary, walker: &Walker) {
        let last = self.problem.len() - 1;
        let short = |kind: KindIx| diary.turns[kind].upto.last().copied().unwrap_or(0) - walker.covered_by(last, kind);
        let found = (0..8).map(|_| self.rng.below(self.problem.kinds.len())).find(|kind| short(*kind) > 0);
        let Some(kind) = found else { return };
        let all = short(kind);
        let few = if self.rng.below(2) == 0 { all } else { 1 + self.rng.below(all as usize) as i64 };
        if let Some((day, make)) = self.beyond(kind) {
            self.fix(diary, walker, day, &[(make, few)]);
        }
    }

    /// A day by lot on which the cheapest make of a kind that may be poured can no longer be ready within the horizon.
    fn beyond(&mut self, kind: KindIx) -> Option<(DayIx, MakeIx)> {
        let problem = self.problem;
        let suits = problem.kinds[kind].makes.iter().copied().filter(|make| problem.makes[*make].suits);
        let make = suits.min_by(|a, b| problem.make_price(*a).total_cmp(&problem.make_price(*b)))?;
        let from = problem.makes[make].ready_soonest.partition_point(|ready| *ready < problem.len());
        (from < problem.len()).then(|| (from + self.rng.below(problem.len() - from), make))
    }

    /// A near day on which a mix is poured, if a few looks find one; else any near day.
    fn day_with(&mut self, walker: &Walker, day: DayIx, mix: usize) -> DayIx {
        let makes = &self.problem.makes;
        let poured =
            |other: &DayIx| *other != day && walker.days[*other].pours.iter().any(|step| makes[step.make].mix == mix);
        let near = (0..6).map(|_| self.near(day, 10)).find(poured);
        near.unwrap_or_else(|| self.near(day, 6))
    }
}
