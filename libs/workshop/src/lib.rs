//! The workshop in the trade's words: nouns, rules and documents. No I/O, no clock, no ids drawn, no wire format.

pub mod agenda;
pub mod audit;
pub mod catalogue;
pub mod checks;
pub mod completion;
pub mod consumption;
pub mod corrections;
pub mod dated;
pub mod day_sheet;
pub mod dispatch;
pub mod documents;
pub mod fault;
pub mod ids;
pub mod lots;
pub mod month;
pub mod moulds;
pub mod notices;
pub mod ordering;
pub mod orders;
pub mod passing;
pub mod planning;
pub mod projection;
pub mod runs;
pub mod said;
pub mod shared;
pub mod site;
pub mod soaking;
pub mod stock;
pub mod tickets;
pub mod trace;
pub mod trail;
pub mod trials;
pub mod upkeep;
pub mod writing;

pub use fault::Fault;
