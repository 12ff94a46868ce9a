//! Mould groups out of a file: a row for each, and one more for each further time some are out of service.

use std::collections::BTreeMap;

use workshop::catalogue::{MouldGroup, OutOfService};
use workshop::checks;
use workshop::ids::MouldGroupId;

use super::draft::{Draft, Thing};
use super::fault::CellFault;
use super::form::{Column, Form, Kind};
use super::grid::Grid;
use super::row::Cells;

/// What is read; the columns of [`crate::catalogue::mould_groups`].
pub static FORM: Form = Form {
    name: "mould_groups",
    columns: &[
        Column::whole("mould_group", Kind::Id),
        Column::whole("name", Kind::Text),
        Column::whole("moulds", Kind::Number),
        Column::whole("turnaround_days", Kind::Number),
        Column::part("out_from", Kind::Day),
        Column::part("out_to", Kind::Day),
        Column::part("out_moulds", Kind::Number),
        Column::part("out_reason", Kind::Text),
        Column::whole("life_uses", Kind::Number),
        Column::part("out_which", Kind::Id),
    ],
    needed: &["mould_group"],
};

const POINTERS: [(&str, &str); 11] = [
    ("/id", "mould_group"),
    ("/name", "name"),
    ("/moulds", "moulds"),
    ("/turnaround_days", "turnaround_days"),
    ("/life_uses", "life_uses"),
    ("/out_of_service/*/from", "out_from"),
    ("/out_of_service/*/to", "out_to"),
    ("/out_of_service/*/moulds", "out_moulds"),
    ("/out_of_service/*/reason", "out_reason"),
    ("/out_of_service/*/which", "out_which"),
    ("/out_of_service/*/which/*", "out_which"),
];

/// Columns of a time out of service.
const OUT: [&str; 5] = ["out_from", "out_to", "out_moulds", "out_reason", "out_which"];

/// All mould groups that could be read, in the order of their first rows, and every fault. What the file has no column for is
/// taken from those that are `there`.
pub fn drafts(grid: &Grid, there: &BTreeMap<MouldGroupId, MouldGroup>) -> (Vec<Draft<MouldGroup>>, Vec<CellFault>) {
    let mut faults = Vec::new();
    let things = grid.things(&mut faults);
    let mut drafts = Vec::with_capacity(things.len());
    for thing in &things {
        let before = faults.len();
        let mut cells = Cells { grid, row: thing.head(), noun: "mould group", faults: &mut faults };
        let Some(draft) = draft(&mut cells, thing, there) else { continue };
        if faults.len() == before && thing.is_read() {
            let found = checks::catalogue::mould_group_faults(&draft.value);
            faults.extend(found.iter().map(|found| draft.fault(grid, found)));
            drafts.push(draft);
        }
    }
    (drafts, faults)
}

fn draft(
    cells: &mut Cells<'_>,
    thing: &Thing<'_>,
    there: &BTreeMap<MouldGroupId, MouldGroup>,
) -> Option<Draft<MouldGroup>> {
    let id = MouldGroupId::parse(thing.id).map_err(|fault| cells.wrong("mould_group", fault.to_string())).ok()?;
    let there = there.get(&id);
    let name = cells.needed("name", Cells::text, there.map(|g| g.name.clone()));
    let moulds = cells.needed("moulds", Cells::whole, there.map(|g| g.moulds));
    let turnaround_days = cells.needed("turnaround_days", Cells::whole, there.map(|g| g.turnaround_days));
    let life_uses = cells.perhaps("life_uses", Cells::whole, there.and_then(|g| g.life_uses));
    let (at, out_of_service) = out_of_service(cells, thing, there);
    let value =
        MouldGroup { id, name: name?, moulds: moulds?, turnaround_days: turnaround_days?, life_uses, out_of_service };
    Some(Draft { value, line: thing.head().line, lists: vec![("out_of_service", at)], columns: &POINTERS })
}

fn out_of_service(
    cells: &mut Cells<'_>,
    thing: &Thing<'_>,
    there: Option<&MouldGroup>,
) -> (Vec<u64>, Vec<OutOfService>) {
    let known = there.map(|g| g.out_of_service.as_slice()).unwrap_or_default();
    if !OUT.iter().any(|column| cells.grid.has(column)) {
        return (Vec::new(), known.to_vec());
    }
    let mut found = Vec::new();
    for row in &thing.rows {
        let mut cells = cells.on(row);
        if !OUT.iter().all(|column| cells.is_blank(column)) {
            found.extend(one(&mut cells, known).map(|out| (row.line, out)));
        }
    }
    found.into_iter().unzip()
}

fn one(cells: &mut Cells<'_>, known: &[OutOfService]) -> Option<OutOfService> {
    let (from, to) = (cells.given("out_from", Cells::day), cells.given("out_to", Cells::day));
    let moulds = cells.given("out_moulds", Cells::whole);
    let reason = cells.given("out_reason", Cells::text);
    let which = if cells.grid.has("out_which") { Some(which(cells)) } else { None };
    let mut out = OutOfService { from: from?, to: to?, moulds: moulds?, which: Vec::new(), reason: reason? };
    // A file without the numbers keeps those of the same time.
    let same = |one: &&OutOfService| OutOfService { which: Vec::new(), ..(*one).clone() } == out;
    out.which = which.unwrap_or_else(|| known.iter().find(same).map(|one| one.which.clone()).unwrap_or_default());
    Some(out)
}

/// The moulds' numbers, parted by blanks.
fn which(cells: &mut Cells<'_>) -> Vec<i64> {
    let text = cells.text("out_which").unwrap_or_default();
    let numbers: Result<Vec<i64>, _> = text.split_whitespace().map(str::parse).collect();
    numbers.unwrap_or_else(|_| {
        cells.wrong("out_which", "is no list of numbers: give the moulds' numbers with blanks between them, as 3 7");
        Vec::new()
    })
}
