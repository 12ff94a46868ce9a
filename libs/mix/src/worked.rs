//! A worked line: how one figure came about, so that a person can follow it with a pencil.

use crate::Source;

/// One step of a calculation.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// What is found, in words.
    pub what: String,
    /// The formula, in the symbols of the trade.
    pub formula: &'static str,
    /// The formula with its numbers.
    pub numbers: String,
    /// The result in `unit`.
    pub result: f64,
    /// The unit; empty for a ratio.
    pub unit: &'static str,
    /// Where the formula comes from.
    pub source: Source,
}
