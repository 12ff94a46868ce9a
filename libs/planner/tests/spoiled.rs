//! Spoiled plans: for each rule a few ways to break it; our checker names the rule, and the judge says no as well.
#![allow(clippy::unwrap_used)]

mod common;

use common::outside::judge;
use common::{day, instance, plan};
use planner::{Rule, check};
use workshop::documents::plan::{Delivery, LateFigure, Met, Proof};
use workshop::documents::{Facts, Plan};

type Spoil = fn(&mut Facts, &mut Plan);

/// The rule, what is done, and how.
const SPOILS: &[(Rule, &str, Spoil)] = &[
    (Rule::Rows, "a pour on a Sunday", |_, p| p.pours[0].day = day("2026-05-10")),
    (Rule::Rows, "a pour beyond the horizon", |_, p| p.pours[0].day = day("2026-06-01")),
    (Rule::Rows, "no panels at all", |_, p| p.strips[0].quantity = 0),
    (Rule::Rows, "a panel nobody knows", |_, p| p.lifts[0].panel = "nobody".into()),
    (Rule::Rows, "a mix nobody knows", |_, p| p.batches[0].mix = "nobody".into()),
    (Rule::Rows, "a delivery of nothing", |_, p| p.deliveries.push(delivery("2026-05-12", "cement", 0))),
    (Rule::Rows, "a delivery of something unknown", |_, p| p.deliveries.push(delivery("2026-05-12", "gold", 1))),
    (Rule::Rows, "minus one panel given", |_, p| p.orders[0].met[0].quantity = -1),
    (Rule::Pours, "a mix the panel does not take", |_, p| {
        let row = p.pours.iter_mut().find(|row| row.panel == "end").unwrap();
        row.mix = "red".into();
    }),
    (Rule::Pours, "a mix on a day it may not be poured", |f, p| {
        let row = p.pours.iter().find(|row| row.mix == "grey").unwrap();
        f.mixes.iter_mut().find(|mix| mix.id == "grey").unwrap().not_on.insert(row.day);
    }),
    (Rule::Pours, "a pin not kept", |f, _| f.pinned[0].quantity += 1),
    (Rule::Passage, "stripped before its time", |f, _| f.mixes.iter_mut().for_each(|mix| mix.hold_days += 3)),
    (Rule::Passage, "lifted before its time", |f, _| f.mixes[0].soak_days += 9),
    (Rule::Passage, "a tank it does not fit", |_, p| {
        let row = p.strips.iter_mut().find(|row| row.panel == "side" && row.mix == "grey").unwrap();
        row.tank = Some("flat".into());
    }),
    (Rule::Passage, "no tank where it has to soak", |_, p| {
        p.strips.iter_mut().find(|row| row.mix == "grey").unwrap().tank = None;
    }),
    (Rule::Passage, "a rack nobody knows", |_, p| {
        p.lifts.iter_mut().find(|row| row.mix == "grey").unwrap().rack = Some("nowhere".into());
    }),
    (Rule::Room, "too few moulds", |f, _| f.mould_groups.iter_mut().for_each(|group| group.moulds = 1)),
    (Rule::Room, "moulds that are not ready the same day", |f, _| {
        f.mould_groups.iter_mut().for_each(|group| (group.turnaround_days, group.moulds) = (1, 2));
    }),
    (Rule::Room, "a tank too small", |f, _| f.tanks.iter_mut().for_each(|tank| tank.mm = 60.0)),
    (Rule::Room, "racks too small", |f, _| f.racks.iter_mut().for_each(|rack| rack.mm = 80.0)),
    (Rule::Batches, "a batch too large", |_, p| p.batches[0].litres[0] = 41.0),
    (Rule::Batches, "a batch too small", |_, p| p.batches[0].litres[0] = 1.0),
    (Rule::Batches, "not enough mixed", |_, p| drop(p.batches.remove(0))),
    (Rule::Batches, "more than the mixer manages", |f, _| f.mixer_batches = 0),
    (Rule::Labour, "a short day", |f, _| f.labour_minutes.usual = 50.0),
    (Rule::Materials, "a delivery before its lead time", |_, p| {
        p.deliveries.push(delivery("2026-05-05", "pigment", 1));
    }),
    (Rule::Materials, "more than the store holds", |_, p| {
        p.deliveries.push(delivery("2026-05-12", "cement", 9));
    }),
    (Rule::Materials, "below the floor", |f, _| f.materials[0].floor = 59_000.0),
    (Rule::Promises, "given before it is ready", |_, p| {
        p.orders.iter_mut().for_each(|order| order.met.iter_mut().for_each(|met| met.day = day("2026-05-04")));
    }),
    (Rule::Promises, "given more than ordered", |_, p| p.orders[0].met[0].quantity += 1),
    (Rule::Promises, "given what was not ordered", |_, p| {
        let row = Met { panel: "end".into(), finish: "brick".into(), day: day("2026-05-29"), quantity: 1 };
        p.orders[0].met.push(row);
    }),
    (Rule::Orders, "an order forgotten", |_, p| drop(p.orders.pop())),
    (Rule::Orders, "an order twice", |_, p| p.orders.push(p.orders[0].clone())),
    (Rule::Orders, "an order nobody placed", |_, p| p.orders[0].id = "nobody".into()),
    (Rule::Orders, "another day than it is", |_, p| p.orders[0].ready_on = Some(day("2026-05-29"))),
    (Rule::Orders, "said not to be whole", |_, p| p.orders[0].ready_on = None),
    (Rule::Figures, "order-days made up", |_, p| p.figures.order_days_late -= 1.0),
    (Rule::Figures, "panel-days made up", |_, p| p.figures.panel_days_late -= 1.0),
    (Rule::Figures, "money made up", |_, p| p.figures.material_cost -= 2),
    (Rule::Figures, "changes made up", |_, p| p.figures.changes += 1),
    (Rule::Proof, "a bound above the figure", |_, p| {
        let (figure, bound) = (LateFigure::OrderDaysLate, p.figures.order_days_late + 1.0);
        p.proof = Some(Proof { figure, bound, gap: 0.0, seconds: 0.0, ended: "time".into(), way: "foreman".into() });
    }),
    (Rule::Proof, "a bound of panels above the figure", |_, p| {
        let (figure, bound) = (LateFigure::PanelDaysLate, p.figures.panel_days_late + 0.5);
        p.proof = Some(Proof { figure, bound, gap: 0.0, seconds: 0.0, ended: "time".into(), way: "foreman".into() });
    }),
];

fn delivery(arrives: &str, material: &str, packs: i64) -> Delivery {
    Delivery { arrives: day(arrives), material: material.into(), packs }
}

#[test]
fn both_see_every_spoiled_plan() {
    let facts = instance("yard");
    let good = plan(&facts, 0, 0).unwrap().plan;
    assert!(check(&facts, &good).holds());
    let mut pairs = Vec::new();
    for (rule, what, spoil) in SPOILS {
        let (mut facts, mut plan) = (facts.clone(), good.clone());
        spoil(&mut facts, &mut plan);
        let broken = check(&facts, &plan).broken;
        assert!(broken.iter().any(|broken| broken.rule == *rule), "{what}: {rule:?} is not among {broken:?}");
        assert!(broken.iter().all(|broken| !broken.sentence.is_empty() && !broken.place.is_empty()));
        pairs.push((facts, plan));
    }
    for (judged, (_, what, _)) in judge(&pairs).into_iter().flatten().zip(SPOILS) {
        assert!(!judged.holds, "{what}: the judge sees nothing");
    }
}

#[test]
fn every_rule_has_its_spoils() {
    let all = [
        Rule::Rows,
        Rule::Pours,
        Rule::Passage,
        Rule::Room,
        Rule::Batches,
        Rule::Labour,
        Rule::Materials,
        Rule::Promises,
        Rule::Orders,
        Rule::Figures,
        Rule::Proof,
    ];
    for rule in all {
        assert!(SPOILS.iter().any(|spoil| spoil.0 == rule), "{rule:?}");
    }
}
