//! Numbers and dates beyond all sense: the checker refuses such plans in words and never comes to grief itself.
#![allow(clippy::unwrap_used)]

mod common;

use chrono::NaiveDate as Day;
use common::{instance, plan};
use planner::{Rule, check};
use workshop::documents::facts::OutOfService;
use workshop::documents::plan::Delivery;
use workshop::documents::{Facts, Plan};

const HUGE: [i64; 4] = [i64::MAX, i64::MAX - 1, 1 << 62, i64::MIN];

fn yard() -> (Facts, Plan) {
    let facts = instance("yard");
    let plan = plan(&facts, 0, 0).unwrap().plan;
    assert!(check(&facts, &plan).holds());
    (facts, plan)
}

/// Spoils a row of each list, then all rows of it, so that sums go beyond what 64 bits hold.
fn everywhere(plan: &Plan, spoil: impl Fn(&mut Plan, &dyn Fn(usize) -> bool)) -> Vec<Plan> {
    let first = |n: usize| n == 0;
    let all = |_: usize| true;
    let which: [&dyn Fn(usize) -> bool; 2] = [&first, &all];
    let spoilt = |which: &&dyn Fn(usize) -> bool| {
        let mut plan = plan.clone();
        spoil(&mut plan, which);
        plan
    };
    which.iter().map(spoilt).collect()
}

fn picked<'a, T>(rows: &'a mut [T], which: &'a dyn Fn(usize) -> bool) -> impl Iterator<Item = &'a mut T> {
    rows.iter_mut().enumerate().filter(move |(n, _)| which(*n)).map(|(_, row)| row)
}

#[test]
fn huge_quantities_are_refused() {
    let (facts, plan) = yard();
    for huge in HUGE {
        let mut spoilt = Vec::new();
        spoilt.extend(everywhere(&plan, |p, which| picked(&mut p.pours, which).for_each(|row| row.quantity = huge)));
        spoilt.extend(everywhere(&plan, |p, which| picked(&mut p.strips, which).for_each(|row| row.quantity = huge)));
        spoilt.extend(everywhere(&plan, |p, which| picked(&mut p.lifts, which).for_each(|row| row.quantity = huge)));
        spoilt.extend(everywhere(&plan, |p, which| {
            let orders = p.orders.iter_mut().flat_map(|order| &mut order.met).enumerate();
            orders.filter(|(n, _)| which(*n)).for_each(|(_, met)| met.quantity = huge);
        }));
        spoilt.extend(everywhere(&plan, |p, which| {
            let row = || Delivery { arrives: facts.last_day, material: facts.materials[0].id.clone(), packs: huge };
            p.deliveries = (0..3).filter(|n| which(*n)).map(|_| row()).collect();
        }));
        for plan in spoilt {
            let verdict = check(&facts, &plan);
            assert!(!verdict.holds());
            assert!(verdict.broken.iter().all(|broken| !broken.place.is_empty() && !broken.sentence.is_empty()));
        }
    }
}

#[test]
fn huge_figures_are_refused() {
    let (facts, plan) = yard();
    for huge in HUGE {
        for spoil in
            [|p: &mut Plan, huge| p.figures.material_cost = huge, |p: &mut Plan, huge| p.figures.changes = huge]
        {
            let mut plan = plan.clone();
            spoil(&mut plan, huge);
            assert!(check(&facts, &plan).broken.iter().all(|broken| broken.rule == Rule::Figures));
        }
    }
    for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX] {
        let (mut said, mut bound, mut mixed) = (plan.clone(), plan.clone(), plan.clone());
        said.figures.order_days_late = odd;
        mixed.batches[0].litres[0] = odd;
        assert!(check(&facts, &said).broken.iter().any(|broken| broken.rule == Rule::Figures), "{odd}");
        assert!(check(&facts, &mixed).broken.iter().any(|broken| broken.rule == Rule::Batches), "{odd}");
        if let Some(proof) = &mut bound.proof {
            proof.bound = odd;
        }
        assert_eq!(check(&facts, &bound).holds(), odd == f64::NEG_INFINITY, "{odd}");
    }
}

#[test]
fn days_out_of_all_reach_are_refused() {
    let (facts, plan) = yard();
    for far in [Day::MIN, Day::MAX] {
        let mut moved = plan.clone();
        moved.pours.iter_mut().for_each(|row| row.day = far);
        moved.strips.iter_mut().for_each(|row| row.day = far);
        moved.lifts.iter_mut().for_each(|row| row.day = far);
        moved.batches.iter_mut().for_each(|row| row.day = far);
        moved.deliveries.push(Delivery { arrives: far, material: facts.materials[0].id.clone(), packs: 1 });
        moved.orders.iter_mut().for_each(|order| {
            order.ready_on = Some(far);
            order.met.iter_mut().for_each(|met| met.day = far);
        });
        assert!(check(&facts, &moved).broken.iter().any(|broken| broken.rule == Rule::Rows));
    }
}

/// Facts like these are refused before anybody plans; whoever asks the checker all the same gets an answer.
#[test]
fn unsound_facts_do_no_harm() {
    let (facts, plan) = yard();
    for huge in HUGE {
        let mut odd = facts.clone();
        odd.mixer_batches = huge;
        odd.policy.unmet_days = huge;
        odd.policy.steady_days = huge;
        odd.materials.iter_mut().for_each(|m| m.lead_days = huge);
        odd.mixes.iter_mut().for_each(|m| (m.hold_days, m.soak_days, m.dry_days) = (huge, huge, huge));
        odd.lots.iter_mut().for_each(|lot| lot.quantity = huge);
        odd.ready_stock.iter_mut().for_each(|stock| stock.quantity = huge);
        odd.pinned.iter_mut().for_each(|pin| pin.quantity = huge);
        odd.published.iter_mut().for_each(|pour| pour.quantity = huge);
        let lines = odd.orders.iter_mut().flat_map(|order| &mut order.lines);
        lines.for_each(|line| line.quantity = huge);
        for group in &mut odd.mould_groups {
            let out = || OutOfService { from: Day::MIN, to: Day::MAX, moulds: huge };
            (group.moulds, group.out_of_service) = (huge, vec![out(), out(), out()]);
        }
        assert!(!check(&odd, &plan).holds());
        odd.orders.iter_mut().for_each(|order| order.due_on = Day::MIN);
        assert!(!check(&odd, &plan).holds());
    }
}
