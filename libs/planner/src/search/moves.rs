//! Small changes to a guide, each with the way back.

use super::rng::Rng;
use crate::foreman::{Guide, Habits, MixChoice};
use crate::problem::Problem;

/// What a move changed, to change it back.
#[derive(Clone, Debug)]
pub(super) enum Undo {
    /// Keys of orders.
    Keys(Vec<(usize, f64)>),
    /// An order's choice of mix.
    Choice(usize, Option<MixChoice>),
    /// Leanings of days and mixes.
    Leaning(Vec<(usize, f32)>),
    /// Habits.
    Habits(Habits),
}

/// Changes a guide a little.
pub(super) fn change(problem: &Problem, guide: &mut Guide, rng: &mut Rng) -> Undo {
    let orders = guide.keys.len();
    match rng.share() {
        _ if orders == 0 => lean(guide, rng),
        share if share < 0.36 => {
            let order = rng.below(orders);
            let old = guide.keys[order];
            let reach = rng.one_of(&[1.0, 3.0, 10.0, 30.0]);
            guide.keys[order] += (rng.share() * 2.0 - 1.0) * reach;
            Undo::Keys(vec![(order, old)])
        }
        share if share < 0.48 => swap(guide, rng),
        share if share < 0.58 => {
            let order = rng.below(orders);
            let old = guide.choices[order];
            let few = [None, Some(MixChoice::Cheapest), Some(MixChoice::Timely), Some(MixChoice::Soonest)];
            guide.choices[order] = rng.one_of(&few);
            Undo::Choice(order, old)
        }
        share if share < 0.96 => lean(guide, rng),
        _ => {
            let old = guide.habits;
            guide.habits = nudged(problem, old, rng);
            Undo::Habits(old)
        }
    }
}

/// Puts a guide back as it was.
pub(super) fn undo(guide: &mut Guide, undo: Undo) {
    match undo {
        Undo::Keys(keys) => keys.into_iter().for_each(|(order, key)| guide.keys[order] = key),
        Undo::Choice(order, choice) => guide.choices[order] = choice,
        Undo::Leaning(leanings) => leanings.into_iter().rev().for_each(|(at, old)| guide.leaning[at] = old),
        Undo::Habits(habits) => guide.habits = habits,
    }
}

/// Two orders change places, the second among the nearest of a few drawn.
fn swap(guide: &mut Guide, rng: &mut Rng) -> Undo {
    let orders = guide.keys.len();
    let one = rng.below(orders);
    let mut other = rng.below(orders);
    for _ in 0..4 {
        let third = rng.below(orders);
        let far = |order: usize| (guide.keys[order] - guide.keys[one]).abs();
        if third != one && (other == one || far(third) < far(other)) {
            other = third;
        }
    }
    let (a, b) = (guide.keys[one], guide.keys[other]);
    (guide.keys[one], guide.keys[other]) = (b, a);
    Undo::Keys(vec![(one, a), (other, b)])
}

/// Makes batches of a mix on a day worth more or less, or the same for two days the other way round.
fn lean(guide: &mut Guide, rng: &mut Rng) -> Undo {
    let at = rng.below(guide.leaning.len());
    let mut old = Vec::new();
    let mut set = |at: usize, value: f32| {
        old.push((at, guide.leaning[at]));
        guide.leaning[at] = value;
    };
    set(at, rng.one_of(&[0.0, 0.0, 0.3, 1.0, 1.0, 3.0, 20.0]));
    if rng.share() < 0.3 {
        let next = rng.below(old_len(at, 12));
        let other = at.saturating_sub(next);
        set(other, rng.one_of(&[0.0, 1.0, 5.0]));
    }
    Undo::Leaning(old)
}

/// How far back a second leaning may lie.
fn old_len(at: usize, most: usize) -> usize {
    (at + 1).min(most)
}

fn nudged(problem: &Problem, habits: Habits, rng: &mut Rng) -> Habits {
    let mut new = habits;
    match rng.below(5) {
        0 => new.patience = (habits.patience * rng.one_of(&[0.7, 0.85, 1.2, 1.4])).clamp(1.0, 60.0),
        1 => new.look_ahead = (habits.look_ahead * rng.one_of(&[0.7, 0.85, 1.2, 1.4])).clamp(0.5, 400.0),
        2 => new.least_fill = (habits.least_fill + rng.one_of(&[-0.2, -0.1, 0.1, 0.2])).clamp(0.0, 1.0),
        3 => {
            let most = problem.mixes.len();
            new.most_mixes = (habits.most_mixes.min(most) as i64 + rng.one_of(&[-1, 1])).clamp(1, 99) as usize;
        }
        _ => new.choice = rng.one_of(&[MixChoice::Cheapest, MixChoice::Timely, MixChoice::Soonest]),
    }
    new
}
