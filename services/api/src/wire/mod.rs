//! The forms of JSON bodies: field names with their units, and the conversion to and from the workshop's own words, by hand.
//!
//! A form says how it looks (and the OpenAPI document is generated from that); what it means is checked by
//! `workshop::checks`, on the workshop's own types.

pub mod basics;
pub mod calculations;
pub mod catalogue;
pub mod changes;
pub mod corrections;
pub mod day;
pub mod dispatch;
pub mod imports;
pub mod losses;
pub mod lots;
pub mod mixes;
pub mod moulds;
pub mod notices;
pub mod office;
pub mod orders;
pub mod panels;
pub mod planning;
pub mod problem;
pub mod progress;
pub mod projection;
pub mod proportions;
pub mod quotes;
pub mod site;
pub mod stock;
pub mod ticket_changes;
pub mod tickets;
pub mod trace;
pub mod trail;
pub mod trial_findings;
pub mod trials;
pub mod upkeep;

pub use basics::{Id, RevisionText, id, revision};
