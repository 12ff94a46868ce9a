//! What the program is made of; the tests drive it from here.

pub mod audit;
pub mod clock;
pub mod commands;
pub mod demo;
pub mod settings;
pub mod telemetry;
