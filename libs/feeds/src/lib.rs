//! What leaves the workshop as files: planning documents as JSON, and tables for spreadsheets.
//!
//! Tables are plain functions from domain values to a [`table::Table`]; [`table`] alone knows how CSV is written.

pub mod day_sheet;
pub mod documents;
pub mod explanation;
pub mod outlook;
pub mod pour_plan;
pub mod table;
pub mod tickets;
pub mod words;
