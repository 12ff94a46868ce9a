//! Jobs and the clock: planning runs and the daily issue of tickets.

pub mod issue;
