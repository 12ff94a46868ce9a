//! Stock counts out of a file: a row for each material that was counted; a row without a count is passed over.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike as _, NaiveDate as Day};
use workshop::catalogue::{Amount, Material, Supply};
use workshop::checks::found::AMOUNT_MOST;
use workshop::ids::MaterialId;

use super::fault::CellFault;
use super::form::{Column, Form, Kind};
use super::grid::Grid;
use super::row::Cells;
use super::units::Measure::Stock;
use crate::words;

/// What is read; the columns of [`crate::ledger::count_sheet`], and those of [`crate::ledger::on_hand`].
pub static FORM: Form = Form {
    name: "stock_counts",
    columns: &[
        Column::part("material", Kind::Id),
        Column::part("name", Kind::Shown),
        Column::part("unit", Kind::Unit),
        Column::part("on_hand_in_unit", Kind::Shown),
        Column::part("counted_in_unit", Kind::Measured(Stock)),
        Column::part("day", Kind::Day),
        Column::part("note", Kind::Text),
        Column::part("floor_in_unit", Kind::Shown),
        Column::part("below_floor", Kind::Shown),
    ],
    needed: &["material", "counted_in_unit"],
};

/// A day before this year is a slip of the hand.
const FIRST_YEAR: i32 = 2000;
/// Characters of a note.
const NOTE_MOST: usize = workshop::checks::found::NOTE_MOST;

/// One count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Count {
    /// The line it stands on.
    pub line: u64,
    /// Of which material.
    pub material: MaterialId,
    /// What was found, in the material's own unit.
    pub counted: Amount,
    /// The workshop's day.
    pub day: Day,
    /// Anything to remember.
    pub note: Option<String>,
}

/// All counts that could be read, in the order of the rows, and every fault. A count without a day is one of `today`.
pub fn counts(grid: &Grid, materials: &BTreeMap<MaterialId, Material>, today: Day) -> (Vec<Count>, Vec<CellFault>) {
    let mut faults = Vec::new();
    let mut seen = BTreeSet::new();
    let mut counts = Vec::new();
    for row in &grid.rows {
        let mut cells = Cells { grid, row, noun: "count", faults: &mut faults };
        if cells.is_blank("counted_in_unit") {
            continue;
        }
        let Some(count) = count(&mut cells, materials, today) else { continue };
        if seen.insert((count.material.clone(), count.day)) {
            counts.push(count);
        } else {
            cells.wrong("material", format!("is counted twice on {}: give one row", count.day));
        }
    }
    (counts, faults)
}

fn count(cells: &mut Cells<'_>, materials: &BTreeMap<MaterialId, Material>, today: Day) -> Option<Count> {
    let id = cells.given("material", |cells, column| cells.id(column, MaterialId::parse))?;
    let Some(material) = materials.get(&id) else {
        cells.wrong("material", format!("there is no material '{id}': make it first, or name one that is there"));
        return None;
    };
    if material.supply == Supply::Mains {
        cells.wrong("material", format!("'{id}' comes from the main and is not counted"));
    }
    let unit = cells.stock_unit("unit");
    if unit.is_some_and(|unit| unit != material.unit) {
        let own = words::unit(material.unit);
        cells.wrong("unit", format!("is not what '{id}' is counted in, {own}: give that, or leave it out"));
    }
    let counted = cells.amount("counted_in_unit", Some(material.unit));
    if counted.is_some_and(|counted| !(0..=AMOUNT_MOST).contains(&counted)) {
        cells.wrong("counted_in_unit", format!("is out of range: give 0 to {AMOUNT_MOST}"));
    }
    let day = cells.usually("day", Cells::day, None, today);
    let slip = day.and_then(|day| match day {
        day if day > today => Some(format!("has not come yet: today is {today}")),
        day if day.year() < FIRST_YEAR => Some(format!("is out of range: give a day from {FIRST_YEAR} on")),
        _ => None,
    });
    if let Some(detail) = &slip {
        cells.wrong("day", detail.clone());
    }
    let note = cells.text("note");
    if note.as_ref().is_some_and(|note| note.chars().count() > NOTE_MOST) {
        cells.wrong("note", format!("is longer than {NOTE_MOST} characters: shorten it"));
    }
    let day = day.filter(|_| slip.is_none())?;
    Some(Count { line: cells.row.line, material: id, counted: Amount::new(counted?), day, note })
}
