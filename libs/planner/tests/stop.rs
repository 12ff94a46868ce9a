//! A run that is asked to stop ends with the best plan it has, wherever it is. Left alone none of these would end in a day.
#![allow(clippy::unwrap_used)]

mod common;

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};

use planner::{Limits, Stoppable, check, run, run_and_advise};

const NO_END: u64 = u64::MAX / 4;

/// A run without a clock that is to stop once its stopwatch was looked at so many times after its first plan; how often it was in the end.
fn stopped(limits: &Limits, looks: usize) -> usize {
    let facts = common::instance("small-0");
    let (shown, told, looked) = (Stoppable::default(), AtomicBool::new(false), AtomicUsize::new(0));
    let stopwatch = || {
        let looked = if told.load(Relaxed) { looked.fetch_add(1, Relaxed) } else { 0 };
        shown.reading(0.0, looked >= looks)
    };
    let sentences = Mutex::new(Vec::new());
    let outcome = run(&facts, limits, &stopwatch, &mut |news| {
        told.store(true, Relaxed);
        sentences.lock().unwrap().push(news.sentence);
    });
    let outcome = outcome.unwrap();
    assert!(check(&facts, &outcome.plan).holds());
    assert_ne!(outcome.plan.proof.unwrap().ended, "optimal", "{sentences:?}");
    looked.load(Relaxed)
}

#[test]
fn a_search_that_counts_its_steps_stops() {
    assert!(stopped(&Limits::counted(NO_END, 0, 1), 1_000) >= 1_000);
}

/// Nothing is searched, so that after the foreman's settings, at each of which he looks, there is nothing but solves.
#[test]
fn a_solve_stops_in_the_middle() {
    assert!(stopped(&Limits::counted(0, NO_END, 1), 150) >= 150);
}

#[test]
fn a_run_asked_to_stop_before_it_begins_still_has_a_plan() {
    let (facts, shown) = (common::instance("medium-2"), Stoppable::default());
    for limits in [Limits::counted(NO_END, NO_END, 1), Limits::seconds(1e6, 2, 1)] {
        let outcome = run_and_advise(&facts, &limits, &|| shown.reading(0.0, true), &mut |_| {}).unwrap();
        assert!(check(&facts, &outcome.plan).holds());
    }
}
