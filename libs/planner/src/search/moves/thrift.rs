//! Changes that can make a diary cheaper: other mixes, fewer washouts, panels poured that would be put off.

use super::super::diary::Diary;
use super::super::walk::Walker;
use super::Hand;
use crate::problem::{DayIx, KindIx, MakeIx};

impl Hand<'_> {
    /// Fixes what a day pours, but for panels poured from another mix of their finish, or on another day on which their mix is poured
    /// anyway, or all of a mix on another day.
    pub(super) fn save(&mut self, diary: &mut Diary, walker: &Walker) {
        let problem = self.problem;
        let found = (0..8).map(|_| self.any_day()).find(|day| !walker.days[*day].pours.is_empty());
        let Some(day) = found else { return };
        let pours = &walker.days[day].pours;
        let step = pours[self.rng.below(pours.len())];
        let (kind, mix) = (problem.makes[step.make].kind, problem.makes[step.make].mix);
        match self.rng.below(6) {
            0 => {
                let makes = &problem.kinds[kind].makes;
                let few = if self.rng.below(2) == 0 {
                    step.quantity
                } else {
                    1 + self.rng.below(step.quantity.max(1) as usize) as i64
                };
                let other = if makes.is_empty() { step.make } else { makes[self.rng.below(makes.len())] };
                if other != step.make {
                    self.fix(diary, walker, day, &[(step.make, -few), (other, few)]);
                }
            }
            1 => {
                let other = self.day_with(walker, day, mix);
                let of_mix = pours.iter().filter(|step| problem.makes[step.make].mix == mix);
                let all: Vec<(MakeIx, i64)> = of_mix.map(|step| (step.make, step.quantity)).collect();
                let none: Vec<(MakeIx, i64)> = all.iter().map(|(make, quantity)| (*make, -quantity)).collect();
                if other != day {
                    self.fix(diary, walker, day, &none);
                    self.fix(diary, walker, other, &all);
                }
            }
            2 => {
                let few = match self.rng.below(3) {
                    0 => step.quantity,
                    1 => self.for_last_line(diary, walker, day, step),
                    _ => 1 + self.rng.below(3) as i64,
                };
                let other = self.day_with(walker, day, mix);
                if other != day {
                    self.fix(diary, walker, day, &[(step.make, -few)]);
                    self.fix(diary, walker, other, &[(step.make, few)]);
                }
            }
            3 => self.put_in(diary, walker),
            4 => {
                let few = if self.rng.below(2) == 0 { step.quantity } else { 1 + self.rng.below(3) as i64 };
                if let Some((other, make)) = self.beyond(kind).filter(|beyond| beyond.0 != day) {
                    self.fix(diary, walker, day, &[(step.make, -few)]);
                    self.fix(diary, walker, other, &[(make, few)]);
                }
            }
            _ => self.tinker(diary, walker),
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
