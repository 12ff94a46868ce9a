//! The sums are never above the best of all plans, whatever is short.

#[path = "../../../tests/common/brute/mod.rs"]
#[allow(dead_code)]
mod brute;
#[path = "../../../tests/common/handing.rs"]
mod handing;
#[path = "../../../tests/common/thumb.rs"]
mod thumb;

use std::collections::BTreeSet;

use workshop::documents::Facts;
use workshop::documents::plan::LateFigure;

use super::SUM_FAMILIES;
use crate::bound::each_alone;
use crate::exact::{Limits, joint_bound, windows_bound};
use crate::lot;
use crate::model::{Detail, WINDOW_FAMILIES};
use crate::problem::validate;
use brute::{Brute, best};

const BOTH: [LateFigure; 2] = [LateFigure::OrderDaysLate, LateFigure::PanelDaysLate];

/// So many facts, and ten times as many in the long run.
fn drawn(few: u64) -> u64 {
    if std::env::var_os("MOULDBOARD_TEST_SLOW").is_some() { 10 * few } else { few }
}

/// The bounds of each order alone and of all together.
fn bounds(facts: &Facts, figure: LateFigure) -> (f64, f64) {
    let problem = validate(facts).unwrap();
    let limits = Limits { seconds: None, nodes: Some(100), threads: 1, seed: 1, figure, least_late: false };
    (each_alone(&problem, figure), joint_bound(&problem, &limits, &|| 0.0).unwrap())
}

/// The higher of the bounds by windows, with lifts and without.
fn by_windows(facts: &Facts, figure: LateFigure) -> f64 {
    let problem = validate(facts).unwrap();
    let limits = Limits { seconds: None, nodes: Some(100), threads: 1, seed: 1, figure, least_late: false };
    let bound = |lifts| windows_bound(&problem, &limits, Detail { lifts }, &|| 0.0).unwrap();
    bound(true).max(bound(false))
}

#[test]
fn windows_are_never_above_the_best_of_all_plans() {
    let (mut compared, mut higher) = (0_u64, 0_u64);
    for seed in 0..drawn(300) {
        let facts = thumb::facts(seed);
        for figure in BOTH {
            let Brute::Best(brute) = best(&facts, figure) else { continue };
            let bound = by_windows(&facts, figure);
            assert!(bound <= brute.late + 1e-6, "seed {seed}, {figure:?}: {bound} is above the least, {}", brute.late);
            compared += 1;
            higher += u64::from(bound > bounds(&facts, figure).1 + 1e-6);
        }
    }
    eprintln!("{compared} compared; above the bound by sums in {higher}");
    assert!(10 * compared > 9 * 2 * drawn(300), "{compared} compared");
    assert!(50 * higher > compared, "{higher} higher, of {compared}");
}

#[test]
fn never_above_the_best_of_all_plans() {
    let (mut compared, mut higher, mut met) = (0_u64, 0_u64, 0_u64);
    for seed in 0..drawn(300) {
        let facts = thumb::facts(seed);
        for figure in BOTH {
            let Brute::Best(brute) = best(&facts, figure) else { continue };
            let (alone, joint) = bounds(&facts, figure);
            assert!(joint <= brute.late + 1e-6, "seed {seed}, {figure:?}: {joint} is above the least, {}", brute.late);
            compared += 1;
            higher += u64::from(joint > alone + 1e-6);
            met += u64::from(joint > alone + 1e-6 && joint > brute.late - 1e-6);
        }
    }
    eprintln!(
        "{compared} compared; above the bound of each order alone in {higher}, and the optimum itself in {met} of these"
    );
    assert!(10 * compared > 9 * 2 * drawn(300), "{compared} compared");
    assert!(10 * higher > compared && 40 * met > compared, "{higher} higher, {met} met, of {compared}");
}

/// Something made short, and how.
type Short = (&'static str, fn(&mut Facts));

const SHORT: [Short; 7] = [
    ("nothing more", |_| {}),
    ("hours", |f| {
        f.labour_minutes.usual = (f.labour_minutes.usual / 3.0).round();
        f.labour_minutes.on.values_mut().for_each(|minutes| *minutes = (*minutes / 3.0).round());
    }),
    ("moulds", |f| f.mould_groups.iter_mut().for_each(|group| group.moulds = 1)),
    ("tanks", |f| f.tanks.iter_mut().for_each(|tank| tank.mm = (tank.mm / 4.0).round())),
    ("racks", |f| f.racks.iter_mut().for_each(|rack| rack.mm = (rack.mm / 4.0).round())),
    ("the mixer", |f| f.mixer_batches = 1),
    ("time", |f| f.orders.iter_mut().for_each(|order| order.due_on = f.first_day)),
];

#[test]
fn never_above_a_plan_there_is_whatever_is_short() {
    let mut higher = [0; SHORT.len()];
    for seed in 0..drawn(60) {
        for (at, (what, short)) in SHORT.iter().enumerate() {
            let mut facts = lot::facts(seed);
            short(&mut facts);
            for figure in BOTH {
                let limits = crate::Limits { figure, ..crate::Limits::counted(150, 0, 1) };
                let Ok(outcome) = crate::run(&facts, &limits, &|| 0.0, &mut |_| {}) else { continue };
                let (least, (alone, joint)) = (outcome.plan.figures.late(figure), bounds(&facts, figure));
                assert!(joint <= least + 1e-6, "seed {seed}, short of {what}, {figure:?}: {joint} above {least}");
                let windows = by_windows(&facts, figure);
                assert!(windows <= least + 1e-6, "seed {seed}, short of {what}, {figure:?}: {windows} above {least}");
                higher[at] += u32::from(joint > alone + 1e-6);
            }
        }
    }
    eprintln!("above the bound of each order alone, short of {:?}: {higher:?}", SHORT.map(|short| short.0));
    assert!(higher.iter().all(|times| *times > 5), "{higher:?}");
}

/// The families are those of the code and of the mathematics.
#[test]
fn families_are_those_of_the_mathematics() {
    let mathematics = include_str!("../../../MODEL.md");
    let told: BTreeSet<&str> =
        mathematics.lines().filter_map(|line| line.strip_prefix("### sums: ")).map(str::trim).collect();
    assert_eq!(told, SUM_FAMILIES.into_iter().collect::<BTreeSet<&str>>());
    let sources = [include_str!("mod.rs"), include_str!("sums.rs")].concat();
    // Once in the list of families, and once for its rows.
    for family in SUM_FAMILIES {
        let named = sources.matches(&format!("\"{family}\"")).count();
        assert!(named >= 2, "no row of the family \"{family}\"");
    }
}

/// The families by windows are those of the code and of the mathematics.
#[test]
fn windows_are_those_of_the_mathematics() {
    let mathematics = include_str!("../../../MODEL.md");
    let told: BTreeSet<&str> =
        mathematics.lines().filter_map(|line| line.strip_prefix("### windows: ")).map(str::trim).collect();
    assert_eq!(told, WINDOW_FAMILIES.into_iter().collect::<BTreeSet<&str>>());
    let sources = [
        include_str!("../windows/columns.rs"),
        include_str!("../windows/rooms.rs"),
        include_str!("../windows/sums.rs"),
        include_str!("../windows/claims.rs"),
    ];
    for family in WINDOW_FAMILIES {
        assert!(sources.concat().contains(&format!("\"{family}\"")), "no row of the family \"{family}\"");
    }
}
