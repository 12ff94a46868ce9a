//! The columns of every table, held against the committed list: scripts go by their place, so they are only ever added at the
//! end. `UPDATE_COLUMNS=1` adds new tables and columns to the list, and takes nothing out of it.

#![allow(clippy::unwrap_used, reason = "a test panics where it fails")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use feeds::table::Table;
use feeds::{catalogue, day_sheet, ledger, lots, orders, outlook, pour_plan, tickets, trail, trials};
use workshop::day_sheet::DaySheet;
use workshop::documents::Plan;

/// Every table there is, empty.
fn tables() -> Vec<Table> {
    let sheet = DaySheet {
        day: "2026-05-04".parse().unwrap(),
        arrivals: vec![],
        ready: vec![],
        lifts: vec![],
        strips: vec![],
        pours: vec![],
        tickets: vec![],
        slow: vec![],
        upkeep: vec![],
        dispatches: vec![],
        over: false,
        labour_minutes: 0.0,
    };
    let mut tables = pour_plan::tables(&Plan::default(), |_| None);
    tables.extend([
        catalogue::materials([]),
        catalogue::mould_groups([]),
        catalogue::panels([], &BTreeMap::new()),
        day_sheet::table(&sheet),
        ledger::entries(&[], &BTreeMap::new()),
        ledger::on_hand([], &BTreeMap::new()),
        ledger::count_sheet([], &BTreeMap::new(), "2026-05-04".parse().unwrap()),
        ledger::deliveries(&[], &BTreeMap::new(), &BTreeMap::new()),
        lots::table([]),
        orders::table([]),
        outlook::table([]),
        tickets::table(&[], &BTreeMap::new()),
        trail::table([]),
        trials::table([]),
    ]);
    tables
}

fn list() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/columns.txt")
}

/// One line a table: its name, then its columns.
fn committed() -> BTreeMap<String, Vec<String>> {
    let text = std::fs::read_to_string(list()).unwrap_or_default();
    let line = |line: &str| {
        let (name, columns) = line.split_once(": ").unwrap();
        (name.to_owned(), columns.split(' ').map(str::to_owned).collect())
    };
    text.lines().map(line).collect()
}

#[test]
fn columns_are_only_added_at_the_end() {
    let mut known = committed();
    for table in tables() {
        let listed = known.entry(table.name().to_owned()).or_default();
        let columns: Vec<String> = table.header().iter().map(ToString::to_string).collect();
        assert!(
            columns.starts_with(listed),
            "{}: {columns:?} does not begin with {listed:?}, which scripts go by",
            table.name()
        );
        *listed = columns;
    }
    if std::env::var_os("UPDATE_COLUMNS").is_some() {
        let text: String = known.iter().map(|(name, columns)| format!("{name}: {}\n", columns.join(" "))).collect();
        std::fs::write(list(), text).unwrap();
    }
    assert_eq!(committed(), known, "a column or table is not in the list yet: run with UPDATE_COLUMNS=1");
    let there: BTreeSet<&str> = tables().iter().map(Table::name).collect();
    let listed: BTreeSet<String> = known.into_keys().collect();
    assert!(listed.iter().all(|name| there.contains(name.as_str())), "a table is gone: {listed:?}");
}

/// Endings of columns that hold a number, by what they are counted in.
const UNITS: [&str; 15] = [
    "_l", "_g", "_ml", "_mm", "_mm2", "_kg_m3", "_min", "_days", "_panels", "_packs", "_pieces", "_in_unit", "_minor",
    "_mpa", "_utc",
];

#[test]
fn every_measure_has_its_unit_in_its_name() {
    // Counts and numbers of things, shares, and what is text.
    let plain: BTreeSet<&str> = [
        "line",
        "revision",
        "batch",
        "planning_run",
        "lot",
        "entry",
        "delivery",
        "counters_entry",
        "quantity",
        "moulds",
        "out_moulds",
        "relative_density",
        "pass_rate",
    ]
    .into();
    let tables = tables();
    let with_numbers: BTreeMap<&str, Vec<&str>> =
        tables.iter().map(|t| (t.name(), t.header().iter().map(AsRef::as_ref).collect())).collect();
    for name in with_numbers.values().flatten() {
        let says_a_measure =
            ["mass", "volume", "density", "length", "height", "thickness", "price", "strength", "labour"]
                .iter()
                .any(|measure| name.contains(measure));
        let has_unit = UNITS.iter().any(|unit| name.ends_with(unit));
        assert!(!says_a_measure || has_unit || plain.contains(name), "{name} names no unit");
    }
}
