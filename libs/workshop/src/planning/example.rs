//! A small workshop for tests: one foamed mix in its second revision, one rapid mix, one panel, one set.

use std::collections::BTreeMap;

use chrono::{NaiveDate as Day, NaiveTime, Weekday};
use quantities::{Grams, Millilitres, Millimetres, MinorUnits, Minutes, Pieces};

use super::{Hold, Snapshot};
use crate::catalogue::*;
use crate::ids::*;
use crate::site::{DisplayUnits, Policy, TakingOver, Workshop};
use crate::tickets::{LineKind, Ticket, TicketLine, TicketState};

/// A day as `2026-05-04`, a Monday.
pub fn day(text: &str) -> Day {
    text.parse().unwrap()
}

pub fn material(id: &str, kind: MaterialKind, unit: StockUnit, relative_density: Option<f64>) -> Material {
    Material {
        id: MaterialId::parse(id).unwrap(),
        name: format!("{}{}", id[..1].to_uppercase(), &id[1..]),
        kind,
        unit,
        relative_density,
        supply: Supply::Bought,
        floor: Amount::new(1_000),
        pack: Amount::new(25_000),
        pack_price: MinorUnits::new(900),
        lead_days: 3,
        delivery_charge: MinorUnits::new(1_500),
        store_max: None,
        price_breaks: vec![],
        keep_days: None,
    }
}

pub fn revision(id: &str, state: RevisionState) -> MixRevision {
    let ingredient = |id: &str, kg_m3| Ingredient { material: MaterialId::parse(id).unwrap(), kg_m3 };
    MixRevision {
        id: RevisionId::parse(id).unwrap(),
        state,
        reason: None,
        ingredients: vec![ingredient("water", 200.0), ingredient("cement", 315.0), ingredient("sand", 265.0)],
        foam: Some(Foam {
            concentrate: MaterialId::parse("foamer").unwrap(),
            density_kg_m3: 50.0,
            dilution: 40.0,
            water_counted: false,
        }),
        wet_density_kg_m3: 810.0,
        wet_density_low_kg_m3: 770.0,
        wet_density_high_kg_m3: 850.0,
        air_percent: 10.0,
        hold_hours_at_20c: 20.0,
        soak_days: 5,
        dry_days: 7,
        batch_min: Millilitres::new(10_000),
        batch_max: Millilitres::new(60_000),
        batch_minutes: Minutes::new(20),
        washout: Millilitres::new(1_500),
        washout_minutes: Minutes::new(15),
        least_air_c: None,
    }
}

fn workshop() -> Workshop {
    let at = |h| NaiveTime::from_hms_opt(h, 0, 0).unwrap();
    Workshop {
        name: "Tern Hollow Garden Castings".into(),
        time_zone: "Europe/Dublin".into(),
        currency: "EUR".into(),
        display_units: DisplayUnits::Metric,
        writing: crate::writing::Writing::default(),
        working_weekdays: vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri],
        labour_minutes: Minutes::new(480),
        mixer_batches: 6,
        issue_at: at(6),
        pour_at: at(15),
        strip_at: at(8),
        least_air_c: 5.0,
        usual_air_c: 15.0,
        tank_gap: Millimetres::new(10),
        rack_gap: Millimetres::new(30),
        scale_resolution: Grams::new(10),
        lifting_limit: Grams::new(25_000),
        soaking: crate::soaking::COMMON_PRACTICE.to_vec(),
        taking_over: TakingOver::ByItself,
        policy: Policy {
            horizon_days: 60,
            unmet_days: 90,
            steady_days: 5,
            late_price: 200,
            seconds: 20,
            evaluations: None,
            threads: 2,
            seed: 7,
            calm_seconds: None,
            night_at: None,
        },
    }
}

fn panel() -> Panel {
    let id = |t| MaterialId::parse(t).unwrap();
    let suit = |r| Suit { revision: RevisionId::parse(r).unwrap(), reason: "trial 3".into() };
    Panel {
        id: PanelId::parse("bed-side").unwrap(),
        name: "Bed side".into(),
        length: Millimetres::new(900),
        height: Millimetres::new(300),
        thickness: Millimetres::new(40),
        voids: Millilitres::new(300),
        mould_group: MouldGroupId::parse("sides").unwrap(),
        pour_minutes: Minutes::new(4),
        strip_minutes: Minutes::new(5),
        lift_minutes: Minutes::new(3),
        suits: vec![suit("grey@1"), suit("grey@2"), suit("rapid@1")],
        tanks: vec![],
        per_panel: vec![
            PerPanel { material: id("mesh"), amount: Amount::new(240_000) },
            PerPanel { material: id("oil"), amount: Amount::new(15) },
        ],
        pass_rate: Some(0.95),
    }
}

fn materials() -> Vec<Material> {
    use MaterialKind as K;
    use StockUnit as U;
    let mut water = material("water", K::Water, U::Gram, Some(1.0));
    water.supply = Supply::Mains;
    vec![
        material("cement", K::PortlandCement, U::Gram, Some(3.15)),
        material("csa", K::RapidCement, U::Gram, Some(2.98)),
        material("foamer", K::FoamingConcentrate, U::Millilitre, Some(1.02)),
        material("mesh", K::Mesh, U::SquareMillimetre, None),
        material("oil", K::ReleaseOil, U::Millilitre, None),
        material("sand", K::Aggregate, U::Gram, Some(2.65)),
        water,
    ]
}

/// The workshop on Monday 4 May 2026, with nothing on its way and no orders.
pub fn snapshot() -> Snapshot {
    let text = |t: &str| t.to_owned();
    let finish = FinishId::parse("grey-smooth").unwrap();
    let mix = |id: &str| Mix { id: MixId::parse(id).unwrap(), name: text(id), finish: finish.clone() };
    let mut rapid = revision("rapid@1", RevisionState::InUse);
    rapid.ingredients[1].material = MaterialId::parse("csa").unwrap();
    (rapid.soak_days, rapid.dry_days) = (3, 4);
    let revisions = vec![revision("grey@1", RevisionState::Retired), revision("grey@2", RevisionState::InUse), rapid];
    let panel = panel();
    let rows = |count, usable| Rows { count, usable: Millimetres::new(usable) };
    Snapshot {
        workshop: workshop(),
        calendar: vec![],
        on_hand: materials().iter().map(|m| (m.id.clone(), Amount::new(100_000))).collect(),
        materials: materials(),
        deliveries: vec![],
        finishes: vec![Finish { id: finish.clone(), name: text("Grey, smooth"), darkness: 50 }],
        mixes: vec![mix("grey"), mix("rapid")],
        holds: revisions.iter().map(|r| (r.id.clone(), Hold { usual: 2, on: BTreeMap::new() })).collect(),
        revisions,
        sets: vec![PanelSet {
            id: SetId::parse("bed").unwrap(),
            name: text("Bed"),
            panels: vec![(panel.id.clone(), 4)],
            hardware: vec![(MaterialId::parse("oil").unwrap(), Pieces::new(1))],
        }],
        mould_groups: vec![MouldGroup {
            id: panel.mould_group.clone(),
            name: text("Sides"),
            moulds: 6,
            turnaround_days: 0,
            life_uses: None,
            out_of_service: vec![],
        }],
        panels: vec![panel],
        tanks: vec![Tank {
            id: TankId::parse("north").unwrap(),
            name: text("North tank"),
            rows: rows(2, 900),
            row_names: vec![],
            depth: Millimetres::new(500),
            width: Millimetres::new(700),
        }],
        racks: vec![Rack {
            id: RackId::parse("long").unwrap(),
            name: text("Long rack"),
            rows: rows(3, 1_000),
            row_names: vec![],
        }],
        orders: vec![],
        dispatched: BTreeMap::new(),
        lots: vec![],
        pins: vec![],
        tickets: vec![],
        moves: vec![],
        in_force: None,
        issued_plan: None,
        water: Default::default(),
        upkeep: vec![],
        upkeep_done: BTreeMap::new(),
        upkeep_reports: vec![],
    }
}

/// A ticket nobody has reported, that draws so much of each material.
pub fn ticket(on: &str, draws: &[(&MaterialId, i64)]) -> Ticket {
    let lines = draws.iter().zip(1..).map(|((material, amount), position)| TicketLine {
        position,
        kind: LineKind::Ingredient,
        material: (*material).clone(),
        mass: Some(Grams::new(*amount)),
        target: Amount::new(*amount),
        actual: None,
        counted: true,
    });
    Ticket {
        number: TicketNumber { day: day(on), sequence: 1 },
        run: RunId::new(1),
        revision: RevisionId { mix: MixId::parse("grey").unwrap(), number: 2 },
        batch: Millilitres::new(30_000),
        washout: Millilitres::ZERO,
        lines: lines.collect(),
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 810.0,
        wet_density_low_kg_m3: 770.0,
        wet_density_high_kg_m3: 850.0,
        fills: vec![],
        labour: Minutes::new(30),
        cautions: vec![],
        state: TicketState::Issued,
        issued_at: chrono::DateTime::UNIX_EPOCH,
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}
