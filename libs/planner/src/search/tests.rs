//! A change walked from the first day it touches comes to the same as the whole diary walked anew.

use std::path::Path;

use super::chain::{Aim, Chain};
use super::diary::{Diary, Lines};
use super::moves::{Hand, Touched};
use super::rng::Rng;
use super::statics::{Statics, covered};
use super::taken_again;
use super::value::Giver;
use super::walk::{Course, Walker};
use crate::foreman::{Bench, foreman};
use crate::problem::{Problem, validate};
use workshop::documents::plan::LateFigure;
use workshop::documents::{Facts, facts as doc};

fn instance(name: &str) -> Problem {
    validate(&facts(name)).unwrap()
}

fn facts(name: &str) -> Facts {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../tests/outside/bench/{name}.json"));
    let text = std::fs::read_to_string(file).unwrap();
    feeds::documents::read_facts(&text).unwrap()
}

/// What the foreman leaves: the search's facts that never change, the lines, and his plan taken over.
fn taken_over(problem: &Problem) -> (Statics, Lines, Diary, f64) {
    let mut bench = Bench::new(problem, LateFigure::OrderDaysLate);
    let found = foreman(&mut bench, |_, _| {}, || true).unwrap();
    bench.lateness(&found.guide).unwrap();
    let (caps, quiet_until) = bench.decoder.restraint();
    let statics = Statics::new(problem, caps, quiet_until);
    let lines = Lines::of(problem);
    let diary = Diary::take_over(problem, &lines, &bench.decoder.schedule, bench.ready(), &covered(problem), true);
    (statics, lines, diary, found.score.late)
}

#[test]
fn a_change_walked_from_its_first_day_is_the_diary_walked_anew() {
    let (orders, panels) = (LateFigure::OrderDaysLate, LateFigure::PanelDaysLate);
    let names = ["yard", "tiny-0", "tiny-1", "tiny-2", "small-0", "medium-2"];
    let both = [orders, panels].into_iter().flat_map(|figure| names.map(|name| (name, figure)));
    for (name, figure) in both {
        let problem = instance(name);
        let (statics, lines, mut diary, _) = taken_over(&problem);
        let (mut walker, mut anew) = (Walker::new(&problem, &statics), Walker::new(&problem, &statics));
        assert_eq!(walker.walk(&diary, &Touched::all()), Course::Other, "{name}: the foreman's own plan can be walked");
        let kinds = 0..problem.kinds.len();
        let mut giver = Giver::new(&problem, &lines, figure);
        giver.by_keys(&walker, &statics.ready, &diary, kinds.clone());
        giver.accept();
        walker.accept();
        let mut counts = [0; 3];
        let mut hand = Hand::new(&problem, &lines, Rng::new(7));
        for step in 0..600 {
            hand.thrifty = step >= 400;
            if step == 400 {
                // As in the rounds for the price: from what is taken over exactly, panels are poured for after the horizon as well.
                diary = Diary::take_over(&problem, &lines, &walker.schedule(), &giver.whole, &covered(&problem), true);
                walker.walk(&diary, &Touched::all());
                giver.by_keys(&walker, &statics.ready, &diary, kinds.clone());
                giver.accept();
                walker.accept();
                (walker.beyond, anew.beyond) = (true, true);
            }
            if !hand.change(&mut diary, &walker) {
                continue;
            }
            let before = walker.schedule();
            let (short, whole) = (walker.walk(&diary, &hand.touched), anew.walk(&diary, &Touched::all()));
            assert_eq!(short == Course::Broken, whole == Course::Broken, "{name}, change {step}");
            counts[short as usize] += 1;
            if short == Course::Broken {
                walker.refuse();
                hand.undo(&mut diary);
                continue;
            }
            let mut other = Giver::new(&problem, &lines, figure);
            let expected = other.by_keys(&anew, &statics.ready, &diary, kinds.clone());
            anew.accept();
            let rekeyed = hand.touched.keys.iter().map(|key| key.0);
            let late = giver.by_keys(&walker, &statics.ready, &diary, rekeyed);
            assert_eq!((late, &giver.whole), (expected, &other.whole), "{name}, change {step}");
            assert_eq!(walker.put_off(), anew.put_off(), "{name}, change {step}");
            assert!(short == Course::Other || before == anew.schedule(), "{name}, change {step}: not the same at all");
            if step % 3 == 0 {
                walker.refuse();
                giver.refuse();
                hand.undo(&mut diary);
            } else {
                walker.accept();
                giver.accept();
                assert_eq!(walker.schedule(), anew.schedule(), "{name}, change {step}");
            }
        }
        assert!(counts[Course::Same as usize] > 20 && counts[Course::Other as usize] > 20, "{name}: {counts:?}");
    }
}

#[test]
fn a_change_taken_back_leaves_no_trace() {
    let problem = instance("small-1");
    let (statics, lines, mut diary, _) = taken_over(&problem);
    let mut walker = Walker::new(&problem, &statics);
    assert_eq!(walker.walk(&diary, &Touched::all()), Course::Other);
    walker.accept();
    let before = diary.clone();
    let mut hand = Hand::new(&problem, &lines, Rng::new(3));
    for step in 0..3000 {
        hand.thrifty = step >= 2000;
        if hand.change(&mut diary, &walker) {
            hand.undo(&mut diary);
        }
    }
    assert_eq!((&before.keys, &before.pages), (&diary.keys, &diary.pages));
    for (before, after) in before.turns.iter().zip(&diary.turns) {
        assert_eq!((&before.lines, &before.upto), (&after.lines, &after.upto));
    }
}

#[test]
fn a_plan_taken_over_is_no_later_than_it_was() {
    for name in ["yard", "tiny-0", "tiny-1", "tiny-2", "small-0", "small-1", "small-2", "medium-0", "medium-2"] {
        let problem = instance(name);
        let (statics, lines, diary, late) = taken_over(&problem);
        let chain = Chain::new(&problem, &statics, &lines, LateFigure::OrderDaysLate, diary, 1).unwrap();
        assert!(chain.best.late.orders <= late + 1e-9, "{name}: {} became {}", late, chain.best.late.orders);
    }
}

#[test]
fn a_diary_taken_again_is_the_same_schedule_and_no_order_is_later() {
    let mut sooner = 0;
    for name in ["tiny-2", "small-0", "small-1", "medium-0", "medium-2"] {
        let problem = instance(name);
        let (statics, lines, diary, _) = taken_over(&problem);
        let chain = |diary| Chain::new(&problem, &statics, &lines, LateFigure::OrderDaysLate, diary, 1).unwrap();
        let mut searched = chain(diary);
        let (aim, heats) = (Aim::Lateness { enough: 0.0 }, (0.002, 0.000_1));
        searched.anneal(aim, heats, |done| done as f64 / 2000.0, |_| {});
        let best = searched.best.clone();
        searched.go_to(&best);
        let again = chain(taken_again(&problem, &lines, &searched, &best.diary));
        let (mut is, mut was) = (again.walker().schedule(), searched.walker().schedule());
        is.pours.iter_mut().chain(&mut was.pours).for_each(|pours| pours.sort_unstable());
        assert_eq!(is, was, "{name}");
        assert!(again.best.late.orders <= best.late.orders, "{name}: {:?} became {:?}", best.late, again.best.late);
        sooner += u32::from(again.best.late.orders < best.late.orders);
    }
    assert!(sooner > 0);
}

#[test]
fn what_is_only_about_from_earlier_days_is_not_poured() {
    let mut facts = facts("small-1");
    // An old revision, of which panels are still on the rack and which no panel takes any more.
    let old = doc::Mix { id: "old@1".into(), ..facts.mixes[0].clone() };
    let (panel, since) = (facts.panels[0].id.clone(), facts.first_day.pred_opt().unwrap());
    let (mix, rack) = (old.id.clone(), facts.racks.first().map(|r| r.id.clone()));
    facts.mixes.push(old);
    facts.lots.push(doc::Lot {
        panel,
        mix,
        stage: doc::Stage::Drying,
        since,
        quantity: 1,
        tank: None,
        rack,
        soaked_on: None,
    });
    let problem = validate(&facts).unwrap();
    assert!(problem.makes.iter().any(|make| !make.suits));
    let (statics, lines, mut diary, _) = taken_over(&problem);
    let mut walker = Walker::new(&problem, &statics);
    walker.walk(&diary, &Touched::all());
    walker.accept();
    let mut hand = Hand::new(&problem, &lines, Rng::new(5));
    for step in 0..4000 {
        if !hand.change(&mut diary, &walker) {
            continue;
        }
        if walker.walk(&diary, &hand.touched) == Course::Broken {
            walker.refuse();
            hand.undo(&mut diary);
            continue;
        }
        walker.accept();
        let mut poured = walker.days.iter().flat_map(|day| &day.pours);
        assert!(poured.all(|pour| problem.makes[pour.make].suits), "change {step} pours the old revision");
    }
}
