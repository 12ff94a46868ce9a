//! Files that once were, or well could be, sent: each is read as the table its name begins with, and has exactly the faults listed
//! in `corpus/faults.txt`. `UPDATE_CORPUS=1` lists them anew.

#![allow(clippy::unwrap_used, reason = "a test panics where it fails")]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

use feeds::intake::deliveries::Known;
use feeds::intake::fault::in_order;
use feeds::intake::{self, CellFault, Format, Grid, Way, sheet};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/corpus")
}

/// Every fault of a file, read as what its name says, with nothing on record.
fn faults(name: &str, bytes: &[u8]) -> Vec<CellFault> {
    let table = name.split('-').next().unwrap();
    let form = match table {
        "orders" => &intake::orders::FORM,
        "materials" => &intake::materials::FORM,
        "panels" => &intake::panels::FORM,
        "counts" => &intake::counts::FORM,
        "deliveries" => &intake::deliveries::FORM,
        other => panic!("{other} is no table"),
    };
    let format = if name.ends_with(".xlsx") { Format::Xlsx } else { Format::Csv };
    let way = Way::default();
    let sheet = match sheet::read(bytes, format, &way, form.name) {
        Ok(sheet) => sheet,
        Err(faults) => return faults,
    };
    let (grid, mut faults) = match Grid::read(&sheet, form, &way) {
        Ok(read) => read,
        Err(faults) => return faults,
    };
    faults.extend(match table {
        "orders" => intake::orders::drafts(&grid, &BTreeMap::new()).1,
        "materials" => intake::materials::drafts(&grid, &BTreeMap::new()).1,
        "panels" => intake::panels::drafts(&grid, &BTreeMap::new(), &BTreeMap::new()).1,
        "counts" => intake::counts::counts(&grid, &BTreeMap::new(), "2026-05-04".parse().unwrap()).1,
        _ => intake::deliveries::wanted(&grid, &Known::default()).1,
    });
    in_order(faults)
}

#[test]
fn every_file_has_the_faults_that_are_listed() {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name != "faults.txt")
        .collect();
    names.sort();
    assert!(names.len() > 20, "{names:?}");
    let mut listed = String::new();
    for name in names {
        writeln!(listed, "{name}").unwrap();
        for CellFault { line, column, value, detail } in faults(&name, &std::fs::read(folder().join(&name)).unwrap()) {
            let column = column.map(|column| format!(", {column}")).unwrap_or_default();
            let value = value.map(|value| format!(" {value:?}")).unwrap_or_default();
            writeln!(listed, "  {line}{column}{value}: {detail}").unwrap();
        }
    }
    let list = folder().join("faults.txt");
    if std::env::var_os("UPDATE_CORPUS").is_some() {
        std::fs::write(&list, &listed).unwrap();
    }
    assert_eq!(std::fs::read_to_string(list).unwrap_or_default(), listed);
}
