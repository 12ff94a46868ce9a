//! Every plan of facts of a thumb's size: the proven optimum is the best of them, and no bound is above it.
#![allow(clippy::unwrap_used)]

mod common;

use common::brute::{Brute, best};
use common::lot::Lots;
use common::thumb;
use planner::{Limits, Outcome, PlanFailure, check};
use workshop::documents::Facts;
use workshop::documents::plan::LateFigure;

const BOTH: [LateFigure; 2] = [LateFigure::OrderDaysLate, LateFigure::PanelDaysLate];

/// How many facts are drawn: many more in the long run.
fn facts_drawn() -> u64 {
    if std::env::var_os("MOULDBOARD_TEST_SLOW").is_some() { 3_000 } else { 300 }
}

fn planned(facts: &Facts, figure: LateFigure) -> Result<Outcome, PlanFailure> {
    let limits = Limits { figure, ..Limits::counted(100, 2_000, 1) };
    planner::run(facts, &limits, &|| 0.0, &mut |_| {})
}

/// The figure and whether it is proven to be the least there is.
fn value(outcome: &Outcome, figure: LateFigure) -> (f64, bool) {
    let proof = outcome.plan.proof.as_ref().unwrap();
    (outcome.plan.figures.late(figure), proof.ended == "optimal")
}

/// The bound that is known before anything is solved.
fn alone(facts: &Facts, figure: LateFigure) -> f64 {
    let limits = Limits { figure, ..Limits::counted(0, 0, 1) };
    let outcome = planner::run(facts, &limits, &|| 0.0, &mut |_| {}).unwrap();
    outcome.plan.proof.unwrap().bound
}

#[test]
fn the_proven_optimum_is_the_best_of_all_plans() {
    let (mut proven, mut hard, mut open, mut no_plan, mut too_many) = (0, 0, 0, 0, 0);
    for seed in 0..facts_drawn() {
        let facts = thumb::facts(seed);
        for figure in BOTH {
            let brute = match best(&facts, figure) {
                Brute::Best(brute) => brute,
                Brute::TooMany => {
                    too_many += 1;
                    continue;
                }
                Brute::NoPlan => {
                    assert!(matches!(planned(&facts, figure), Err(PlanFailure::Short(_))), "seed {seed}");
                    no_plan += 1;
                    continue;
                }
            };
            let verdict = check(&facts, &brute.plan);
            assert!(verdict.holds(), "seed {seed}: {:?}", verdict.broken);
            let outcome = match planned(&facts, figure) {
                Ok(outcome) => outcome,
                Err(failure) => panic!("seed {seed}: there is a plan, {failure:?}"),
            };
            let (is, optimal) = value(&outcome, figure);
            let bound = outcome.plan.proof.as_ref().unwrap().bound;
            assert!(bound <= brute.late + 1e-6, "seed {seed}, {figure:?}: bound {bound} above {}", brute.late);
            assert!(is >= brute.late - 1e-6, "seed {seed}, {figure:?}: {is} is less than the least, {}", brute.late);
            if optimal {
                assert!((is - brute.late).abs() < 1e-6, "seed {seed}, {figure:?}: {is} is not {}", brute.late);
                proven += 1;
                hard += u32::from(brute.late > alone(&facts, figure) + 1e-6);
            } else {
                open += 1;
            }
        }
    }
    eprintln!(
        "{proven} proven ({hard} above the bound from each order alone), {open} open, {no_plan} without a plan, \
         {too_many} with too many states"
    );
    let drawn = 2 * facts_drawn() as u32;
    assert!(10 * proven > 8 * drawn, "{proven} proven of {drawn}");
    assert!(5 * hard > drawn, "{hard} hard ones of {drawn}");
}

/// More of something: what it is called and how it comes about.
type More = (&'static str, fn(&mut Facts));

const MORE: [More; 3] = [
    ("a mould", |facts| facts.mould_groups.iter_mut().for_each(|group| group.moulds += 1)),
    ("tank and rack length", |facts| {
        facts.tanks.iter_mut().chain(&mut facts.racks).for_each(|room| room.mm += 50.0);
    }),
    ("hours", |facts| {
        facts.labour_minutes.usual += 30.0;
        facts.labour_minutes.on.values_mut().for_each(|minutes| *minutes += 30.0);
    }),
];

#[test]
fn more_never_makes_the_optimum_worse() {
    let (mut compared, mut better) = (0, [0; 3]);
    for seed in 0..facts_drawn() / 3 {
        let facts = thumb::facts(seed);
        for figure in BOTH {
            let Ok(Ok(before)) = planned(&facts, figure).map(|outcome| proven(&outcome, figure)) else { continue };
            for (at, (what, more)) in MORE.iter().enumerate() {
                let mut facts = facts.clone();
                more(&mut facts);
                let Ok(Ok(after)) = planned(&facts, figure).map(|outcome| proven(&outcome, figure)) else { continue };
                assert!(after <= before + 1e-6, "seed {seed}, {figure:?}: {what} makes {before} to {after}");
                compared += 1;
                better[at] += u32::from(after < before - 1e-6);
            }
        }
    }
    eprintln!("{compared} compared; better with {:?}: {better:?}", MORE.map(|more| more.0));
    assert!(compared > facts_drawn() && better.iter().all(|times| *times > 3), "{compared} {better:?}");
}

fn proven(outcome: &Outcome, figure: LateFigure) -> Result<f64, ()> {
    let (value, optimal) = value(outcome, figure);
    if optimal { Ok(value) } else { Err(()) }
}

#[test]
fn the_order_of_rows_does_not_matter_to_the_optimum() {
    for seed in 0..facts_drawn() / 6 {
        let facts = thumb::facts(seed);
        let (mut mixed_up, mut lots) = (facts.clone(), Lots::new(seed));
        lots.shuffle(&mut mixed_up.mixes);
        lots.shuffle(&mut mixed_up.mould_groups);
        lots.shuffle(&mut mixed_up.panels);
        lots.shuffle(&mut mixed_up.tanks);
        lots.shuffle(&mut mixed_up.racks);
        lots.shuffle(&mut mixed_up.orders);
        mixed_up.panels.iter_mut().for_each(|panel| lots.shuffle(&mut panel.mixes));
        for figure in BOTH {
            match (planned(&facts, figure), planned(&mixed_up, figure)) {
                (Ok(one), Ok(other)) => assert_eq!(one.plan, other.plan, "seed {seed}"),
                (one, other) => assert_eq!(one.is_err(), other.is_err(), "seed {seed}"),
            }
        }
    }
}
