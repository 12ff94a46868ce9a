//! Mouldboard over HTTP: resources in JSON and CSV, their documentation, and what every request has to keep to.
//!
//! A request passes the log, then the gate (path, method, caller, formats, query: all looked up in the OpenAPI document),
//! then its body is read and checked as a whole, then its handler does one pass: all reads, one decision, all writes in one
//! transaction. JSON field names are in [`wire`] only.

pub mod calculations;
pub mod clock;
pub mod config;
pub mod http;
pub mod pages;
pub mod resources;
pub mod serve;
pub mod state;
pub mod wire;

pub use clock::Clock;
pub use config::{Config, MayNotListen, may_listen};
pub use http::access::{NewFeedSecret, hash as token_hash, new_token};
pub use http::document::DOCUMENT;
pub use http::trail::change;
pub use resources::feed_tokens::told as told_of_feed_token;
pub use resources::tokens::told as told_of_token;
pub use serve::{Running, ServeError, serve, start};
