//! Tables ↔ domain, and the queue of jobs. The only room that knows tables; nothing outside it sees the database library.
//!
//! A [`Store`] is opened from one address (`sqlite:…` or `postgres://…`) and hands out transactions ([`Tx`]): any number
//! of readers, each on one snapshot, and one writer at a time on either database, so that a rule checked inside a
//! writing transaction still holds when it commits. Everything else is a function of a transaction.
//!
//! Nouns that are kept and changed as a whole implement [`Record`]; what has a life of its own (the ledger, lots,
//! tickets, runs, jobs) has a module with the few verbs that life allows.

mod classify;
mod nouns;
mod parts;
mod record;
mod references;
mod table;
mod tx;
mod words;

pub mod agenda;
pub mod audit;
pub mod beats;
pub mod corrections;
pub mod deliveries;
pub mod error;
pub mod fail_points;
pub mod feed_tokens;
pub mod idempotency;
pub mod jobs;
pub mod lot_joins;
pub mod lots;
pub mod marks;
pub mod moulds;
pub mod notices;
pub mod orders;
pub mod pins;
pub mod progress;
pub mod pulls;
pub mod runs;
pub mod sessions;
pub mod site;
pub mod standings;
pub mod stock;
pub mod store;
pub mod ticket_changes;
pub mod tickets;
pub mod tokens;
pub mod trail;
pub mod trials;
pub mod upkeep;
pub mod web_hooks;

mod backup;

pub use error::{Result, Rule, StoreError};
pub use record::{Record, Versioned};
pub use store::{Clock, DatabaseKind, Options, Store};
pub use tx::Tx;
