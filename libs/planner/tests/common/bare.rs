//! A workshop that can be planned by hand: one panel, one mix, one of everything.

use std::collections::{BTreeMap, BTreeSet};

use workshop::documents::Facts;
use workshop::documents::facts::*;

fn day(text: &str) -> chrono::NaiveDate {
    text.parse().unwrap()
}

/// One panel type, one mix (hold 2, soak 14, dry 14), one mould, every day worked, nothing ordered.
pub fn bare() -> Facts {
    let first = day("2026-03-01");
    let mix = Mix {
        id: "foam".into(),
        finish: "plain".into(),
        per_litre: BTreeMap::from([("cement".into(), 400.0)]),
        batch_litres_min: 5.0,
        batch_litres_max: 40.0,
        batch_minutes: 10.0,
        washout_litres: 1.0,
        washout_minutes: 15.0,
        washout_price: 0.0,
        washout_price_on: BTreeMap::new(),
        hold_days: 2,
        hold_days_on: BTreeMap::new(),
        soak_days: 14,
        dry_days: 14,
        not_on: BTreeSet::new(),
    };
    let panel = Panel {
        id: "edging".into(),
        mould_group: "edging".into(),
        litres: 10.0,
        tank_mm: 50.0,
        rack_mm: 90.0,
        pour_minutes: 5.0,
        strip_minutes: 5.0,
        lift_minutes: 3.0,
        mixes: vec!["foam".into()],
        tanks: None,
        per_panel: BTreeMap::new(),
        pass_rate: None,
        keep_price: 0.0,
    };
    let material = Material {
        id: "cement".into(),
        on_hand: 100_000.0,
        floor: 0.0,
        pack: 25_000.0,
        pack_price: 1_000.0,
        lead_days: 3,
        delivery_charge: 500.0,
        store_max: None,
        price_breaks: Vec::new(),
        expected: Vec::new(),
        unit: Some("g".into()),
    };
    let group = MouldGroup { id: "edging".into(), moulds: 1, turnaround_days: 0, out_of_service: Vec::new() };
    Facts {
        name: None,
        first_day: first,
        last_day: day("2026-05-10"),
        working_days: first.iter_days().take(71).collect(),
        labour_minutes: Labour { usual: 200.0, on: BTreeMap::new() },
        mixer_batches: 2,
        materials: vec![material],
        mixes: vec![mix],
        mould_groups: vec![group],
        panels: vec![panel],
        tanks: vec![Room { id: "tank".into(), mm: 500.0 }],
        racks: vec![Room { id: "rack".into(), mm: 500.0 }],
        ready_stock: Vec::new(),
        lots: Vec::new(),
        pinned: Vec::new(),
        orders: Vec::new(),
        published: Vec::new(),
        policy: Policy { unmet_days: 10, steady_days: 0, late_price: 100.0, seconds: 1.0, threads: 1, seed: 1 },
    }
}

/// Lines for so many of the one panel.
pub fn lines(quantity: i64) -> Vec<OrderLine> {
    vec![OrderLine { panel: "edging".into(), finish: "plain".into(), quantity }]
}

/// An order for so many of the one panel.
pub fn order(id: &str, due_on: &str, quantity: i64) -> Order {
    Order { id: id.into(), due_on: day(due_on), weight: 1.0, lines: lines(quantity) }
}
