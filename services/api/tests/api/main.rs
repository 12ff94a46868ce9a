//! The API as its callers know it: over HTTP, on a port of its own, with a fresh database for each test.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on may panic")]

mod access;
mod bad_input;
mod baseline;
mod calculations;
mod catalogue;
mod changes;
mod contract;
mod conventions;
mod corrections;
mod database;
mod dispatch;
mod every_route;
mod feeds;
mod imports;
mod joining;
mod notices;
mod off_plan;
mod orders;
mod ordinary;
mod pages;
mod planned;
mod promised;
mod shop_floor;
mod the_day;
mod ticket_changes;
mod trail;
mod trials;
mod upkeep;
mod words;
mod world;
