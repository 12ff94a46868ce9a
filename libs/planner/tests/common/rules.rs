//! Each rule by itself: how it is lifted from facts, so that the plan made without it breaks it where it binds; and how a plan
//! is spoiled so that what it says is not so.

use planner::Rule;
use workshop::documents::facts::Stage;
use workshop::documents::plan::{Delivery, Met, Plan, Proof};
use workshop::documents::{Facts, plan};

use super::lot::Lots;

/// A rule that facts set, and how to do without it.
pub struct Limit {
    pub rule: Rule,
    pub name: &'static str,
    pub lift: fn(&mut Facts),
}

const fn limit(rule: Rule, name: &'static str, lift: fn(&mut Facts)) -> Limit {
    Limit { rule, name, lift }
}

pub const LIMITS: &[Limit] = &[
    limit(Rule::Pours, "the mixes a panel takes", |f| {
        let mixes: Vec<String> = f.mixes.iter().map(|mix| mix.id.clone()).collect();
        f.panels.iter_mut().for_each(|panel| panel.mixes.clone_from(&mixes));
    }),
    limit(Rule::Pours, "days a mix may not be poured", |f| f.mixes.iter_mut().for_each(|mix| mix.not_on.clear())),
    limit(Rule::Pours, "pins", |f| f.pinned.clear()),
    limit(Rule::Passage, "hold", |f| {
        f.mixes.iter_mut().for_each(|mix| {
            mix.hold_days = 1;
            mix.hold_days_on.clear();
        });
    }),
    limit(Rule::Passage, "hold by the day poured", |f| {
        f.mixes.iter_mut().for_each(|mix| mix.hold_days_on.clear());
    }),
    limit(Rule::Passage, "soak", |f| f.mixes.iter_mut().for_each(|mix| mix.soak_days = mix.soak_days.min(1))),
    limit(Rule::Passage, "soaking in cold water", |f| f.lots.iter_mut().for_each(|lot| lot.soaked_on = None)),
    limit(Rule::Promises, "dry", |f| f.mixes.iter_mut().for_each(|mix| mix.dry_days = mix.dry_days.min(1))),
    limit(Rule::Passage, "the tanks a panel fits", |f| f.panels.iter_mut().for_each(|panel| panel.tanks = None)),
    limit(Rule::Passage, "lots in moulds and tanks", |f| {
        let moving = f.lots.iter_mut().filter(|lot| lot.stage != Stage::Drying);
        moving.for_each(|lot| lot.quantity += 5);
    }),
    limit(Rule::Room, "moulds", |f| f.mould_groups.iter_mut().for_each(|group| group.moulds += 50)),
    limit(Rule::Room, "moulds out of service", |f| {
        f.mould_groups.iter_mut().for_each(|group| group.out_of_service.clear());
    }),
    limit(Rule::Room, "turnaround", |f| f.mould_groups.iter_mut().for_each(|group| group.turnaround_days = 0)),
    limit(Rule::Room, "tank length", |f| f.tanks.iter_mut().for_each(|tank| tank.mm += 1e5)),
    limit(Rule::Room, "rack length", |f| f.racks.iter_mut().for_each(|rack| rack.mm += 1e5)),
    limit(Rule::Batches, "the largest batch", |f| f.mixes.iter_mut().for_each(|mix| mix.batch_litres_max += 1e3)),
    limit(Rule::Batches, "the smallest batch", |f| f.mixes.iter_mut().for_each(|mix| mix.batch_litres_min = 0.0)),
    limit(Rule::Batches, "the mixer's batches", |f| f.mixer_batches = 1000),
    limit(Rule::Labour, "labour of a usual day", |f| f.labour_minutes.usual = 1e5),
    limit(Rule::Labour, "labour of single days", |f| f.labour_minutes.on.clear()),
    limit(Rule::Materials, "what is on hand", |f| f.materials.iter_mut().for_each(|m| m.on_hand += 1e7)),
    limit(Rule::Materials, "floors", |f| f.materials.iter_mut().for_each(|m| m.floor = 0.0)),
    limit(Rule::Materials, "lead times", |f| f.materials.iter_mut().for_each(|m| m.lead_days = 0)),
    limit(Rule::Materials, "room in the store", |f| f.materials.iter_mut().for_each(|m| m.store_max = None)),
    limit(Rule::Promises, "ready stock", |f| f.ready_stock.iter_mut().for_each(|stock| stock.quantity += 5)),
    limit(Rule::Promises, "what is ordered", |f| {
        f.orders.iter_mut().flat_map(|order| &mut order.lines).for_each(|line| line.quantity += 2);
    }),
];

/// Something a plan says that is not so. False where the plan has nothing of the kind.
pub struct Spoil {
    pub rule: Rule,
    pub name: &'static str,
    pub spoil: fn(&Facts, &mut Plan, &mut Lots) -> bool,
}

const fn spoil(rule: Rule, name: &'static str, spoil: fn(&Facts, &mut Plan, &mut Lots) -> bool) -> Spoil {
    Spoil { rule, name, spoil }
}

pub const SPOILS: &[Spoil] = &[
    spoil(Rule::Rows, "a pour on a day not worked", |f, p, l| {
        let closed: Vec<_> = f.first_day.iter_days().take_while(|day| *day <= f.last_day).collect();
        let closed: Vec<_> = closed.into_iter().filter(|day| !f.working_days.contains(day)).collect();
        let Some(mut row) = one(l, &p.pours).filter(|_| !closed.is_empty()) else { return false };
        row.day = *l.one_of(&closed);
        p.pours.push(row);
        true
    }),
    spoil(Rule::Rows, "a strip of no panels", |_, p, l| {
        let Some(row) = one(l, &p.strips) else { return false };
        p.strips.push(plan::Strip { quantity: 0, ..row });
        true
    }),
    spoil(Rule::Rows, "a lift of a panel nobody knows", |_, p, l| {
        let Some(row) = one(l, &p.lifts) else { return false };
        p.lifts.push(plan::Lift { panel: "nobody".into(), ..row });
        true
    }),
    spoil(Rule::Rows, "a delivery of no packs", |f, p, l| {
        let material = l.one_of(&f.materials).id.clone();
        let days: Vec<_> = f.working_days.range(f.first_day..=f.last_day).copied().collect();
        p.deliveries.push(Delivery { arrives: *l.one_of(&days), material, packs: 0 });
        true
    }),
    spoil(Rule::Orders, "an order forgotten", |_, p, l| {
        if p.orders.is_empty() {
            return false;
        }
        p.orders.remove(l.from(0, p.orders.len() as i64 - 1) as usize);
        true
    }),
    spoil(Rule::Orders, "an order nobody placed", |_, p, l| {
        let Some(mut row) = one(l, &p.orders) else { return false };
        (row.id, row.met, row.ready_on) = ("nobody".into(), Vec::new(), None);
        p.orders.push(row);
        true
    }),
    spoil(Rule::Orders, "another day than it is", |f, p, l| {
        let at: Vec<usize> = (0..p.orders.len()).filter(|at| p.orders[*at].ready_on.is_some()).collect();
        if at.is_empty() {
            return false;
        }
        let order = &mut p.orders[*l.one_of(&at)];
        order.ready_on = order.ready_on.map(|day| if day == f.last_day { f.first_day } else { f.last_day });
        true
    }),
    spoil(Rule::Promises, "given what was not ordered", |f, p, l| {
        let days: Vec<_> = f.working_days.range(f.first_day..=f.last_day).copied().collect();
        let Some(at) = (0..p.orders.len() as i64).max() else { return false };
        let met = Met { panel: f.panels[0].id.clone(), finish: "brick".into(), day: days[0], quantity: 1 };
        p.orders[l.from(0, at) as usize].met.push(met);
        true
    }),
    spoil(Rule::Figures, "order-days made up", |_, p, _| {
        p.figures.order_days_late += 1.0;
        true
    }),
    spoil(Rule::Figures, "panel-days made up", |_, p, _| {
        p.figures.panel_days_late -= 1.0;
        true
    }),
    spoil(Rule::Figures, "money made up", |_, p, l| {
        p.figures.material_cost += if l.once_in(2) { 2 } else { -2 };
        true
    }),
    spoil(Rule::Figures, "changes made up", |_, p, _| {
        p.figures.changes += 1;
        true
    }),
    spoil(Rule::Proof, "a bound above the figure", |_, p, l| {
        let figure = if l.once_in(2) { plan::LateFigure::OrderDaysLate } else { plan::LateFigure::PanelDaysLate };
        let bound = p.figures.late(figure) + 1.0;
        let (ended, way) = ("time".to_owned(), "foreman".to_owned());
        p.proof = Some(Proof { figure, bound, gap: 0.0, seconds: 0.0, ended, way });
        true
    }),
];

fn one<T: Clone>(l: &mut Lots, rows: &[T]) -> Option<T> {
    (!rows.is_empty()).then(|| l.one_of(rows).clone())
}

/// Whether a sentence of the judge's is about a rule.
pub fn is_about(rule: Rule, sentence: &str) -> bool {
    let words: &[&str] = match rule {
        Rule::Rows => &["not a working day", "not a whole number", "no panel", "no mix", "not whole packs"],
        Rule::Pours => &["does not take this mix", "may not be poured", "pinned pour"],
        Rule::Passage => &["strips of", "lifts of", "no tank", "does not fit tank", "no rack"],
        Rule::Room => &["mould group", "tank", "rack"],
        Rule::Batches => &["outside its limits", "poured of", "batches on"],
        Rule::Labour => &["labour on"],
        Rule::Materials => &["sooner than", "of room for", "left, floor"],
        Rule::Promises => &["promised,", "given,"],
        Rule::Orders => &["says ready", "twice in the plan", "not in the facts", "not in the plan"],
        Rule::Figures => &["plan says", "the plan does not say"],
        Rule::Proof => &["proof: "],
    };
    words.iter().any(|word| sentence.contains(word))
}
