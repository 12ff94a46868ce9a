//! What the planner's tests share: instances, facts drawn by lot, and the judge from outside.
#![allow(dead_code, clippy::unwrap_used, clippy::panic)]

pub mod brute;
pub mod handing;
pub mod lot;
pub mod outside;
pub mod rules;
pub mod thumb;

use std::path::PathBuf;

use planner::{Limits, Outcome, PlanFailure};
use workshop::documents::Facts;

/// So many facts are drawn by lot.
pub const FACTS_DRAWN: u64 = 1000;

/// The repository's folder of checks against the world outside.
pub fn outside_folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/outside")
}

/// An instance by name.
pub fn instance(name: &str) -> Facts {
    let path = outside_folder().join("bench").join(format!("{name}.json"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    feeds::documents::read_facts(&text).unwrap()
}

/// Every instance's name.
pub fn instances() -> Vec<String> {
    let files = std::fs::read_dir(outside_folder().join("bench")).unwrap();
    let mut names: Vec<String> = files
        .map(|file| file.unwrap().path())
        .filter(|path| path.extension().is_some_and(|kind| kind == "json"))
        .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Plans without a clock.
pub fn plan(facts: &Facts, evaluations: u64, nodes: u64) -> Result<Outcome, PlanFailure> {
    planner::run(facts, &Limits::counted(evaluations, nodes, 1), &|| 0.0, &mut |_| {})
}

/// A day.
pub fn day(text: &str) -> chrono::NaiveDate {
    text.parse().unwrap()
}
