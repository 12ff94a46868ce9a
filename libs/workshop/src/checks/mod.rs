//! What is wrong with a noun as it was given: every fault of it at once, each with a pointer into it and what to do.
//!
//! Ranges are those of the fields' own documentation. Pointers use the field names of the JSON forms, which is how people
//! and programs give nouns. Everything here is a pure function; whether what a noun refers to is there is for the records to say.

pub mod calendar;
pub mod catalogue;
pub mod correction;
pub mod found;
pub mod lots;
pub mod material;
pub mod mix;
pub mod order;
pub mod panel;
pub mod site;
pub mod stock;
pub mod trial;
pub mod upkeep;
