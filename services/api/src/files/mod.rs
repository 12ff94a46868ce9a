//! Tables that people bring along and take away: CSV to and from the workshop's own types.

pub mod orders;
pub mod rows;
