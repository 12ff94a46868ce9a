//! Every rounding by name, so that a reader sees which way a number went and why.
//!
//! Amounts arrive here from chains of multiplications, so a count that is whole (or a half) on paper may miss it in the
//! last binary digits. A thousand-millionth of a step is taken for such noise.

use crate::ledger::{Grams, Millilitres, Pieces};
use crate::{Hours, Mass, Volume};

/// The share of one step that is noise and not amount, for counts up to ten thousand.
const NOISE: f64 = 1.0e-9;
/// The same for larger counts, as a share of the count.
const RELATIVE_NOISE: f64 = 1.0e-13;

fn noise(count: f64) -> f64 {
    NOISE.max(count.abs() * RELATIVE_NOISE)
}

/// To whole grams, a half to the even neighbour: for ledgers, where many roundings are added up and must not drift.
pub fn to_grams_half_even(mass: Mass) -> Grams {
    Grams::new(half_even(mass.grams()) as i64)
}

/// To whole millilitres, a half to the even neighbour: for ledgers.
pub fn to_millilitres_half_even(volume: Volume) -> Millilitres {
    Millilitres::new(half_even(volume.millilitres()) as i64)
}

/// To the nearest multiple of a scale's resolution, a half upwards: what a person reads off and weighs to.
///
/// A resolution below one gram is taken as one gram, the finest the ledger records.
pub fn to_resolution_half_up(mass: Mass, resolution: Grams) -> Grams {
    let step = resolution.get().max(1);
    Grams::new(half_up(mass.grams() / step as f64) as i64 * step)
}

/// To the nearest multiple of a vessel's graduation, a half upwards. A graduation below one millilitre is taken as one.
pub fn to_graduation_half_up(volume: Volume, graduation: Millilitres) -> Millilitres {
    let step = graduation.get().max(1);
    Millilitres::new(half_up(volume.millilitres() / step as f64) as i64 * step)
}

/// Whole packs, upwards: part of a bag is bought as a bag. `None` where the pack is empty.
pub fn packs_up(needed: Mass, pack: Mass) -> Option<Pieces> {
    (pack > Mass::ZERO).then(|| Pieces::new(whole_up(needed.kg() / pack.kg()) as i64))
}

/// Whole loads of a volume, upwards. `None` where the load is nothing.
pub fn loads_up(needed: Volume, load: Volume) -> Option<Pieces> {
    (load > Volume::ZERO).then(|| Pieces::new(whole_up(needed.litres() / load.litres()) as i64))
}

/// Whole days of 24 hours, upwards.
pub fn days_up(time: Hours) -> i64 {
    whole_up(time.days()) as i64
}

fn half_up(count: f64) -> f64 {
    (count + 0.5 + noise(count)).floor()
}

fn half_even(count: f64) -> f64 {
    let half = (count * 2.0).round() / 2.0;
    let clean = if (count - half).abs() <= noise(count) { half } else { count };
    clean.round_ties_even()
}

fn whole_up(count: f64) -> f64 {
    (count - noise(count)).ceil().max(0.0)
}
