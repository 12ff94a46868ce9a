//! Panels out of a file: a row for each, and one more for each further mix that suits it, tank it fits or material drawn with it.

use std::collections::BTreeMap;

use quantities::{Millilitres, Millimetres, Minutes};
use workshop::catalogue::{Amount, Panel, PerPanel, StockUnit, Suit};
use workshop::checks;
use workshop::ids::{MaterialId, MouldGroupId, PanelId, RevisionId, TankId};

use super::draft::{Draft, Thing};
use super::fault::CellFault;
use super::form::{Column, Form, Kind};
use super::grid::Grid;
use super::row::Cells;
use super::units::Measure::{Length, Stock, Time, Volume};

/// What is read; the columns of [`crate::catalogue::panels`].
pub static FORM: Form = Form {
    name: "panels",
    columns: &[
        Column::whole("panel", Kind::Id),
        Column::whole("name", Kind::Text),
        Column::whole("length_mm", Kind::Measured(Length)),
        Column::whole("height_mm", Kind::Measured(Length)),
        Column::whole("thickness_mm", Kind::Measured(Length)),
        Column::whole("voids_ml", Kind::Measured(Volume)),
        Column::whole("mould_group", Kind::Id),
        Column::whole("pour_min", Kind::Measured(Time)),
        Column::whole("strip_min", Kind::Measured(Time)),
        Column::whole("lift_min", Kind::Measured(Time)),
        Column::part("suits_mix", Kind::Id),
        Column::part("suits_reason", Kind::Text),
        Column::part("tank", Kind::Id),
        Column::part("per_panel_material", Kind::Id),
        Column::part("per_panel_in_unit", Kind::Measured(Stock)),
        Column::whole("pass_rate", Kind::Number),
    ],
    needed: &["panel"],
};

const POINTERS: [(&str, &str); 16] = [
    ("/id", "panel"),
    ("/name", "name"),
    ("/length_mm", "length_mm"),
    ("/height_mm", "height_mm"),
    ("/thickness_mm", "thickness_mm"),
    ("/voids_ml", "voids_ml"),
    ("/mould_group", "mould_group"),
    ("/pour_minutes", "pour_min"),
    ("/strip_minutes", "strip_min"),
    ("/lift_minutes", "lift_min"),
    ("/suits/*/revision", "suits_mix"),
    ("/suits/*/reason", "suits_reason"),
    ("/tanks/*", "tank"),
    ("/per_panel/*/material", "per_panel_material"),
    ("/per_panel/*/amount", "per_panel_in_unit"),
    ("/pass_rate", "pass_rate"),
];

/// All panels that could be read, in the order of their first rows, and every fault. What the file has no column for is taken
/// from those that are `there`; `units` says what each material is counted in.
pub fn drafts(
    grid: &Grid,
    there: &BTreeMap<PanelId, Panel>,
    units: &BTreeMap<MaterialId, StockUnit>,
) -> (Vec<Draft<Panel>>, Vec<CellFault>) {
    let mut faults = Vec::new();
    let things = grid.things(&mut faults);
    let mut drafts = Vec::with_capacity(things.len());
    for thing in &things {
        let before = faults.len();
        let mut cells = Cells { grid, row: thing.head(), noun: "panel", faults: &mut faults };
        let Some(draft) = draft(&mut cells, thing, there, units) else { continue };
        if faults.len() == before && thing.is_read() {
            faults.extend(checks::panel::faults(&draft.value).iter().map(|found| draft.fault(grid, found)));
            drafts.push(draft);
        }
    }
    (drafts, faults)
}

fn draft(
    cells: &mut Cells<'_>,
    thing: &Thing<'_>,
    there: &BTreeMap<PanelId, Panel>,
    units: &BTreeMap<MaterialId, StockUnit>,
) -> Option<Draft<Panel>> {
    let id = PanelId::parse(thing.id).map_err(|fault| cells.wrong("panel", fault.to_string())).ok()?;
    let there = there.get(&id);
    let mm = |cells: &mut Cells<'_>, column: &str| cells.measured(column).map(Millimetres::new);
    let ml = |cells: &mut Cells<'_>, column: &str| cells.measured(column).map(Millilitres::new);
    let minutes = |cells: &mut Cells<'_>, column: &str| cells.measured(column).map(Minutes::new);
    let group = |cells: &mut Cells<'_>, column: &str| cells.id(column, MouldGroupId::parse);
    let name = cells.needed("name", Cells::text, there.map(|p| p.name.clone()));
    let length = cells.needed("length_mm", mm, there.map(|p| p.length));
    let height = cells.needed("height_mm", mm, there.map(|p| p.height));
    let thickness = cells.needed("thickness_mm", mm, there.map(|p| p.thickness));
    let voids = cells.usually("voids_ml", ml, there.map(|p| p.voids), Millilitres::new(0));
    let mould_group = cells.needed("mould_group", group, there.map(|p| p.mould_group.clone()));
    let pour_minutes = cells.needed("pour_min", minutes, there.map(|p| p.pour_minutes));
    let strip_minutes = cells.needed("strip_min", minutes, there.map(|p| p.strip_minutes));
    let lift_minutes = cells.needed("lift_min", minutes, there.map(|p| p.lift_minutes));
    let pass_rate = cells.perhaps("pass_rate", Cells::decimal, there.and_then(|p| p.pass_rate));
    let (suits_at, suits) = listed(cells, thing, &["suits_mix", "suits_reason"], there.map(|p| &p.suits), suit);
    let tank = |cells: &mut Cells<'_>| cells.given("tank", |cells, column| cells.id(column, TankId::parse));
    let (tanks_at, tanks) = listed(cells, thing, &["tank"], there.map(|p| &p.tanks), tank);
    let columns = ["per_panel_material", "per_panel_in_unit"];
    let drawn = |cells: &mut Cells<'_>| per_panel(cells, units);
    let (drawn_at, per_panel) = listed(cells, thing, &columns, there.map(|p| &p.per_panel), drawn);
    let value = Panel {
        id,
        name: name?,
        length: length?,
        height: height?,
        thickness: thickness?,
        voids: voids?,
        mould_group: mould_group?,
        pour_minutes: pour_minutes?,
        strip_minutes: strip_minutes?,
        lift_minutes: lift_minutes?,
        suits,
        tanks,
        per_panel,
        pass_rate,
    };
    let lists = vec![("suits", suits_at), ("tanks", tanks_at), ("per_panel", drawn_at)];
    Some(Draft { value, line: thing.head().line, lists, columns: &POINTERS })
}

/// One of a panel's lists, an entry for each row that says any of its columns; as it is where the file has none of them.
fn listed<T: Clone>(
    cells: &mut Cells<'_>,
    thing: &Thing<'_>,
    columns: &[&str],
    there: Option<&Vec<T>>,
    read: impl Fn(&mut Cells<'_>) -> Option<T>,
) -> (Vec<u64>, Vec<T>) {
    if !columns.iter().any(|column| cells.grid.has(column)) {
        return (Vec::new(), there.cloned().unwrap_or_default());
    }
    let mut found = Vec::new();
    for row in &thing.rows {
        let mut cells = cells.on(row);
        if !columns.iter().all(|column| cells.is_blank(column)) {
            found.extend(read(&mut cells).map(|one| (row.line, one)));
        }
    }
    found.into_iter().unzip()
}

fn suit(cells: &mut Cells<'_>) -> Option<Suit> {
    let revision = cells.given("suits_mix", |cells, column| {
        let text = cells.text(column)?;
        let revision = RevisionId::parse(&text).ok();
        if revision.is_none() {
            cells.wrong(column, "is no mix revision: give mix@number, as foamed-grey@2");
        }
        revision
    });
    let reason = cells.given("suits_reason", Cells::text);
    Some(Suit { revision: revision?, reason: reason? })
}

fn per_panel(cells: &mut Cells<'_>, units: &BTreeMap<MaterialId, StockUnit>) -> Option<PerPanel> {
    let material = cells.given("per_panel_material", |cells, column| cells.id(column, MaterialId::parse));
    let own = material.as_ref().and_then(|material| units.get(material)).copied();
    let amount = cells.given("per_panel_in_unit", |cells, column| cells.amount(column, own));
    Some(PerPanel { material: material?, amount: Amount::new(amount?) })
}
