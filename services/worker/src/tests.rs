//! Workers at work: on both databases, with the real planner unless a test is about what a planner may do wrong.

mod again;
mod faults;
mod hooks;
mod issuing;
mod planning;
mod world;
