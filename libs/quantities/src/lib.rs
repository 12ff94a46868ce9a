//! Quantities of the workshop: newtypes, units, the products that mean something, and named roundings.
//!
//! Two families. [`ledger`] holds whole numbers of a small unit (grams, millilitres, millimetres, minutes, minor currency
//! units): what is counted, stored and planned. The proportioning families hold `f64` in SI: what is calculated.

pub mod ledger;

pub use ledger::{Grams, Millilitres, Millimetres, MinorUnits, Minutes, Pieces, SquareMillimetres};
