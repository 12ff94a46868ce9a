//! Golden tables: what a spreadsheet gets to see, to the byte.

#![allow(clippy::unwrap_used, reason = "a test panics where it fails")]

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate as Day, Utc};
use feeds::table::Style;
use feeds::{day_sheet, outlook, pour_plan, tickets};
use quantities::{Grams, Millilitres, MinorUnits, Minutes};
use workshop::catalogue::{Amount, Material, MaterialKind, StockUnit, Supply};
use workshop::day_sheet::{Arrival, DaySheet, Dispatch};
use workshop::documents::{Plan, plan};
use workshop::ids::*;
use workshop::planning::tasks::Task;
use workshop::projection::{ProjectedDay, Projection};
use workshop::said::{Progress, Said};
use workshop::soaking::Slow;
use workshop::tickets::{Fill, LineKind, Ticket, TicketLine, TicketState};
use workshop::upkeep::{Measure, Place, UpkeepEntry, UpkeepReport, UpkeepTask};

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

fn ticket() -> Ticket {
    let line = |position, kind, material: &str, mass: Option<i64>, target, actual: Option<i64>| TicketLine {
        position,
        kind,
        material: MaterialId::parse(material).unwrap(),
        mass: mass.map(Grams::new),
        target: Amount::new(target),
        actual: actual.map(Amount::new),
        counted: material != "water",
    };
    Ticket {
        number: TicketNumber { day: day("2026-05-04"), sequence: 1 },
        run: RunId::new(7),
        revision: RevisionId::parse("foamed-grey@2").unwrap(),
        batch: Millilitres::new(33_333),
        washout: Millilitres::new(1_200),
        lines: vec![
            line(1, LineKind::Ingredient, "water", Some(5_100), 5_100, None),
            line(2, LineKind::Ingredient, "cement", Some(8_030), 8_030, Some(8_050)),
            line(3, LineKind::FoamConcentrate, "foamer", Some(16), 16, None),
            line(4, LineKind::PerPanel, "mesh", None, 480_000, None),
        ],
        foam: Millilitres::new(12_750),
        foam_mass: Grams::new(638),
        wet_density_kg_m3: 810.0,
        wet_density_low_kg_m3: 770.0,
        wet_density_high_kg_m3: 850.5,
        fills: vec![Fill {
            panel: PanelId::parse("bed-side").unwrap(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished: 2,
            begun: Millilitres::new(3_210),
            volume: Millilitres::new(33_333),
            moulds: vec![],
        }],
        labour: Minutes::new(43),
        cautions: vec!["Mixer: lock it out.".into(), "Wet cement, it burns.".into()],
        state: TicketState::Mixed,
        issued_at: DateTime::<Utc>::UNIX_EPOCH,
        closed_at: None,
        measured_wet_density_kg_m3: Some(805.25),
        note: Some("=stirred twice".into()),
        mixing: Default::default(),
    }
}

#[test]
fn tickets_have_a_row_for_each_line() {
    let units = [
        ("water", StockUnit::Gram),
        ("cement", StockUnit::Gram),
        ("foamer", StockUnit::Millilitre),
        ("mesh", StockUnit::SquareMillimetre),
    ];
    let units: BTreeMap<MaterialId, StockUnit> =
        units.into_iter().map(|(id, unit)| (MaterialId::parse(id).unwrap(), unit)).collect();
    let text = tickets::table(&[ticket()], &units).csv(Style::default());
    let head = "ticket,day,state,mix,revision,batch_volume_l,washout_volume_l,foam_volume_l,foam_mass_g,\
        wet_density_kg_m3,wet_density_low_kg_m3,wet_density_high_kg_m3,measured_wet_density_kg_m3,labour_min,\
        moulds_filled,line,kind,material,mass_g,target_g,target_ml,target_mm2,target_pieces,\
        actual_g,actual_ml,actual_mm2,actual_pieces,drawn_from_stock,note,planning_run,cautions,\
        closed_by,air_c,mix_c,water_added_ml,left_over_ml,left_over_to,began_at_utc,ended_at_utc";
    let common = "2026-05-04-01,2026-05-04,mixed,foamed-grey,2,33.333,1.200,12.750,638,810.0,770.0,850.5,805.2,43,\
        bed-side ×2 and 3.2 L of one more";
    let end = "'=stirred twice,7,";
    let rows = [
        head.to_owned(),
        format!("{common},1,ingredient,water,5100,5100,,,,,,,,no,{end}\"Mixer: lock it out. Wet cement, it burns.\""),
        format!("{common},2,ingredient,cement,8030,8030,,,,8050,,,,yes,{end}"),
        format!("{common},3,foam_concentrate,foamer,16,,16,,,,,,,yes,{end}"),
        format!("{common},4,per_panel,mesh,,,,480000,,,,,,yes,{end}"),
    ];
    let noted = ["", ",,,,,,,,", ",,,,,,,,", ",,,,,,,,", ",,,,,,,,"];
    let rows: Vec<String> = rows.into_iter().zip(noted).map(|(row, noted)| row + noted + "\r\n").collect();
    assert_eq!(text, rows.concat());
}

#[test]
fn decimal_commas_reach_every_number_and_nothing_else() {
    let text = tickets::table(&[ticket()], &BTreeMap::new()).csv(Style { bom: true, decimal_comma: true });
    assert!(text.starts_with("\u{feff}ticket;day;"));
    assert!(text.contains(";33,333;1,200;12,750;638;810,0;770,0;850,5;"), "{text}");
    assert!(text.contains("3.2 L of one more"), "text keeps its point");
}

#[test]
fn a_projection_has_a_row_for_each_day() {
    let material = Material {
        id: MaterialId::parse("cement").unwrap(),
        name: "Cement".into(),
        kind: MaterialKind::PortlandCement,
        unit: StockUnit::Gram,
        relative_density: Some(3.15),
        supply: Supply::Bought,
        floor: Amount::new(1_000),
        pack: Amount::new(25_000),
        pack_price: MinorUnits::new(900),
        lead_days: 3,
        delivery_charge: MinorUnits::ZERO,
        store_max: None,
        price_breaks: vec![],
        keep_days: None,
    };
    let row = |on: &str, used, to_order, on_hand, unordered| ProjectedDay {
        day: day(on),
        used: Amount::new(used),
        expected: Amount::ZERO,
        to_order: Amount::new(to_order),
        on_hand: Amount::new(on_hand),
        unordered: Amount::new(unordered),
    };
    let projection = Projection {
        days: vec![row("2026-05-04", 4_000, 0, 6_000, 6_000), row("2026-05-05", 7_000, 25_000, 24_000, -1_000)],
        first_short_day: Some(day("2026-05-05")),
        order_by: Some(day("2026-05-01")),
        packs: 1,
        sentence: String::new(),
    };
    let expected = "material,unit,day,used_in_unit,expected_in_unit,to_order_in_unit,on_hand_in_unit,\
        on_hand_if_nothing_is_ordered_in_unit,floor_in_unit,first_short_day,order_by\r\n\
        cement,g,2026-05-04,4000,0,0,6000,6000,1000,2026-05-05,2026-05-01\r\n\
        cement,g,2026-05-05,7000,0,25000,24000,-1000,1000,2026-05-05,2026-05-01\r\n";
    assert_eq!(outlook::table([(&material, &projection)]).csv(Style::default()), expected);
}

#[test]
fn a_plan_is_in_the_order_of_the_work() {
    let (panel, mix) = ("bed-side".to_owned(), "grey@2".to_owned());
    let plan = Plan {
        pours: vec![
            plan::Pour { day: day("2026-05-05"), panel: panel.clone(), mix: mix.clone(), quantity: 2 },
            plan::Pour { day: day("2026-05-04"), panel: panel.clone(), mix: mix.clone(), quantity: 4 },
        ],
        strips: vec![plan::Strip {
            day: day("2026-05-04"),
            panel: panel.clone(),
            mix: mix.clone(),
            quantity: 3,
            tank: Some("north".into()),
        }],
        lifts: vec![plan::Lift {
            day: day("2026-05-04"),
            panel,
            mix,
            quantity: 1,
            tank: Some("north".into()),
            rack: Some("long".into()),
        }],
        ..Plan::default()
    };
    let expected = "day,task,panel,mix,quantity_panels,tank,rack\r\n\
        2026-05-04,lift,bed-side,grey@2,1,north,long\r\n\
        2026-05-04,strip,bed-side,grey@2,3,north,\r\n\
        2026-05-04,pour,bed-side,grey@2,4,,\r\n\
        2026-05-05,pour,bed-side,grey@2,2,,\r\n";
    assert_eq!(pour_plan::table(&plan).csv(Style::default()), expected);
}

#[test]
fn a_day_sheet_runs_from_deliveries_to_orders() {
    let said = Said { by: Some("bench".into()), at: "2026-05-04T09:00:00Z".parse().ok() };
    let task = |quantity, done, tank: Option<&str>, rack: Option<&str>| Task {
        panel: PanelId::parse("bed-side").unwrap(),
        revision: RevisionId::parse("grey@2").unwrap(),
        tank: tank.and_then(|t| TankId::parse(t).ok()),
        rack: rack.and_then(|r| RackId::parse(r).ok()),
        quantity,
        done,
        minutes: 4.0,
        said: if done > 0 { vec![said.clone()] } else { vec![] },
    };
    let arrival = |delivery: Option<i64>, overdue: Option<&str>| Arrival {
        material: "cement".into(),
        packs: 2,
        delivery: delivery.map(DeliveryId::new),
        overdue_since: overdue.map(day),
        received: None,
        progress: Progress::ToDo,
        said: Said::default(),
    };
    let slow = Slow {
        tank: TankId::parse("north").unwrap(),
        panel: PanelId::parse("side").unwrap(),
        revision: RevisionId::parse("grey@2").unwrap(),
        quantity: 4,
        usual: day("2026-05-06"),
        until: day("2026-05-09"),
        water_c: 14.5,
        measured_on: day("2026-05-04"),
    };
    let upkeep = UpkeepEntry {
        task: UpkeepTask {
            id: UpkeepTaskId::parse("water").unwrap(),
            name: "Temperature of the water".into(),
            place: Place::Tank(TankId::parse("north").unwrap()),
            every_days: 1,
            first_on: day("2026-05-01"),
            last_on: None,
            minutes: Minutes::new(2),
            measures: Some(Measure { what: "water".into(), unit: "°C".into(), low: None, high: None }),
            note: None,
        },
        due_on: day("2026-05-04"),
        progress: Progress::Done,
        report: Some(UpkeepReport {
            task: UpkeepTaskId::parse("water").unwrap(),
            day: day("2026-05-04"),
            done: true,
            value: Some(14.5),
            note: None,
            said: said.clone(),
        }),
        remark: None,
    };
    let dispatch = |order: &str, panels, progress| Dispatch {
        order: order.into(),
        whole: panels == 0,
        panels,
        progress,
        said: vec![],
    };
    let sheet = DaySheet {
        day: day("2026-05-04"),
        arrivals: vec![arrival(Some(1), Some("2026-05-01")), arrival(Some(2), None), arrival(None, None)],
        ready: vec![task(1, 0, None, Some("long"))],
        lifts: vec![task(2, 1, Some("north"), Some("long"))],
        strips: vec![task(3, 0, Some("north"), None)],
        pours: vec![],
        tickets: vec![ticket()],
        slow: vec![slow],
        upkeep: vec![upkeep],
        dispatches: vec![dispatch("TH-1042", 0, Progress::ToDo), dispatch("TH-1043", 4, Progress::PartlyDone)],
        over: false,
        labour_minutes: 60.0,
    };
    let expected = "day,task,what,mix,quantity_panels,done_panels,quantity_packs,batch_volume_l,tank,rack,remark,labour_min,progress,said_by,said_at_utc,measured,measured_unit\r\n\
        2026-05-04,delivery,cement,,,,2,,,,overdue since 2026-05-01,,to_do,,,,\r\n\
        2026-05-04,delivery,cement,,,,2,,,,on its way,,to_do,,,,\r\n\
        2026-05-04,delivery,cement,,,,2,,,,to order,,to_do,,,,\r\n\
        2026-05-04,ready,bed-side,grey@2,1,0,,,,long,,4.0,to_do,,,,\r\n\
        2026-05-04,lift,bed-side,grey@2,2,1,,,north,long,,4.0,partly_done,bench,2026-05-04T09:00:00Z,,\r\n\
        2026-05-04,soak,side,grey@2,4,,,,north,,cold water: lifted from 2026-05-09 on instead of 2026-05-06,,,,,14.500,°C\r\n\
        2026-05-04,strip,bed-side,grey@2,3,0,,,north,,,4.0,to_do,,,,\r\n\
        2026-05-04,upkeep,water,,,,,,north,,Temperature of the water,2,done,bench,2026-05-04T09:00:00Z,14.500,°C\r\n\
        2026-05-04,ticket,2026-05-04-01,foamed-grey@2,,,,33.333,,,mixed: bed-side ×2 and 3.2 L of one more,43,done,,,,\r\n\
        2026-05-04,order,TH-1042,,,,,,,,\"whole, can go out\",,to_do,,,,\r\n\
        2026-05-04,order,TH-1043,,,4,,,,,sent out,,partly_done,,,,\r\n";
    assert_eq!(day_sheet::table(&sheet).csv(Style::default()), expected);
}
