//! Facts drawn by lot: small workshops with every oddity the documents allow.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Duration, NaiveDate as Day};
use workshop::documents::Facts;
use workshop::documents::facts::*;

/// Draws.
pub struct Lots(u64);

impl Lots {
    pub fn new(seed: u64) -> Self {
        let mut lots = Lots(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        (0..10).for_each(|_| {
            lots.next();
        });
        lots
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// From `least` to `most`, both included.
    pub fn from(&mut self, least: i64, most: i64) -> i64 {
        least + (self.next() >> 16) as i64 % (most - least + 1)
    }

    /// True once in so many.
    pub fn once_in(&mut self, so_many: i64) -> bool {
        self.from(1, so_many) == 1
    }

    pub fn one_of<'a, T>(&mut self, few: &'a [T]) -> &'a T {
        &few[self.from(0, few.len() as i64 - 1) as usize]
    }

    /// Mixes a list up.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.from(0, at as i64) as usize);
        }
    }
}

const FIRST: &str = "2026-05-04";

/// Facts of a seed. They always validate; their pins may be more than can be kept.
pub fn facts(seed: u64) -> Facts {
    let mut lots = Lots::new(seed);
    let l = &mut lots;
    let first: Day = FIRST.parse().unwrap();
    let last = first + Duration::days(l.from(12, 40));
    let all: Vec<Day> = first.iter_days().take_while(|day| *day <= last + Duration::days(3)).collect();
    let mut working_days: BTreeSet<Day> = all.iter().copied().filter(|_| !l.once_in(4)).collect();
    working_days.insert(all[0]);
    let days: Vec<Day> = working_days.iter().copied().filter(|day| *day <= last).collect();
    let tanks = rooms(l, "tank", 500);
    let racks = rooms(l, "rack", 700);
    let materials: Vec<Material> = (0..l.from(1, 3)).map(|n| material(l, n, &all)).collect();
    let mixes: Vec<Mix> = (0..l.from(1, 4)).map(|n| mix(l, n, &materials, &days, tanks.len(), racks.len())).collect();
    let mould_groups: Vec<MouldGroup> = (0..l.from(1, 3)).map(|n| group(l, n, &days)).collect();
    let count = l.from(1, 4);
    let panels: Vec<Panel> = (0..count).map(|n| panel(l, n, &mould_groups, &mixes, &tanks, &materials)).collect();
    let mut facts = Facts {
        name: None,
        first_day: first,
        last_day: last,
        working_days,
        labour_minutes: labour(l, &days),
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
        policy: Policy {
            unmet_days: l.from(0, 30),
            steady_days: l.from(0, 6),
            late_price: 100.0,
            seconds: 1.0,
            threads: 1,
            seed: 1,
        },
    };
    on_the_way(l, &mut facts);
    wanted(l, &mut facts, &days);
    facts
}

fn rooms(l: &mut Lots, what: &str, mm: i64) -> Vec<Room> {
    let count = if l.once_in(12) { 0 } else { l.from(1, 3) };
    (0..count).map(|n| Room { id: format!("{what}-{n}"), mm: l.from(mm / 4, mm * 2) as f64 }).collect()
}

fn material(l: &mut Lots, n: i64, all: &[Day]) -> Material {
    let pack = *l.one_of(&[500.0, 5_000.0, 25_000.0]);
    let expected =
        |l: &mut Lots| Expected { day: *l.one_of(all) - Duration::days(2), quantity: l.from(100, 9_000) as f64 };
    Material {
        id: format!("material-{n}"),
        on_hand: l.from(0, 60_000) as f64,
        floor: l.from(0, 4_000) as f64,
        pack,
        pack_price: l.from(100, 900) as f64,
        lead_days: if l.once_in(8) { 100 } else { l.from(0, 9) },
        delivery_charge: l.from(0, 800) as f64,
        store_max: l.once_in(2).then(|| pack * l.from(1, 6) as f64 + l.from(0, 20_000) as f64),
        price_breaks: (0..l.from(0, 2))
            .map(|_| PriceBreak { from_packs: l.from(1, 6), pack_price: l.from(50, 900) as f64 })
            .collect(),
        expected: (0..l.from(0, 2)).map(|_| expected(l)).collect(),
        unit: None,
    }
}

fn mix(l: &mut Lots, n: i64, materials: &[Material], days: &[Day], tanks: usize, racks: usize) -> Mix {
    let per_litre =
        materials.iter().filter(|_| !l.once_in(3)).map(|m| (m.id.clone(), 400.0)).collect::<BTreeMap<_, _>>();
    let batch_litres_min = l.from(0, 30) as f64;
    let few = l.from(0, 6);
    Mix {
        id: format!("mix-{n}"),
        finish: format!("finish-{}", l.from(0, 1)),
        per_litre,
        batch_litres_min,
        batch_litres_max: batch_litres_min + l.from(5, 60) as f64,
        batch_minutes: l.from(0, 12) as f64,
        washout_litres: l.from(0, 3) as f64,
        washout_minutes: l.from(0, 30) as f64,
        washout_price: 0.0,
        washout_price_on: BTreeMap::new(),
        hold_days: l.from(1, 4),
        hold_days_on: (0..few).map(|_| (*l.one_of(days), l.from(1, 6))).collect(),
        soak_days: if tanks == 0 || l.once_in(4) { 0 } else { l.from(1, 6) },
        dry_days: if racks == 0 || l.once_in(4) { 0 } else { l.from(1, 6) },
        not_on: (0..l.from(0, 3)).map(|_| *l.one_of(days)).collect(),
    }
}

fn group(l: &mut Lots, n: i64, days: &[Day]) -> MouldGroup {
    let moulds = if l.once_in(10) { 0 } else { l.from(1, 6) };
    let out = |l: &mut Lots| {
        let from = *l.one_of(days);
        OutOfService { from, to: from + Duration::days(l.from(0, 5)), moulds: l.from(1, 3) }
    };
    MouldGroup {
        id: format!("group-{n}"),
        moulds,
        turnaround_days: l.from(0, 1),
        out_of_service: (0..l.from(0, 2)).map(|_| out(l)).collect(),
    }
}

fn panel(l: &mut Lots, n: i64, groups: &[MouldGroup], mixes: &[Mix], tanks: &[Room], materials: &[Material]) -> Panel {
    let some = |l: &mut Lots, ids: Vec<String>| ids.into_iter().filter(|_| !l.once_in(3)).collect::<Vec<_>>();
    let takes = some(l, mixes.iter().map(|m| m.id.clone()).collect());
    let fits = some(l, tanks.iter().map(|t| t.id.clone()).collect());
    Panel {
        id: format!("panel-{n}"),
        mould_group: l.one_of(groups).id.clone(),
        litres: l.from(4, 20) as f64,
        tank_mm: l.from(0, 90) as f64,
        rack_mm: l.from(0, 110) as f64,
        pour_minutes: l.from(0, 6) as f64,
        strip_minutes: l.from(0, 6) as f64,
        lift_minutes: l.from(0, 4) as f64,
        mixes: takes,
        tanks: l.once_in(2).then_some(fits),
        per_panel: if l.once_in(2) { BTreeMap::from([(materials[0].id.clone(), 20.0)]) } else { BTreeMap::new() },
        pass_rate: None,
        keep_price: 0.0,
    }
}

fn labour(l: &mut Lots, days: &[Day]) -> Labour {
    Labour {
        usual: l.from(20, 140) as f64,
        on: (0..l.from(0, 6)).map(|_| (*l.one_of(days), l.from(0, 100) as f64)).collect(),
    }
}

fn on_the_way(l: &mut Lots, facts: &mut Facts) {
    for _ in 0..l.from(0, 5) {
        let stage = *l.one_of(&[Stage::InMould, Stage::Soaking, Stage::Drying]);
        let there = match stage {
            Stage::InMould => true,
            Stage::Soaking => !facts.tanks.is_empty(),
            Stage::Drying => !facts.racks.is_empty(),
        };
        if !there {
            continue;
        }
        let place = |l: &mut Lots, rooms: &[Room]| (!rooms.is_empty()).then(|| l.one_of(rooms).id.clone());
        let mut lot = Lot {
            panel: l.one_of(&facts.panels).id.clone(),
            mix: l.one_of(&facts.mixes).id.clone(),
            stage,
            since: facts.first_day - Duration::days(l.from(1, 6)),
            quantity: l.from(1, 5),
            tank: if stage == Stage::Soaking { place(l, &facts.tanks) } else { None },
            rack: if stage == Stage::Drying { place(l, &facts.racks) } else { None },
            soaked_on: None,
        };
        // Some lie in cold water.
        lot.soaked_on = (stage == Stage::Soaking && lot.quantity % 2 == 1).then(|| lot.since + Duration::days(8));
        facts.lots.push(lot);
    }
    for _ in 0..l.from(0, 2) {
        let (panel, finish) = (l.one_of(&facts.panels).id.clone(), format!("finish-{}", l.from(0, 1)));
        facts.ready_stock.push(ReadyStock { panel, finish, quantity: l.from(1, 4) });
    }
}

fn wanted(l: &mut Lots, facts: &mut Facts, days: &[Day]) {
    let line = |l: &mut Lots, facts: &Facts| OrderLine {
        panel: l.one_of(&facts.panels).id.clone(),
        finish: format!("finish-{}", l.from(0, 1)),
        quantity: l.from(1, 7),
    };
    for n in 0..l.from(0, 10) {
        facts.orders.push(Order {
            id: format!("order-{n}"),
            due_on: facts.first_day + Duration::days(l.from(-3, 45)),
            weight: *l.one_of(&[0.0, 0.5, 1.0, 2.0, 4.0]),
            lines: (0..l.from(1, 3)).map(|_| line(l, facts)).collect(),
        });
    }
    let pour = |l: &mut Lots, facts: &Facts| {
        let panel = l.one_of(&facts.panels).clone();
        let day = *l.one_of(days);
        let may = |mix: &&Mix| panel.mixes.contains(&mix.id) && !mix.not_on.contains(&day);
        let mixes: Vec<&Mix> = facts.mixes.iter().filter(may).collect();
        let mix = (!mixes.is_empty()).then(|| l.one_of(&mixes).id.clone());
        mix.map(|mix| Pour { day, panel: panel.id, mix, quantity: l.from(1, 2) })
    };
    if l.once_in(2) {
        facts.pinned = (0..l.from(1, 2)).filter_map(|_| pour(l, facts)).collect();
    }
    if l.once_in(2) {
        facts.published = (0..l.from(1, 4)).filter_map(|_| pour(l, facts)).collect();
    }
}
