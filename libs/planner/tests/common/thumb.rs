//! Facts of a thumb's size, drawn by lot: at most six working days, two panels, two mixes and five panels ordered, so that every
//! plan can be looked at. All numbers are whole, so that nothing depends on how fractions are rounded.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Duration, NaiveDate as Day};
use workshop::documents::Facts;
use workshop::documents::facts::*;

use super::lot::Lots;

/// Facts of a seed.
pub fn facts(seed: u64) -> Facts {
    let mut lots = Lots::new(seed ^ 0x7485);
    let l = &mut lots;
    let first: Day = "2026-05-04".parse().unwrap();
    let all: Vec<Day> = first.iter_days().take(l.from(5, 8) as usize).collect();
    let mut days: BTreeSet<Day> = all.iter().copied().filter(|day| *day == first || !l.once_in(6)).collect();
    while days.len() > 6 {
        days.pop_last();
    }
    let working: Vec<Day> = days.iter().copied().collect();
    let rooms = |l: &mut Lots, what: &str, none: i64| {
        let count = if l.once_in(none) { 0 } else { 1 + i64::from(l.once_in(4)) };
        (0..count).map(|n| Room { id: format!("{what}-{n}"), mm: l.from(1, 5) as f64 * 50.0 }).collect::<Vec<_>>()
    };
    let (tanks, racks) = (rooms(l, "tank", 10), rooms(l, "rack", 10));
    let materials = vec![material(l, first)];
    let mixes: Vec<Mix> =
        (0..l.from(1, 2)).map(|n| mix(l, n, &working, !tanks.is_empty(), !racks.is_empty())).collect();
    let mould_groups: Vec<MouldGroup> = (0..l.from(1, 2)).map(|n| group(l, n, &working)).collect();
    let panels: Vec<Panel> = (0..l.from(1, 2)).map(|n| panel(l, n, &mould_groups, &mixes, &tanks)).collect();
    let mut facts = Facts {
        name: None,
        first_day: first,
        last_day: *all.last().unwrap(),
        working_days: days,
        labour_minutes: Labour { usual: l.from(15, 60) as f64, on: BTreeMap::new() },
        mixer_batches: l.from(1, 3),
        materials,
        mixes,
        mould_groups,
        panels,
        tanks,
        racks,
        ready_stock: Vec::new(),
        lots: Vec::new(),
        pinned: Vec::new(),
        orders: Vec::new(),
        published: Vec::new(),
        policy: Policy { unmet_days: l.from(0, 9), steady_days: 0, late_price: 1.0, seconds: 1.0, threads: 1, seed: 1 },
    };
    if l.once_in(3) {
        facts.labour_minutes.on.insert(*l.one_of(&working), l.from(0, 40) as f64);
    }
    orders(l, &mut facts);
    under_way(l, &mut facts, &working);
    facts
}

fn material(l: &mut Lots, first: Day) -> Material {
    let expected = Expected { day: first + Duration::days(l.from(-1, 4)), quantity: l.from(1, 40) as f64 };
    Material {
        id: "cement".into(),
        on_hand: l.from(0, 90) as f64,
        floor: l.from(0, 5) as f64,
        pack: 25.0,
        pack_price: 10.0,
        lead_days: l.from(0, 5),
        delivery_charge: 5.0,
        store_max: l.once_in(3).then(|| l.from(30, 90) as f64),
        price_breaks: Vec::new(),
        expected: if l.once_in(2) { vec![expected] } else { Vec::new() },
        unit: None,
    }
}

fn mix(l: &mut Lots, n: i64, days: &[Day], tanks: bool, racks: bool) -> Mix {
    let batch_litres_min = l.from(0, 12) as f64;
    Mix {
        id: format!("mix-{n}"),
        finish: format!("finish-{}", l.from(0, 1)),
        per_litre: BTreeMap::from([("cement".to_owned(), l.from(0, 2) as f64)]),
        batch_litres_min,
        batch_litres_max: batch_litres_min + l.from(8, 30) as f64,
        batch_minutes: l.from(0, 10) as f64,
        washout_litres: l.from(0, 2) as f64,
        washout_minutes: l.from(0, 12) as f64,
        washout_price: 0.0,
        washout_price_on: BTreeMap::new(),
        hold_days: l.from(1, 2),
        hold_days_on: if l.once_in(3) { BTreeMap::from([(*l.one_of(days), l.from(1, 3))]) } else { BTreeMap::new() },
        soak_days: if tanks { l.from(0, 2) } else { 0 },
        dry_days: if racks { l.from(0, 2) } else { 0 },
        not_on: if l.once_in(3) { BTreeSet::from([*l.one_of(days)]) } else { BTreeSet::new() },
    }
}

fn group(l: &mut Lots, n: i64, days: &[Day]) -> MouldGroup {
    let from = *l.one_of(days);
    let out = OutOfService { from, to: from + Duration::days(l.from(0, 2)), moulds: 1 };
    MouldGroup {
        id: format!("group-{n}"),
        moulds: l.from(1, 3),
        turnaround_days: l.from(0, 1),
        out_of_service: if l.once_in(4) { vec![out] } else { Vec::new() },
    }
}

fn panel(l: &mut Lots, n: i64, groups: &[MouldGroup], mixes: &[Mix], tanks: &[Room]) -> Panel {
    let fits = tanks.iter().map(|tank| tank.id.clone()).take(1).collect();
    Panel {
        id: format!("panel-{n}"),
        mould_group: l.one_of(groups).id.clone(),
        litres: l.from(3, 12) as f64,
        tank_mm: l.from(1, 3) as f64 * 50.0,
        rack_mm: l.from(1, 3) as f64 * 50.0,
        pour_minutes: l.from(0, 12) as f64,
        strip_minutes: l.from(0, 10) as f64,
        lift_minutes: l.from(0, 10) as f64,
        mixes: mixes.iter().map(|mix| mix.id.clone()).filter(|_| !l.once_in(6)).collect(),
        tanks: if l.once_in(3) { Some(fits) } else { None },
        per_panel: if l.once_in(3) { BTreeMap::from([("cement".to_owned(), 2.0)]) } else { BTreeMap::new() },
        pass_rate: None,
        keep_price: 0.0,
    }
}

fn orders(l: &mut Lots, facts: &mut Facts) {
    let mut left = l.from(2, 5);
    for n in 0..l.from(1, 3) {
        let mut lines = Vec::new();
        for _ in 0..l.from(1, 2) {
            let finishes: Vec<String> = facts.mixes.iter().map(|mix| mix.finish.clone()).collect();
            let quantity = l.from(1, 3).min(left);
            if quantity > 0 {
                left -= quantity;
                let panel = l.one_of(&facts.panels).id.clone();
                lines.push(OrderLine { panel, finish: l.one_of(&finishes).clone(), quantity });
            }
        }
        if !lines.is_empty() {
            let due_on = facts.first_day + Duration::days(l.from(0, 5));
            facts.orders.push(Order {
                id: format!("order-{n}"),
                due_on,
                weight: *l.one_of(&[0.5, 1.0, 1.0, 2.0]),
                lines,
            });
        }
    }
}

fn under_way(l: &mut Lots, facts: &mut Facts, days: &[Day]) {
    let since = |l: &mut Lots| facts.first_day - Duration::days(l.from(1, 2));
    if l.once_in(3) {
        let mut stages = vec![Stage::InMould];
        stages.extend((!facts.tanks.is_empty()).then_some(Stage::Soaking));
        stages.extend((!facts.racks.is_empty()).then_some(Stage::Drying));
        let stage = *l.one_of(&stages);
        let mut lot = Lot {
            panel: l.one_of(&facts.panels).id.clone(),
            mix: l.one_of(&facts.mixes).id.clone(),
            stage,
            since: since(l),
            quantity: l.from(1, 3),
            tank: (stage == Stage::Soaking).then(|| l.one_of(&facts.tanks).id.clone()),
            rack: (stage == Stage::Drying).then(|| l.one_of(&facts.racks).id.clone()),
            soaked_on: None,
        };
        // Some lie in cold water.
        lot.soaked_on = (stage == Stage::Soaking && lot.quantity == 2).then(|| lot.since + Duration::days(3));
        facts.lots.push(lot);
    }
    if l.once_in(6) {
        let (panel, finish) = (l.one_of(&facts.panels).id.clone(), facts.mixes[0].finish.clone());
        facts.ready_stock.push(ReadyStock { panel, finish, quantity: 1 });
    }
    if l.once_in(8) {
        let (panel, day) = (l.one_of(&facts.panels).clone(), *l.one_of(days));
        let mix = facts.mixes.iter().find(|mix| panel.mixes.contains(&mix.id) && !mix.not_on.contains(&day));
        let pin = mix.map(|mix| Pour { day, panel: panel.id, mix: mix.id.clone(), quantity: 1 });
        facts.pinned.extend(pin);
    }
}
