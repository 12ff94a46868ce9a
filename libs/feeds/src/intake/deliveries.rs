//! Deliveries out of a file: a row for each, known by our number or by the sender's own reference, so that the same file twice
//! changes nothing.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;
use workshop::catalogue::Material;
use workshop::checks;
use workshop::ids::{DeliveryId, MaterialId};
use workshop::stock::{Delivery, DeliveryState};

use super::fault::CellFault;
use super::form::{Column, Form, Kind};
use super::grid::Grid;
use super::row::Cells;
use super::units::Measure::Stock;
use crate::words;

/// What is read; the columns of [`crate::ledger::deliveries`].
pub static FORM: Form = Form {
    name: "deliveries",
    columns: &[
        Column::part("delivery", Kind::Number),
        Column::part("material", Kind::Id),
        Column::part("unit", Kind::Unit),
        Column::part("quantity_packs", Kind::Number),
        Column::part("expected_on", Kind::Day),
        Column::part("state", Kind::Text),
        Column::part("arrived_on", Kind::Day),
        Column::part("received_in_unit", Kind::Measured(Stock)),
        Column::part("reference", Kind::Id),
    ],
    needed: &[],
};

const STATES: [(&str, DeliveryState); 2] = [
    (words::delivery_state(DeliveryState::OnItsWay), DeliveryState::OnItsWay),
    (words::delivery_state(DeliveryState::Here), DeliveryState::Here),
];
/// Characters of a reference.
const REFERENCE_MOST: usize = 100;

/// What is on record of what a file speaks of.
#[derive(Clone, Debug, Default)]
pub struct Known {
    /// Deliveries by number.
    pub deliveries: BTreeMap<DeliveryId, Delivery>,
    /// Numbers by the senders' references.
    pub references: BTreeMap<String, DeliveryId>,
    /// All materials.
    pub materials: BTreeMap<MaterialId, Material>,
}

/// What a row asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// Nothing: it is there just so.
    Unchanged,
    /// A delivery that is not there yet.
    New {
        /// Of which material.
        material: MaterialId,
        /// How many packs.
        packs: i64,
        /// Day it should come.
        expected_on: Day,
        /// The sender's own name of it.
        reference: String,
    },
    /// One on its way comes with other packs or on another day.
    Moved {
        /// Which.
        id: DeliveryId,
        /// How many packs.
        packs: i64,
        /// Day it should come.
        expected_on: Day,
    },
    /// One that had no reference has the sender's now, so that the sender's own file finds it.
    Referred {
        /// Which.
        id: DeliveryId,
        /// The sender's own name of it.
        reference: String,
    },
}

/// What each row asks for that could be read, in the order of the rows, and every fault.
pub fn wanted(grid: &Grid, known: &Known) -> (Vec<Wanted>, Vec<CellFault>) {
    let mut faults = Vec::new();
    let own: BTreeMap<DeliveryId, &str> = known.references.iter().map(|(text, id)| (*id, text.as_str())).collect();
    let mut seen = BTreeSet::new();
    let mut all = Vec::with_capacity(grid.rows.len());
    for row in &grid.rows {
        let mut cells = Cells { grid, row, noun: "delivery", faults: &mut faults };
        let Some(wanted) = one(&mut cells, known, &mut seen) else { continue };
        let referred = new_reference(&mut cells, &own);
        // A row that moves a delivery and names it is one change.
        if wanted != Wanted::Unchanged || referred.is_none() {
            all.push(wanted);
        }
        all.extend(referred);
    }
    (all, faults)
}

fn one(cells: &mut Cells<'_>, known: &Known, seen: &mut BTreeSet<String>) -> Option<Wanted> {
    let number = cells.whole("delivery").map(DeliveryId::new);
    let reference = cells.text("reference");
    if let Some(text) = &reference
        && (text.chars().count() > REFERENCE_MOST || text.chars().any(char::is_control))
    {
        cells.wrong("reference", format!("is no reference: give 1 to {REFERENCE_MOST} visible characters"));
        return None;
    }
    let id = match (number, &reference) {
        (Some(number), reference) => {
            let Some(there) = known.deliveries.get(&number) else {
                cells.wrong(
                    "delivery",
                    "is no delivery there is: leave the number out and give a reference for a new one",
                );
                return None;
            };
            let other = reference.as_ref().and_then(|text| known.references.get(text));
            if other.is_some_and(|other| *other != there.id) {
                cells.wrong("reference", "is that of another delivery: give one of the two alone");
                return None;
            }
            Some(number)
        }
        (None, Some(text)) => known.references.get(text).copied(),
        (None, None) => {
            if cells.is_blank("delivery") && cells.is_blank("reference") {
                cells
                    .wrong("reference", "is missing: name each delivery, so that the same file twice makes none twice");
            }
            return None;
        }
    };
    let key = id.map_or_else(|| format!("reference {}", reference.clone().unwrap_or_default()), |id| id.to_string());
    if !seen.insert(key) {
        let column = if number.is_some() { "delivery" } else { "reference" };
        cells.wrong(column, "is there twice: give each delivery one row");
        return None;
    }
    match id.and_then(|id| known.deliveries.get(&id)) {
        Some(there) => held_against(cells, there, known),
        None => new(cells, reference?, known),
    }
}

/// The reference that a row gives a delivery of ours, where it has none of its own yet.
fn new_reference(cells: &mut Cells<'_>, own: &BTreeMap<DeliveryId, &str>) -> Option<Wanted> {
    let id = cells.whole("delivery").map(DeliveryId::new)?;
    let reference = cells.text("reference")?;
    match own.get(&id) {
        Some(own) if *own == reference => None,
        Some(own) => {
            cells
                .wrong("reference", format!("differs from what delivery {id} is known by, '{own}': leave it as it is"));
            None
        }
        None => Some(Wanted::Referred { id, reference }),
    }
}

fn new(cells: &mut Cells<'_>, reference: String, known: &Known) -> Option<Wanted> {
    let material = cells.needed("material", |cells, column| cells.id(column, MaterialId::parse), None);
    let packs = cells.needed("quantity_packs", Cells::whole, None);
    let expected_on = cells.needed("expected_on", Cells::day, None);
    let state = cells.word("state", &STATES);
    if state == Some(DeliveryState::Here) {
        cells.wrong(
            "state",
            "is not for a new delivery: take it in on its way, and say that it has come when it is there",
        );
    }
    let there = material.as_ref().and_then(|material| known.materials.get(material));
    if let (Some(material), None) = (&material, there) {
        cells.wrong("material", format!("there is no material '{material}': make it first, or name one that is there"));
    }
    let (material, packs, expected_on) = (material?, packs?, expected_on?);
    sound(cells, packs, expected_on, there).then_some(Wanted::New { material, packs, expected_on, reference })
}

fn held_against(cells: &mut Cells<'_>, there: &Delivery, known: &Known) -> Option<Wanted> {
    let material = cells.perhaps("material", |cells, column| cells.id(column, MaterialId::parse), None);
    if material.is_some_and(|material| material != there.material) {
        cells.wrong(
            "material",
            format!("is not what delivery {} is of, {}: take it back and make a new one", there.id, there.material),
        );
        return None;
    }
    let packs = cells.usually("quantity_packs", Cells::whole, Some(there.packs), there.packs)?;
    let expected_on = cells.usually("expected_on", Cells::day, Some(there.expected_on), there.expected_on)?;
    let state = |cells: &mut Cells<'_>, column: &str| cells.word(column, &STATES);
    let state = cells.usually("state", state, Some(there.state), there.state)?;
    if state != there.state {
        let detail = match there.state {
            DeliveryState::Here => "is here already".to_owned(),
            DeliveryState::OnItsWay => {
                format!("is not said by an import: say that it has come by /deliveries/{}/arrival", there.id)
            }
        };
        cells.wrong("state", detail);
        return None;
    }
    if (packs, expected_on) == (there.packs, there.expected_on) {
        return Some(Wanted::Unchanged);
    }
    if there.state == DeliveryState::Here {
        let column = if packs == there.packs { "expected_on" } else { "quantity_packs" };
        cells.wrong(
            column,
            format!("differs, and delivery {} is here already: put its amount right with a stock entry", there.id),
        );
        return None;
    }
    // It comes in packs of the size it was ordered in, whatever the material's are by now.
    let material = known.materials.get(&there.material).map(|m| Material { pack: there.pack, ..m.clone() });
    sound(cells, packs, expected_on, material.as_ref()).then_some(Wanted::Moved { id: there.id, packs, expected_on })
}

fn sound(cells: &mut Cells<'_>, packs: i64, expected_on: Day, material: Option<&Material>) -> bool {
    let found = checks::stock::delivery_faults(packs, expected_on, material);
    for fault in &found {
        let column = match fault.pointer.as_str() {
            "/packs" => "quantity_packs",
            pointer => pointer.trim_start_matches('/'),
        };
        cells.wrong(column, fault.detail.clone());
    }
    found.is_empty()
}
