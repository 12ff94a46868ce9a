//! The workshop in the trade's words: nouns, rules and documents. No I/O, no clock, no ids drawn, no wire format.

pub mod documents;
pub mod ids;
