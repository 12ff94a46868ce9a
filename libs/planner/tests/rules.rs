//! Every rule matters to many of the facts drawn by lot, and our checker and the judge both see when it alone is broken.
//!
//! A rule binds where the plan made without it breaks it; that plan, its figures put right, is a plan spoiled in that rule.
#![allow(clippy::unwrap_used)]

mod common;

use std::sync::atomic::{AtomicUsize, Ordering};

use common::lot::{self, Lots};
use common::outside::judge;
use common::rules::{LIMITS, Limit, SPOILS, Spoil, is_about};
use common::{FACTS_DRAWN, plan};
use planner::{Rule, check};
use workshop::documents::{Facts, Plan};

/// In so many facts each rule must bind, and be broken alone in so many plans; then no more are looked at for it.
const NEEDED: usize = 50;

/// What came of a rule over the facts drawn by lot.
struct Tried {
    rule: Rule,
    name: &'static str,
    /// Facts looked at.
    facts: u64,
    /// Facts in which it binds.
    binds: usize,
    /// Plans that break it and no other.
    alone: Vec<(Facts, Plan)>,
}

/// The figures as they are, and no proof: a plan spoiled elsewhere is not to be blamed for them.
fn put_right(facts: &Facts, plan: &mut Plan) {
    plan.proof = None;
    plan.figures = check(facts, plan).figures;
}

fn broken(facts: &Facts, plan: &Plan, rule: Rule) -> (bool, bool) {
    let broken = check(facts, plan).broken;
    let is = broken.iter().any(|broken| broken.rule == rule);
    (is, is && broken.iter().all(|broken| broken.rule == rule))
}

fn without(limit: &Limit) -> Tried {
    let mut tried = Tried { rule: limit.rule, name: limit.name, facts: 0, binds: 0, alone: Vec::new() };
    while tried.facts < FACTS_DRAWN && (tried.binds < NEEDED || tried.alone.len() < NEEDED) {
        let facts = lot::facts(tried.facts);
        tried.facts += 1;
        let mut free = facts.clone();
        (limit.lift)(&mut free);
        let Some(mut made) = (free != facts).then(|| plan(&free, 0, 0).ok()).flatten().map(|outcome| outcome.plan)
        else {
            continue;
        };
        put_right(&facts, &mut made);
        let (is, alone) = broken(&facts, &made, limit.rule);
        tried.binds += usize::from(is);
        if alone {
            tried.alone.push((facts, made));
        }
    }
    tried
}

fn spoilt(spoil: &Spoil) -> Tried {
    let mut tried = Tried { rule: spoil.rule, name: spoil.name, facts: 0, binds: 0, alone: Vec::new() };
    while tried.facts < FACTS_DRAWN && tried.alone.len() < NEEDED {
        let facts = lot::facts(tried.facts);
        tried.facts += 1;
        let Ok(outcome) = plan(&facts, 0, 0) else { continue };
        let mut spoilt = outcome.plan;
        if !(spoil.spoil)(&facts, &mut spoilt, &mut Lots::new(tried.facts)) {
            continue;
        }
        if !matches!(spoil.rule, Rule::Figures | Rule::Proof) {
            put_right(&facts, &mut spoilt);
        }
        if broken(&facts, &spoilt, spoil.rule).1 {
            tried.alone.push((facts, spoilt));
        }
    }
    tried
}

/// Each of some work, on two threads.
fn each<T: Sync>(all: &'static [T], work: fn(&T) -> Tried) -> Vec<Tried> {
    let next = AtomicUsize::new(0);
    let some = || {
        let mut done = Vec::new();
        while let Some(one) = all.get(next.fetch_add(1, Ordering::Relaxed)) {
            done.push(work(one));
        }
        done
    };
    std::thread::scope(|scope| {
        let threads = [scope.spawn(some), scope.spawn(some)];
        threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    })
}

/// The judge refuses every plan, and speaks of the rule and of nothing else.
fn the_judge_agrees(tried: &[Tried]) {
    let pairs: Vec<_> = tried.iter().flat_map(|tried| tried.alone.clone()).collect();
    let about = tried.iter().flat_map(|tried| tried.alone.iter().map(move |_| (tried.rule, tried.name)));
    for (judged, (rule, name)) in judge(&pairs).into_iter().flatten().zip(about) {
        assert!(!judged.holds, "{name}: the judge sees nothing");
        let others: Vec<_> = judged.sentences.iter().filter(|sentence| !is_about(rule, sentence)).collect();
        assert!(others.is_empty(), "{name}: the judge also says {others:?}");
    }
}

#[test]
fn every_limit_binds_often_and_is_seen_when_it_alone_is_broken() {
    let tried = each(LIMITS, without);
    for Tried { name, facts, binds, alone, .. } in &tried {
        eprintln!("{name}: binds in {binds} and is broken alone in {} of {facts} facts", alone.len());
    }
    for Tried { name, binds, alone, .. } in &tried {
        assert!(*binds >= NEEDED && alone.len() >= NEEDED, "{name}: {binds} and {}", alone.len());
    }
    the_judge_agrees(&tried);
}

#[test]
fn what_a_plan_says_wrongly_is_seen() {
    let tried = each(SPOILS, spoilt);
    for Tried { name, facts, alone, .. } in &tried {
        eprintln!("{name}: broken alone in {} of {facts} facts", alone.len());
    }
    for Tried { name, alone, .. } in &tried {
        assert!(alone.len() >= NEEDED, "{name}: {}", alone.len());
    }
    the_judge_agrees(&tried);
}
