//! What a quantity answers when a number cannot be it.

use crate::state::ConcreteState;

/// A number outside the range of its quantity (or not a number at all).
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{quantity} {value} {unit} is outside {least} to {most} {unit}")]
pub struct OutOfRange {
    /// The quantity, as a reader would call it.
    pub quantity: &'static str,
    /// The number given, in `unit`.
    pub value: f64,
    /// The unit of the three numbers.
    pub unit: &'static str,
    /// The least allowed.
    pub least: f64,
    /// The most allowed.
    pub most: f64,
}

/// Two densities (or masses) of concrete in different states: their difference means nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{left} and {right} concrete cannot be compared; weigh both in the same state")]
pub struct StatesDiffer {
    /// The state on the left.
    pub left: ConcreteState,
    /// The state on the right.
    pub right: ConcreteState,
}

/// An amount in writing that does not say one thing only.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Unclear {
    /// There is no number at the front.
    #[error("\"{written}\" does not begin with a number; write a number and a unit, such as 15 lb")]
    NoNumber {
        /// What was written.
        written: String,
    },
    /// The unit has several meanings, or none without a further word.
    #[error("\"{unit}\" alone is unclear; write {choices}")]
    Ambiguous {
        /// The unit as written.
        unit: String,
        /// The units that say one thing only.
        choices: &'static str,
    },
    /// The unit is not known here.
    #[error("the unit \"{unit}\" is not known for {quantity}; write one of {choices}")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was to be read.
        quantity: &'static str,
        /// The units known.
        choices: &'static str,
    },
    /// The number does not fit the quantity.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
}
