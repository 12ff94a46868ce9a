//! Collects faults.

use std::collections::BTreeSet;
use std::fmt::Display;
use std::ops::RangeInclusive;

use chrono::{Datelike, NaiveDate as Day};

use crate::Fault;

/// Largest amount of one material that is taken: a thousand tonnes in grams.
pub const AMOUNT_MOST: i64 = 1_000_000_000_000;
/// Largest sum of money that is taken, minor units.
pub const MONEY_MOST: i64 = 1_000_000_000;
/// Most characters of a name.
pub const NAME_MOST: usize = 200;
/// Most characters of a note or a reason.
pub const NOTE_MOST: usize = 2000;

/// The faults found so far.
#[derive(Debug, Default)]
pub struct Found(Vec<Fault>);

impl Found {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// One more.
    pub fn add(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        self.0.push(Fault::at(pointer, detail));
    }

    /// One more unless `holds`.
    pub fn ensure(&mut self, holds: bool, pointer: impl Into<String>, detail: impl FnOnce() -> String) {
        if !holds {
            self.add(pointer, detail());
        }
    }

    /// A whole number within its range.
    pub fn whole(&mut self, pointer: &str, value: i64, range: RangeInclusive<i64>) {
        let (least, most) = (range.start(), range.end());
        self.ensure(range.contains(&value), pointer, || format!("{value} is out of range: give {least} to {most}"));
    }

    /// A finite number within its range.
    pub fn number(&mut self, pointer: &str, value: f64, range: RangeInclusive<f64>) {
        let (least, most) = (range.start(), range.end());
        self.ensure(range.contains(&value), pointer, || format!("{value} is out of range: give {least} to {most}"));
    }

    /// A finite number above 0, at most `most`.
    pub fn above_zero(&mut self, pointer: &str, value: f64, most: f64) {
        let detail = || format!("{value} is out of range: give more than 0, at most {most}");
        self.ensure(value > 0.0 && value <= most, pointer, detail);
    }

    /// A name: something in it, not too long.
    pub fn name(&mut self, pointer: &str, text: &str) {
        self.ensure(!text.trim().is_empty(), pointer, || "is empty: give a name".to_owned());
        self.ensure(text.chars().count() <= NAME_MOST, pointer, || {
            format!("is longer than {NAME_MOST} characters: shorten it")
        });
    }

    /// A note, where there is one: not too long.
    pub fn note(&mut self, pointer: &str, text: Option<&str>) {
        let fits = text.is_none_or(|text| text.chars().count() <= NOTE_MOST);
        self.ensure(fits, pointer, || format!("is longer than {NOTE_MOST} characters: shorten it"));
    }

    /// A day of this century or the next: another is a slip of the hand.
    pub fn day(&mut self, pointer: &str, day: Day) {
        self.ensure((2000..=2199).contains(&day.year()), pointer, || {
            format!("{day} is out of range: give a day of 2000 to 2199")
        });
    }

    /// No key twice in a list; `pointer` is made from the index of the later one.
    pub fn distinct<K: Ord + Display>(&mut self, keys: impl Iterator<Item = K>, pointer: impl Fn(usize) -> String) {
        let mut seen = BTreeSet::new();
        for (index, key) in keys.enumerate() {
            if seen.contains(&key) {
                self.add(pointer(index), format!("'{key}' is there twice: name it once"));
            }
            seen.insert(key);
        }
    }

    /// All of them.
    pub fn all(self) -> Vec<Fault> {
        self.0
    }
}
