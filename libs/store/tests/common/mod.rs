//! A small made-up workshop, enough of everything to refer to.
#![allow(dead_code, reason = "each test file uses some of it")]
#![allow(clippy::unwrap_used, reason = "only tests use it")]

use chrono::{DateTime, NaiveDate as Day, NaiveTime, TimeZone as _, Utc, Weekday};
use quantities::{Grams, Millilitres, Millimetres, MinorUnits, Minutes, Pieces};
use store::{Record, Result, Store, Tx, runs, site, tickets};
use workshop::catalogue::{
    Amount, Finish, Foam, Ingredient, Material, MaterialKind, Mix, MixRevision, MouldGroup, OutOfService, Panel,
    PanelSet, PerPanel, PriceBreak, Rack, RevisionState, Rows, StockUnit, Suit, Supply, Tank,
};
use workshop::corrections::{Correction, Did, Done, LoadAnswer, WeighedAt};
use workshop::documents::plan::Figures;
use workshop::ids::{
    FinishId, MaterialId, MixId, MouldGroupId, OrderId, PanelId, RackId, RevisionId, RunId, SetId, TankId,
    TicketNumber, TrialId, UpkeepTaskId,
};
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};
use workshop::site::{DisplayUnits, Policy, TakingOver, Workshop};
use workshop::stock::{EntryKind, NewStockEntry};
use workshop::tickets::{Fill, LineKind, Ticket, TicketLine, TicketState};
use workshop::trials::{HardDensity, HardState, PanelWeighed, StrengthFound, Trial};
use workshop::upkeep::{Measure, Place, UpkeepReport, UpkeepTask};

pub fn day(text: &str) -> Day {
    text.parse().unwrap()
}

/// So many seconds after a morning, and a fraction finer than the databases keep.
pub fn at(seconds: i64) -> DateTime<Utc> {
    let morning = Utc.with_ymd_and_hms(2026, 5, 4, 6, 0, 0).unwrap();
    morning + chrono::TimeDelta::seconds(seconds) + chrono::TimeDelta::microseconds(123_456)
}

pub fn material_id(text: &str) -> MaterialId {
    MaterialId::parse(text).unwrap()
}

pub fn cement() -> Material {
    Material {
        id: material_id("cement"),
        name: "Grey cement".to_owned(),
        kind: MaterialKind::PortlandCement,
        unit: StockUnit::Gram,
        relative_density: Some(3.15),
        supply: Supply::Bought,
        floor: Amount::new(50_000),
        pack: Amount::new(25_000),
        pack_price: MinorUnits::new(899),
        lead_days: 3,
        delivery_charge: MinorUnits::new(2_500),
        store_max: Some(Amount::new(1_000_000)),
        price_breaks: vec![
            PriceBreak { from_packs: 20, pack_price: MinorUnits::new(849) },
            PriceBreak { from_packs: 40, pack_price: MinorUnits::new(799) },
        ],
        keep_days: Some(90),
    }
}

pub fn plain_material(id: &str, kind: MaterialKind, unit: StockUnit, supply: Supply) -> Material {
    Material {
        id: material_id(id),
        name: id.to_owned(),
        kind,
        unit,
        relative_density: None,
        supply,
        floor: Amount::ZERO,
        pack: Amount::new(1),
        pack_price: MinorUnits::ZERO,
        lead_days: 0,
        delivery_charge: MinorUnits::ZERO,
        store_max: None,
        price_breaks: vec![],
        keep_days: None,
    }
}

pub fn finish() -> Finish {
    Finish { id: FinishId::parse("grey-smooth").unwrap(), name: "Grey, smooth".to_owned(), darkness: 50 }
}

pub fn mix() -> Mix {
    Mix { id: MixId::parse("foamed-grey").unwrap(), name: "Foamed grey".to_owned(), finish: finish().id }
}

pub fn revision_id(number: u32) -> RevisionId {
    RevisionId { mix: mix().id, number }
}

pub fn revision(number: u32) -> MixRevision {
    MixRevision {
        id: revision_id(number),
        state: RevisionState::OnTrial,
        reason: None,
        ingredients: vec![
            Ingredient { material: material_id("water"), kg_m3: 200.1 },
            Ingredient { material: material_id("cement"), kg_m3: 400.3 },
        ],
        foam: Some(Foam {
            concentrate: material_id("foam-agent"),
            density_kg_m3: 65.7,
            dilution: 39.9,
            water_counted: false,
        }),
        wet_density_kg_m3: 1000.1,
        wet_density_low_kg_m3: 950.0,
        wet_density_high_kg_m3: 1050.0,
        air_percent: 1.5,
        hold_hours_at_20c: 24.5,
        soak_days: 5,
        dry_days: 2,
        batch_min: Millilitres::new(10_000),
        batch_max: Millilitres::new(45_000),
        batch_minutes: Minutes::new(25),
        washout: Millilitres::new(1_500),
        washout_minutes: Minutes::new(15),
        least_air_c: Some(5.5),
    }
}

pub fn mould_group() -> MouldGroup {
    MouldGroup {
        id: MouldGroupId::parse("side-moulds").unwrap(),
        name: "Side moulds".to_owned(),
        moulds: 8,
        turnaround_days: 1,
        life_uses: None,
        out_of_service: vec![OutOfService {
            which: vec![2],
            from: day("2026-06-01"),
            to: day("2026-06-05"),
            moulds: 2,
            reason: "new seals".to_owned(),
        }],
    }
}

pub fn tank() -> Tank {
    Tank {
        id: TankId::parse("north-tank").unwrap(),
        name: "North tank".to_owned(),
        rows: Rows { count: 3, usable: Millimetres::new(2_400) },
        row_names: vec!["by the door".to_owned(), "middle".to_owned(), "by the wall".to_owned()],
        depth: Millimetres::new(700),
        width: Millimetres::new(1_100),
    }
}

pub fn rack() -> Rack {
    Rack {
        id: RackId::parse("long-rack").unwrap(),
        name: "Long rack".to_owned(),
        rows: Rows { count: 2, usable: Millimetres::new(6_000) },
        row_names: vec![],
    }
}

pub fn panel() -> Panel {
    Panel {
        id: PanelId::parse("side-900").unwrap(),
        name: "Side 900".to_owned(),
        length: Millimetres::new(900),
        height: Millimetres::new(300),
        thickness: Millimetres::new(40),
        voids: Millilitres::new(120),
        mould_group: mould_group().id,
        pour_minutes: Minutes::new(6),
        strip_minutes: Minutes::new(4),
        lift_minutes: Minutes::new(2),
        suits: vec![Suit { revision: revision_id(1), reason: "tried in spring".to_owned() }],
        tanks: vec![tank().id],
        per_panel: vec![PerPanel { material: material_id("mesh"), amount: Amount::new(240_000) }],
        pass_rate: Some(0.97),
    }
}

pub fn set() -> PanelSet {
    PanelSet {
        id: SetId::parse("bed-900").unwrap(),
        name: "Bed 900".to_owned(),
        panels: vec![(panel().id, 4)],
        hardware: vec![(material_id("pin"), Pieces::new(8))],
    }
}

pub fn order(id: &str) -> Order {
    Order {
        id: OrderId::parse(id).unwrap(),
        customer: Some("Invented Customer".to_owned()),
        due_on: day("2026-06-12"),
        promised_on: Some(day("2026-06-19")),
        priority: Priority::High,
        state: OrderState::Open,
        lines: vec![
            OrderLine { item: Item::Set(set().id), finish: finish().id, quantity: 2 },
            OrderLine { item: Item::Panel(panel().id), finish: finish().id, quantity: 1 },
        ],
        note: Some("leave at the gate".to_owned()),
        parts_agreed: true,
    }
}

pub fn trial(id: &str, revision: u32, on: &str) -> Trial {
    Trial {
        id: TrialId::parse(id).unwrap(),
        revision: revision_id(revision),
        mixed_on: day(on),
        by: "Invented Tester".to_owned(),
        batch: Some(Millilitres::new(12_000)),
        masses: vec![(material_id("water"), Grams::new(2_401)), (material_id("cement"), Grams::new(4_804))],
        wet_density_kg_m3: Some(998.7),
        densities: vec![
            HardDensity { state: HardState::Demoulded, kg_m3: 980.5 },
            HardDensity { state: HardState::FromTheTank, kg_m3: 1_010.25 },
            HardDensity { state: HardState::AirDry, kg_m3: 860.1 },
            HardDensity { state: HardState::OvenDry, kg_m3: 790.0 },
        ],
        strengths: vec![StrengthFound { age_days: 7.0, mpa: 1.4 }, StrengthFound { age_days: 28.5, mpa: 2.35 }],
        panels: vec![PanelWeighed { panel: panel().id, state: HardState::AirDry, mass: Grams::new(9_250) }],
        wear_loss_g: Some(31.5),
        cracks: Some("one at a corner".to_owned()),
        warp_mm: Some(1.5),
        photos: vec!["corner.jpg".to_owned(), "cube.jpg".to_owned()],
        note: Some("foam of 66 g/L".to_owned()),
    }
}

/// A trial of which nothing was measured yet.
pub fn bare_trial(id: &str, revision: u32, on: &str) -> Trial {
    Trial {
        batch: None,
        masses: vec![],
        wet_density_kg_m3: None,
        densities: vec![],
        strengths: vec![],
        panels: vec![],
        wear_loss_g: None,
        cracks: None,
        warp_mm: None,
        photos: vec![],
        note: None,
        ..trial(id, revision, on)
    }
}

pub fn workshop() -> Workshop {
    let time = |hour| NaiveTime::from_hms_opt(hour, 30, 0).unwrap();
    Workshop {
        name: "Tern Hollow Garden Castings".to_owned(),
        time_zone: "Europe/Dublin".to_owned(),
        currency: "EUR".to_owned(),
        display_units: DisplayUnits::Metric,
        writing: workshop::writing::Writing::default(),
        working_weekdays: vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri],
        labour_minutes: Minutes::new(900),
        mixer_batches: 10,
        issue_at: time(6),
        pour_at: time(15),
        strip_at: time(8),
        least_air_c: 5.0,
        usual_air_c: 12.5,
        tank_gap: Millimetres::new(20),
        rack_gap: Millimetres::new(30),
        scale_resolution: Grams::new(5),
        lifting_limit: Grams::new(25_000),
        soaking: workshop::soaking::COMMON_PRACTICE.to_vec(),
        taking_over: TakingOver::ByItself,
        policy: Policy {
            horizon_days: 60,
            unmet_days: 30,
            steady_days: 3,
            late_price: 1_000,
            seconds: 20,
            evaluations: Some(5_000),
            threads: 1,
            seed: 7,
            calm_seconds: None,
            night_at: None,
        },
    }
}

pub async fn materials(tx: &Tx) -> Result<()> {
    Material::insert(tx, &cement()).await?;
    let others = [
        ("water", MaterialKind::Water, StockUnit::Millilitre, Supply::Mains),
        ("foam-agent", MaterialKind::FoamingConcentrate, StockUnit::Millilitre, Supply::Bought),
        ("mesh", MaterialKind::Mesh, StockUnit::SquareMillimetre, Supply::NotSold),
        ("pin", MaterialKind::Hardware, StockUnit::Piece, Supply::Bought),
    ];
    for (id, kind, unit, supply) in others {
        Material::insert(tx, &plain_material(id, kind, unit, supply)).await?;
    }
    Ok(())
}

/// Everything the catalogue can hold, one order, and the workshop.
pub async fn furnish(store: &Store) {
    let tx = store.write().await.unwrap();
    materials(&tx).await.unwrap();
    Finish::insert(&tx, &finish()).await.unwrap();
    Mix::insert(&tx, &mix()).await.unwrap();
    MixRevision::insert(&tx, &revision(1)).await.unwrap();
    MouldGroup::insert(&tx, &mould_group()).await.unwrap();
    Tank::insert(&tx, &tank()).await.unwrap();
    Rack::insert(&tx, &rack()).await.unwrap();
    Panel::insert(&tx, &panel()).await.unwrap();
    PanelSet::insert(&tx, &set()).await.unwrap();
    Order::insert(&tx, &order("TH-1")).await.unwrap();
    site::put(&tx, &workshop(), None).await.unwrap();
    tx.commit().await.unwrap();
}

/// A run with a good plan, made from the facts of that moment.
pub async fn planned(tx: &Tx, facts_at: DateTime<Utc>) -> RunId {
    let run = runs::ask(tx, facts_at, Some("a test")).await.unwrap().id;
    runs::begin(tx, run, facts_at, day("2026-05-04"), None, "{\"facts\":1}").await.unwrap();
    let figures = Figures { order_days_late: 2.5, panel_days_late: 11.0, material_cost: 12_345, changes: 1 };
    let (bound, gap, seconds) = (Some(1.5), Some(0.4), Some(2.25));
    runs::finish_planned(tx, run, facts_at, figures, bound, gap, seconds, Some("exact"), "{\"plan\":1}", "{\"why\":1}")
        .await
        .unwrap();
    run
}

pub fn ticket(run: RunId, on: &str, sequence: u32) -> Ticket {
    let line = |position, kind, material: &str, mass: i64| TicketLine {
        position,
        kind,
        material: material_id(material),
        mass: Some(Grams::new(mass)),
        target: Amount::new(mass),
        actual: None,
        counted: material != "water",
    };
    Ticket {
        number: TicketNumber { day: day(on), sequence },
        run,
        revision: revision_id(1),
        batch: Millilitres::new(43_000),
        washout: Millilitres::new(1_500),
        lines: vec![
            line(1, LineKind::Ingredient, "water", 8_600),
            line(2, LineKind::Ingredient, "cement", 17_200),
            line(3, LineKind::FoamConcentrate, "foam-agent", 45),
        ],
        foam: Millilitres::new(26_000),
        foam_mass: Grams::new(1_700),
        wet_density_kg_m3: 1000.1,
        wet_density_low_kg_m3: 950.0,
        wet_density_high_kg_m3: 1050.0,
        fills: vec![Fill {
            panel: panel().id,
            mould_group: mould_group().id,
            finished: 4,
            begun: Millilitres::ZERO,
            volume: Millilitres::new(43_000),
            moulds: vec![],
        }],
        labour: Minutes::new(49),
        cautions: vec!["Wet cement burns.".to_owned(), "Wear a mask.".to_owned()],
        state: TicketState::Issued,
        issued_at: at(0),
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

/// A day issued with two tickets, from a run with a good plan.
pub async fn issued(store: &Store, on: &str) -> RunId {
    let tx = store.write().await.unwrap();
    let run = planned(&tx, at(0)).await;
    let both = [ticket(run, on, 1), ticket(run, on, 2)];
    tickets::insert_day(&tx, day(on), run, at(0), &both).await.unwrap();
    tx.commit().await.unwrap();
    run
}

pub fn received(material: &str, amount: i64) -> NewStockEntry {
    NewStockEntry {
        material: material_id(material),
        day: day("2026-05-04"),
        kind: EntryKind::Received,
        amount: Amount::new(amount),
        counted: None,
        ticket: None,
        delivery: None,
        counters: None,
        note: Some("by hand".to_owned()),
    }
}

/// A weighing of a ticket's load that was answered with foam to add.
pub fn correction(ticket: &str) -> Correction {
    Correction {
        ticket: TicketNumber::parse(ticket).unwrap(),
        sequence: 0,
        at: at(60),
        by: "Invented Mixer".to_owned(),
        place: WeighedAt::Mixer,
        measured_wet_density_kg_m3: 1060.5,
        volume: Millilitres::new(43_000),
        minutes_since_foaming: 4.5,
        foam_density_kg_m3: Some(65.7),
        slurry_density_kg_m3: Some(1_764.25),
        mixer_most: Some(Millilitres::new(46_500)),
        generator_l_per_minute: Some(44.5),
        answer: LoadAnswer::AddFoam,
        sentence: "add 2.8 L of foam".to_owned(),
        added: Some(Millilitres::new(2_780)),
        added_mass: Some(Grams::new(183)),
        generator_seconds: Some(3.75),
        volume_then: Millilitres::new(45_780),
        panels_then: Some(4),
        rise_percent: None,
        note: Some("lumpy at first".to_owned()),
        done: None,
    }
}

/// What was done after it.
pub fn done() -> Done {
    Done {
        at: at(120),
        by: "Invented Mixer".to_owned(),
        did: Did::FoamAdded,
        added: Some(Millilitres::new(2_800)),
        note: None,
    }
}

pub fn upkeep_task() -> UpkeepTask {
    UpkeepTask {
        id: UpkeepTaskId::parse("water-temperature").unwrap(),
        name: "Temperature of the water".to_owned(),
        place: Place::Tank(tank().id),
        every_days: 1,
        first_on: "2026-05-01".parse().unwrap(),
        last_on: None,
        minutes: Minutes::new(2),
        measures: Some(Measure {
            what: "temperature of the water".to_owned(),
            unit: "°C".to_owned(),
            low: Some(10.0),
            high: None,
        }),
        note: Some("common practice, no source".to_owned()),
    }
}

pub fn upkeep_report(on: &str, done: bool, value: Option<f64>) -> UpkeepReport {
    let said = workshop::said::Said::default();
    UpkeepReport { task: upkeep_task().id, day: on.parse().unwrap(), done, value, note: None, said }
}
