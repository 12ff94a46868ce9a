//! Every contradiction has its row: what is wrong, where it is told, and a word of what is said.
#![allow(clippy::unwrap_used)]

mod common;

use common::{day, instance};
use planner::validate;
use workshop::documents::Facts;
use workshop::documents::facts::{Lot, OutOfService, Pour, Stage};

type Spoil = fn(&mut Facts);

const TABLE: &[(&str, &str, Spoil)] = &[
    ("/last_day", "before the first day", |f| f.last_day = day("2026-05-01")),
    ("/last_day", "400 is the most", |f| f.last_day = day("2027-12-01")),
    ("/working_days", "no working day", |f| f.working_days.clear()),
    ("/working_days", "no working day", |f| f.working_days = [day("2027-01-01")].into()),
    ("/labour_minutes/usual", "below 0", |f| f.labour_minutes.usual = -1.0),
    ("/labour_minutes/usual", "not a number", |f| f.labour_minutes.usual = f64::NAN),
    ("/labour_minutes/on/2026-05-08", "below 0", |f| {
        f.labour_minutes.on.insert(day("2026-05-08"), -5.0);
    }),
    ("/mixer_batches", "below 0", |f| f.mixer_batches = -1),
    ("/materials/2/id", "already", |f| f.materials.push(f.materials[0].clone())),
    ("/materials/0/on_hand", "below 0", |f| f.materials[0].on_hand = -1.0),
    ("/materials/0/on_hand", "not a number", |f| f.materials[0].on_hand = f64::INFINITY),
    ("/materials/0/floor", "below 0", |f| f.materials[0].floor = -1.0),
    ("/materials/0/pack", "more than 0", |f| f.materials[0].pack = 0.0),
    ("/materials/0/pack_price", "below 0", |f| f.materials[0].pack_price = -1.0),
    ("/materials/0/lead_days", "below 0", |f| f.materials[0].lead_days = -1),
    ("/materials/0/delivery_charge", "below 0", |f| f.materials[0].delivery_charge = -1.0),
    ("/materials/0/store_max", "below 0", |f| f.materials[0].store_max = Some(-1.0)),
    ("/materials/1/price_breaks/0/from_packs", "below 1", |f| f.materials[1].price_breaks[0].from_packs = 0),
    ("/materials/1/price_breaks/0/pack_price", "below 0", |f| f.materials[1].price_breaks[0].pack_price = -1.0),
    ("/materials/0/expected/0/quantity", "below 0", |f| f.materials[0].expected[0].quantity = -1.0),
    ("/mixes/2/id", "already", |f| f.mixes.push(f.mixes[1].clone())),
    ("/mixes/0/id", "empty", |f| f.mixes[0].id.clear()),
    ("/mixes/0/finish", "empty", |f| f.mixes[0].finish.clear()),
    ("/mixes/0/per_litre/gold", "no material", |f| {
        f.mixes[0].per_litre.insert("gold".into(), 1.0);
    }),
    ("/mixes/0/per_litre/cement", "below 0", |f| {
        f.mixes[0].per_litre.insert("cement".into(), -1.0);
    }),
    ("/mixes/0/batch_litres_min", "above the most", |f| f.mixes[0].batch_litres_min = 41.0),
    ("/mixes/0/batch_litres_max", "more than 0", |f| f.mixes[0].batch_litres_max = 0.0),
    ("/mixes/0/batch_minutes", "below 0", |f| f.mixes[0].batch_minutes = -1.0),
    ("/mixes/0/washout_litres", "below 0", |f| f.mixes[0].washout_litres = -1.0),
    ("/mixes/0/washout_minutes", "below 0", |f| f.mixes[0].washout_minutes = -1.0),
    ("/mixes/0/washout_price", "below 0", |f| f.mixes[0].washout_price = -1.0),
    ("/mixes/0/washout_price_on/2026-05-07", "not a number", |f| {
        f.mixes[0].washout_price_on.insert(day("2026-05-07"), f64::NAN);
    }),
    ("/mixes/0/hold_days", "below 1", |f| f.mixes[0].hold_days = 0),
    ("/mixes/0/hold_days_on/2026-05-07", "below 1", |f| {
        f.mixes[0].hold_days_on.insert(day("2026-05-07"), 0);
    }),
    ("/mixes/0/soak_days", "below 0", |f| f.mixes[0].soak_days = -1),
    ("/mixes/0/dry_days", "beyond", |f| f.mixes[0].dry_days = i64::MAX),
    ("/mould_groups/2/id", "already", |f| f.mould_groups.push(f.mould_groups[0].clone())),
    ("/mould_groups/0/moulds", "below 0", |f| f.mould_groups[0].moulds = -1),
    ("/mould_groups/0/turnaround_days", "neither 0 nor 1", |f| f.mould_groups[0].turnaround_days = 2),
    ("/mould_groups/1/out_of_service/0/to", "swap", |f| {
        let (from, to) = (day("2026-05-08"), day("2026-05-07"));
        f.mould_groups[1].out_of_service.push(OutOfService { from, to, moulds: 1 });
    }),
    ("/mould_groups/0/out_of_service/0/moulds", "below 0", |f| f.mould_groups[0].out_of_service[0].moulds = -1),
    ("/panels/2/id", "already", |f| f.panels.push(f.panels[0].clone())),
    ("/panels/0/mould_group", "no mould group", |f| f.panels[0].mould_group = "none".into()),
    ("/panels/0/litres", "more than 0", |f| f.panels[0].litres = 0.0),
    ("/panels/0/tank_mm", "below 0", |f| f.panels[0].tank_mm = -1.0),
    ("/panels/0/rack_mm", "below 0", |f| f.panels[0].rack_mm = -1.0),
    ("/panels/0/pour_minutes", "below 0", |f| f.panels[0].pour_minutes = -1.0),
    ("/panels/0/strip_minutes", "below 0", |f| f.panels[0].strip_minutes = -1.0),
    ("/panels/0/lift_minutes", "not a number", |f| f.panels[0].lift_minutes = f64::NAN),
    ("/panels/0/mixes/2", "no mix", |f| f.panels[0].mixes.push("none".into())),
    ("/panels/0/tanks/0", "no tank", |f| f.panels[0].tanks = Some(vec!["none".into()])),
    ("/panels/0/per_panel/mesh", "no material", |f| {
        f.panels[0].per_panel.insert("mesh".into(), 1.0);
    }),
    ("/panels/0/keep_price", "below 0", |f| f.panels[0].keep_price = -1.0),
    ("/panels/0/pass_rate", "no share", |f| f.panels[0].pass_rate = Some(0.0)),
    ("/tanks/2/id", "already", |f| f.tanks.push(f.tanks[0].clone())),
    ("/tanks/0/mm", "below 0", |f| f.tanks[0].mm = -1.0),
    ("/racks/2/id", "already", |f| f.racks.push(f.racks[0].clone())),
    ("/racks/0/mm", "below 0", |f| f.racks[0].mm = -1.0),
    ("/ready_stock/0/panel", "no panel", |f| f.ready_stock[0].panel = "none".into()),
    ("/ready_stock/0/quantity", "below 1", |f| f.ready_stock[0].quantity = 0),
    ("/lots/0/panel", "no panel", |f| f.lots[0].panel = "none".into()),
    ("/lots/0/mix", "no mix", |f| f.lots[0].mix = "none".into()),
    ("/lots/0/quantity", "below 1", |f| f.lots[0].quantity = 0),
    ("/lots/0/since", "not before", |f| f.lots[0].since = day("2026-05-04")),
    ("/lots/1/tank", "name its own", |f| f.lots[1].tank = None),
    ("/lots/2/rack", "no rack", |f| f.lots[2].rack = Some("none".into())),
    ("/lots/3/rack", "0 racks", |f| {
        f.racks.clear();
        f.lots.truncate(2);
        f.lots.push(f.lots[0].clone());
        f.lots.push(Lot { stage: Stage::Drying, ..f.lots[0].clone() });
    }),
    ("/pinned/0/day", "not a working day", |f| f.pinned[0].day = day("2026-05-10")),
    ("/pinned/0/day", "outside the horizon", |f| f.pinned[0].day = day("2027-05-10")),
    ("/pinned/0/day", "may not be poured", |f| f.pinned[0].day = day("2026-05-12")),
    ("/pinned/0/mix", "does not take", |f| (f.pinned[0].panel, f.pinned[0].mix) = ("end".into(), "red".into())),
    ("/pinned/0/panel", "no panel", |f| f.pinned[0].panel = "none".into()),
    ("/pinned/0/quantity", "below 1", |f| f.pinned[0].quantity = 0),
    ("/orders/3/id", "already", |f| f.orders.push(f.orders[0].clone())),
    ("/orders/0/lines", "no line", |f| f.orders[0].lines.clear()),
    ("/orders/0/weight", "below 0", |f| f.orders[0].weight = -1.0),
    ("/orders/0/weight", "not a number", |f| f.orders[0].weight = f64::NAN),
    ("/orders/0/due_on", "out of all reach", |f| f.orders[0].due_on = chrono::NaiveDate::MAX),
    ("/orders/0/lines/1/panel", "no panel", |f| f.orders[0].lines[1].panel = "none".into()),
    ("/orders/0/lines/0/quantity", "below 1", |f| f.orders[0].lines[0].quantity = 0),
    ("/orders/0/lines/0/quantity", "beyond", |f| f.orders[0].lines[0].quantity = i64::MAX),
    ("/published/0/mix", "no mix", |f| f.published[0].mix = "none".into()),
    ("/published/1/quantity", "below 1", |f| f.published.push(Pour { quantity: -1, ..f.published[0].clone() })),
    ("/policy/unmet_days", "below 0", |f| f.policy.unmet_days = -1),
    ("/policy/steady_days", "below 0", |f| f.policy.steady_days = -1),
    ("/policy/late_price", "not a number", |f| f.policy.late_price = f64::NAN),
    ("/policy/seconds", "below 0", |f| f.policy.seconds = -1.0),
    ("/policy/threads", "below 1", |f| f.policy.threads = 0),
];

#[test]
fn every_contradiction_is_told_where_it_is() {
    for (pointer, word, spoil) in TABLE {
        let mut facts = instance("yard");
        spoil(&mut facts);
        let faults = validate(&facts).expect_err(pointer);
        let told = faults.iter().any(|fault| fault.pointer == *pointer && fault.detail.contains(word));
        assert!(told, "{pointer} ({word}) is not among {faults:?}");
    }
}

#[test]
fn all_contradictions_are_told_at_once() {
    let mut facts = instance("yard");
    facts.materials[0].pack = 0.0;
    facts.orders[1].lines[0].quantity = 0;
    facts.pinned[0].day = day("2026-05-10");
    assert_eq!(validate(&facts).unwrap_err().len(), 3);
}

#[test]
fn what_is_merely_unlucky_is_planned() {
    let unlucky: &[(&str, Spoil)] = &[
        ("no mould", |f| f.mould_groups[0].moulds = 0),
        ("a tank shrunk below what is in it", |f| f.tanks[1].mm = 10.0),
        ("a rack shrunk below what is on it", |f| f.racks[1].mm = 10.0),
        ("a material nobody can bring", |f| f.materials[1].lead_days = 300),
        ("a finish nobody makes", |f| f.orders[0].lines[0].finish = "gold".into()),
        ("no labour", |f| f.labour_minutes.usual = 30.0),
        ("no orders", |f| f.orders.clear()),
        ("more moulds missing than there are", |f| f.mould_groups[0].out_of_service[0].moulds = 9),
    ];
    for (what, spoil) in unlucky {
        let mut facts = instance("yard");
        spoil(&mut facts);
        facts.pinned.clear();
        let outcome = common::plan(&facts, 50, 0).unwrap_or_else(|failure| panic!("{what}: {failure:?}"));
        assert!(planner::check(&facts, &outcome.plan).holds(), "{what}");
    }
}

#[test]
fn what_holds_too_much_is_said() {
    let mut facts = instance("yard");
    facts.pinned.clear();
    let sound = common::plan(&facts, 50, 0).unwrap().explanation;
    assert!(sound.overfull.is_empty(), "{:?}", sound.overfull);
    let soaking = facts.lots.iter().find(|lot| lot.stage == Stage::Soaking).expect("a lot is soaking");
    let tank = soaking.tank.clone().expect("it says in which tank");
    facts.tanks.iter_mut().filter(|t| t.id == tank).for_each(|t| t.mm = 10.0);
    let said = common::plan(&facts, 50, 0).unwrap().explanation.overfull;
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(said[0].place, tank);
    assert!(said[0].sentence.contains("has 10 mm of row: nothing is added until"), "{}", said[0].sentence);
}
