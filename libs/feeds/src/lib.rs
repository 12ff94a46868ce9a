//! What leaves the workshop as files: planning documents as JSON, tables for spreadsheets, and calendars; and what comes back.
//!
//! Tables are plain functions from domain values to a [`table::Table`]; [`table`] alone knows how CSV and XLSX are written, [`intake`]
//! how they are read.

pub mod audit;
pub mod calendar;
pub mod catalogue;
pub mod day_sheet;
pub mod documents;
pub mod explanation;
pub mod intake;
pub mod ledger;
pub mod lots;
pub mod notices;
pub mod orders;
pub mod outlook;
pub mod pour_plan;
pub mod table;
pub mod tickets;
pub mod trail;
pub mod trials;
pub mod words;
