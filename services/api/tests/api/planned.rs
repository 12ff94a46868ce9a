//! A small plan put in force and its tickets issued, without a planner or a worker: what the API shows is to be tested here.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDate as Day, TimeDelta, Utc};
use quantities::{Grams, Millilitres, Minutes};
use store::{Store, runs, tickets};
use workshop::catalogue::Amount;
use workshop::documents::explanation::{Cause, LateOrder};
use workshop::documents::{Explanation, Facts, Plan, facts, plan};
use workshop::ids::*;
use workshop::tickets::{Fill, LineKind, Ticket, TicketLine, TicketState};

use crate::world::NOW;

pub fn day(text: &str) -> Day {
    text.parse().unwrap()
}

pub fn now() -> DateTime<Utc> {
    NOW.parse().unwrap()
}

/// What a planner would have been told of the furnished world, as far as anything here reads it.
pub fn facts() -> Facts {
    Facts {
        name: None,
        first_day: day("2026-05-04"),
        last_day: day("2026-07-17"),
        working_days: day("2026-05-04").iter_days().take(5).collect(),
        labour_minutes: facts::Labour { usual: 840.0, on: BTreeMap::new() },
        mixer_batches: 6,
        materials: vec![],
        mixes: vec![facts::Mix {
            id: "plain@1".into(),
            finish: "grey".into(),
            per_litre: BTreeMap::from([("cement".into(), 350.0)]),
            batch_litres_min: 10.0,
            batch_litres_max: 60.0,
            batch_minutes: 25.0,
            washout_litres: 1.0,
            washout_minutes: 20.0,
            washout_price: 0.0,
            washout_price_on: BTreeMap::new(),
            hold_days: 2,
            hold_days_on: BTreeMap::new(),
            soak_days: 7,
            dry_days: 7,
            not_on: BTreeSet::new(),
        }],
        mould_groups: vec![],
        panels: vec![facts::Panel {
            id: "side".into(),
            mould_group: "sides".into(),
            litres: 10.8,
            tank_mm: 55.0,
            rack_mm: 80.0,
            pour_minutes: 6.0,
            strip_minutes: 5.0,
            lift_minutes: 3.0,
            mixes: vec!["plain@1".into()],
            tanks: None,
            per_panel: BTreeMap::new(),
            pass_rate: None,
            keep_price: 0.0,
        }],
        tanks: vec![],
        racks: vec![],
        ready_stock: vec![],
        lots: vec![],
        pinned: vec![],
        orders: vec![],
        published: vec![],
        policy: facts::Policy { unmet_days: 30, steady_days: 3, late_price: 500.0, seconds: 1.0, threads: 1, seed: 1 },
    }
}

/// Two sides on Monday and two on Wednesday, their strips, and cement to order.
fn plan() -> Plan {
    let pour = |on: &str| plan::Pour { day: day(on), panel: "side".into(), mix: "plain@1".into(), quantity: 2 };
    let batch = |on: &str| plan::Batches { day: day(on), mix: "plain@1".into(), litres: vec![21.6] };
    Plan {
        pours: vec![pour("2026-05-04"), pour("2026-05-06")],
        batches: vec![batch("2026-05-04"), batch("2026-05-06")],
        strips: vec![plan::Strip {
            day: day("2026-05-06"),
            panel: "side".into(),
            mix: "plain@1".into(),
            quantity: 2,
            tank: Some("north".into()),
        }],
        lifts: vec![],
        deliveries: vec![plan::Delivery { arrives: day("2026-05-06"), material: "cement".into(), packs: 1 }],
        orders: vec![plan::OrderResult { id: "TH-1".into(), ready_on: Some(day("2026-05-29")), met: vec![] }],
        figures: plan::Figures { order_days_late: 4.0, panel_days_late: 8.0, material_cost: 495, changes: 0 },
        proof: Some(plan::Proof {
            figure: plan::LateFigure::OrderDaysLate,
            bound: 3.0,
            gap: 0.25,
            seconds: 1.0,
            ended: "time".into(),
            way: "search".into(),
        }),
    }
}

fn explanation() -> Explanation {
    let late = LateOrder {
        order: "TH-1".into(),
        due_on: day("2026-05-27"),
        ready_on: Some(day("2026-05-29")),
        days_late: 2,
        cause: Cause::Moulds,
        freed_on: Some(day("2026-05-27")),
        sentence: "order TH-1 is 2 days late: all moulds were taken".into(),
    };
    Explanation { late: vec![late], ..Explanation::default() }
}

/// A run with a plan whose facts were read so many minutes after [`NOW`].
pub async fn run_with_plan(store: &Store, minutes: i64) -> RunId {
    let tx = store.write().await.unwrap();
    let run = runs::ask(&tx, now(), None).await.unwrap().id;
    let at = now() + TimeDelta::minutes(minutes);
    let documents = (feeds::documents::write_facts(&facts()), feeds::documents::write_plan(&plan()));
    runs::begin(&tx, run, at, day("2026-05-04"), None, &documents.0).await.unwrap();
    runs::knew_deliveries(&tx, run, store::deliveries::last(&tx).await.unwrap()).await.unwrap();
    let why = feeds::explanation::write(&explanation());
    let (figures, way) = (plan().figures, Some("search"));
    runs::finish_planned(&tx, run, at, figures, Some(3.0), Some(0.25), Some(1.0), way, &documents.1, &why)
        .await
        .unwrap();
    tx.commit().await.unwrap();
    run
}

pub async fn in_force(store: &Store) -> RunId {
    let run = run_with_plan(store, 0).await;
    let tx = store.write().await.unwrap();
    runs::put_in_force(&tx, run, now()).await.unwrap();
    tx.commit().await.unwrap();
    run
}

fn ticket(run: RunId, sequence: u32, finished: i64) -> Ticket {
    let line = |position, material: &str, grams, counted| TicketLine {
        position,
        kind: LineKind::Ingredient,
        material: MaterialId::parse(material).unwrap(),
        mass: Some(Grams::new(grams)),
        target: Amount::new(grams),
        actual: None,
        counted,
    };
    Ticket {
        number: TicketNumber { day: day("2026-05-04"), sequence },
        run,
        revision: RevisionId::parse("plain@1").unwrap(),
        batch: Millilitres::new(10_800),
        washout: Millilitres::new(1_000),
        lines: vec![line(1, "water", 2_065, false), line(2, "cement", 4_130, true), line(3, "sand", 20_060, true)],
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 2_250.0,
        wet_density_low_kg_m3: 2_200.0,
        wet_density_high_kg_m3: 2_300.0,
        fills: vec![Fill {
            panel: PanelId::parse("side").unwrap(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished,
            begun: Millilitres::ZERO,
            volume: Millilitres::new(10_800 * finished),
            moulds: vec![],
        }],
        labour: Minutes::new(51),
        cautions: vec!["Wet cement burns: wear gloves.".into()],
        state: TicketState::Issued,
        issued_at: now(),
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

/// Monday's two tickets, issued from the plan in force.
pub async fn issued(store: &Store) -> RunId {
    let run = in_force(store).await;
    let tx = store.write().await.unwrap();
    let day_tickets = [ticket(run, 1, 1), ticket(run, 2, 1)];
    tickets::insert_day(&tx, day("2026-05-04"), run, now(), &day_tickets).await.unwrap();
    tx.commit().await.unwrap();
    run
}
