//! What every request goes through, whatever it asks for.

pub mod access;
pub mod body;
pub mod document;
pub mod gate;
pub mod limits;
pub mod log;
pub mod metrics;
pub mod paging;
pub mod problem;
pub mod pull;
pub mod reply;
pub mod routes;
pub mod shape;
pub mod store_problems;
pub mod trace_context;
pub mod trail;
pub mod upload;
