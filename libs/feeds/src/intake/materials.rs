//! Materials out of a file: a row for each, and one more for each further price break.

use std::collections::BTreeMap;

use quantities::MinorUnits;
use workshop::catalogue::{Amount, Material, MaterialKind, PriceBreak, Supply};
use workshop::checks;
use workshop::ids::MaterialId;

use super::draft::{Draft, Thing};
use super::fault::CellFault;
use super::form::{Column, Form, Kind};
use super::grid::Grid;
use super::row::Cells;
use super::units::Measure::{Money, Stock};
use crate::words;

/// What is read; the columns of [`crate::catalogue::materials`].
pub static FORM: Form = Form {
    name: "materials",
    columns: &[
        Column::whole("material", Kind::Id),
        Column::whole("name", Kind::Text),
        Column::whole("kind", Kind::Text),
        Column::whole("unit", Kind::Unit),
        Column::whole("relative_density", Kind::Number),
        Column::whole("supply", Kind::Text),
        Column::whole("floor_in_unit", Kind::Measured(Stock)),
        Column::whole("pack_in_unit", Kind::Measured(Stock)),
        Column::whole("pack_price_minor", Kind::Measured(Money)),
        Column::whole("lead_days", Kind::Number),
        Column::whole("delivery_charge_minor", Kind::Measured(Money)),
        Column::whole("store_max_in_unit", Kind::Measured(Stock)),
        Column::part("break_from_packs", Kind::Number),
        Column::part("break_pack_price_minor", Kind::Measured(Money)),
        Column::whole("keep_days", Kind::Number),
    ],
    needed: &["material"],
};

const POINTERS: [(&str, &str); 14] = [
    ("/id", "material"),
    ("/name", "name"),
    ("/kind", "kind"),
    ("/unit", "unit"),
    ("/relative_density", "relative_density"),
    ("/floor", "floor_in_unit"),
    ("/pack", "pack_in_unit"),
    ("/pack_price_minor", "pack_price_minor"),
    ("/lead_days", "lead_days"),
    ("/keep_days", "keep_days"),
    ("/delivery_charge_minor", "delivery_charge_minor"),
    ("/store_max", "store_max_in_unit"),
    ("/price_breaks/*/from_packs", "break_from_packs"),
    ("/price_breaks/*/pack_price_minor", "break_pack_price_minor"),
];

const KINDS: [MaterialKind; 13] = [
    MaterialKind::PortlandCement,
    MaterialKind::BlendedCement,
    MaterialKind::RapidCement,
    MaterialKind::Water,
    MaterialKind::Aggregate,
    MaterialKind::LightweightAggregate,
    MaterialKind::FoamingConcentrate,
    MaterialKind::Fibre,
    MaterialKind::Pigment,
    MaterialKind::Admixture,
    MaterialKind::Mesh,
    MaterialKind::Hardware,
    MaterialKind::ReleaseOil,
];
const SUPPLIES: [Supply; 3] = [Supply::Bought, Supply::NotSold, Supply::Mains];

/// All materials that could be read, in the order of their first rows, and every fault. What the file has no column for is
/// taken from those that are `there`.
pub fn drafts(grid: &Grid, there: &BTreeMap<MaterialId, Material>) -> (Vec<Draft<Material>>, Vec<CellFault>) {
    let mut faults = Vec::new();
    let things = grid.things(&mut faults);
    let mut drafts = Vec::with_capacity(things.len());
    for thing in &things {
        let before = faults.len();
        let mut cells = Cells { grid, row: thing.head(), noun: "material", faults: &mut faults };
        let Some(draft) = draft(&mut cells, thing, there) else { continue };
        if faults.len() == before && thing.is_read() {
            faults.extend(checks::material::faults(&draft.value).iter().map(|found| draft.fault(grid, found)));
            drafts.push(draft);
        }
    }
    (drafts, faults)
}

fn draft(cells: &mut Cells<'_>, thing: &Thing<'_>, there: &BTreeMap<MaterialId, Material>) -> Option<Draft<Material>> {
    let id = MaterialId::parse(thing.id).map_err(|fault| cells.wrong("material", fault.to_string())).ok()?;
    let there = there.get(&id);
    let kinds = KINDS.map(|kind| (words::material_kind(kind), kind));
    let supplies = SUPPLIES.map(|supply| (words::supply(supply), supply));
    let name = cells.needed("name", Cells::text, there.map(|m| m.name.clone()));
    let kind = cells.needed("kind", |cells, column| cells.word(column, &kinds), there.map(|m| m.kind));
    let unit = cells.needed("unit", Cells::stock_unit, there.map(|m| m.unit));
    let density = cells.perhaps("relative_density", Cells::decimal, there.and_then(|m| m.relative_density));
    let supply = |cells: &mut Cells<'_>, column: &str| cells.word(column, &supplies);
    let supply = cells.usually("supply", supply, there.map(|m| m.supply), Supply::Bought);
    let amount = |cells: &mut Cells<'_>, column: &str| cells.amount(column, unit).map(Amount::new);
    let money = |cells: &mut Cells<'_>, column: &str| cells.measured(column).map(MinorUnits::new);
    let floor = cells.usually("floor_in_unit", amount, there.map(|m| m.floor), Amount::ZERO);
    let pack = cells.needed("pack_in_unit", amount, there.map(|m| m.pack));
    let pack_price = cells.needed("pack_price_minor", money, there.map(|m| m.pack_price));
    let lead_days = cells.needed("lead_days", Cells::whole, there.map(|m| m.lead_days));
    let charge = there.map(|m| m.delivery_charge);
    let delivery_charge = cells.usually("delivery_charge_minor", money, charge, MinorUnits::ZERO);
    let store_max = cells.perhaps("store_max_in_unit", amount, there.and_then(|m| m.store_max));
    let keep_days = cells.perhaps("keep_days", Cells::whole, there.and_then(|m| m.keep_days));
    let (at, price_breaks) = price_breaks(cells, thing, there);
    let value = Material {
        id,
        name: name?,
        kind: kind?,
        unit: unit?,
        relative_density: density,
        supply: supply?,
        floor: floor?,
        pack: pack?,
        pack_price: pack_price?,
        lead_days: lead_days?,
        delivery_charge: delivery_charge?,
        store_max,
        price_breaks,
        keep_days,
    };
    Some(Draft { value, line: thing.head().line, lists: vec![("price_breaks", at)], columns: &POINTERS })
}

fn price_breaks(cells: &mut Cells<'_>, thing: &Thing<'_>, there: Option<&Material>) -> (Vec<u64>, Vec<PriceBreak>) {
    let (from, price) = ("break_from_packs", "break_pack_price_minor");
    if !cells.grid.has(from) && !cells.grid.has(price) {
        return (Vec::new(), there.map(|m| m.price_breaks.clone()).unwrap_or_default());
    }
    let mut found = Vec::new();
    for row in &thing.rows {
        let mut cells = cells.on(row);
        if cells.is_blank(from) && cells.is_blank(price) {
            continue;
        }
        let (from_packs, pack_price) = (cells.given(from, Cells::whole), cells.given(price, Cells::measured));
        if let (Some(from_packs), Some(pack_price)) = (from_packs, pack_price) {
            found.push((row.line, PriceBreak { from_packs, pack_price: MinorUnits::new(pack_price) }));
        }
    }
    found.into_iter().unzip()
}
