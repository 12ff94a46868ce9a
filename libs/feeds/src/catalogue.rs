//! Materials, mould groups and panels as tables; an import takes the same columns.
//!
//! What has lists in it goes on in the rows below, under the same id: the first row has the first entry of each list, the
//! next row the second, and so on. What belongs to the whole stands on every row.

use workshop::catalogue::{Amount, Material, MouldGroup, Panel, StockUnit};

use crate::ledger::Units;
use crate::table::{Cell, Table};
use crate::words;

/// Columns of materials.
pub const MATERIALS: [&str; 15] = [
    "material",
    "name",
    "kind",
    "unit",
    "relative_density",
    "supply",
    "floor_in_unit",
    "pack_in_unit",
    "pack_price_minor",
    "lead_days",
    "delivery_charge_minor",
    "store_max_in_unit",
    "break_from_packs",
    "break_pack_price_minor",
    "keep_days",
];

/// Columns of mould groups.
pub const MOULD_GROUPS: [&str; 10] = [
    "mould_group",
    "name",
    "moulds",
    "turnaround_days",
    "out_from",
    "out_to",
    "out_moulds",
    "out_reason",
    "life_uses",
    "out_which",
];

/// Columns of panels.
pub const PANELS: [&str; 16] = [
    "panel",
    "name",
    "length_mm",
    "height_mm",
    "thickness_mm",
    "voids_ml",
    "mould_group",
    "pour_min",
    "strip_min",
    "lift_min",
    "suits_mix",
    "suits_reason",
    "tank",
    "per_panel_material",
    "per_panel_in_unit",
    "pass_rate",
];

/// As many rows as the longest list has entries, one at least.
fn rows(lists: &[usize]) -> std::ops::Range<usize> {
    0..lists.iter().copied().max().unwrap_or(0).max(1)
}

fn amount(amount: Amount, unit: StockUnit) -> Cell {
    Cell::Amount(amount.get(), unit)
}

/// Materials in the order given.
pub fn materials<'a>(materials: impl IntoIterator<Item = &'a Material>) -> Table {
    let mut table = Table::new("materials", &MATERIALS);
    for m in materials {
        for at in rows(&[m.price_breaks.len()]) {
            let step = m.price_breaks.get(at);
            table.row(vec![
                Cell::id(&m.id),
                Cell::text(&m.name),
                Cell::text(words::material_kind(m.kind)),
                Cell::Unit(m.unit),
                Cell::maybe(m.relative_density, |density| Cell::Decimal(density, 4)),
                Cell::text(words::supply(m.supply)),
                amount(m.floor, m.unit),
                amount(m.pack, m.unit),
                Cell::Whole(m.pack_price.get()),
                Cell::Whole(m.lead_days),
                Cell::Whole(m.delivery_charge.get()),
                Cell::maybe(m.store_max, |most| amount(most, m.unit)),
                Cell::maybe(step, |step| Cell::Whole(step.from_packs)),
                Cell::maybe(step, |step| Cell::Whole(step.pack_price.get())),
                Cell::maybe(m.keep_days, Cell::Whole),
            ]);
        }
    }
    table
}

/// Mould groups in the order given.
pub fn mould_groups<'a>(groups: impl IntoIterator<Item = &'a MouldGroup>) -> Table {
    let mut table = Table::new("mould_groups", &MOULD_GROUPS);
    for group in groups {
        for at in rows(&[group.out_of_service.len()]) {
            let out = group.out_of_service.get(at);
            table.row(vec![
                Cell::id(&group.id),
                Cell::text(&group.name),
                Cell::Whole(group.moulds),
                Cell::Whole(group.turnaround_days),
                Cell::maybe(out, |out| Cell::Day(out.from)),
                Cell::maybe(out, |out| Cell::Day(out.to)),
                Cell::maybe(out, |out| Cell::Whole(out.moulds)),
                Cell::maybe(out, |out| Cell::text(&out.reason)),
                Cell::maybe(group.life_uses, Cell::Whole),
                Cell::maybe(out.filter(|out| !out.which.is_empty()), |out| Cell::id(numbers(&out.which))),
            ]);
        }
    }
    table
}

/// Moulds' numbers, parted by blanks.
fn numbers(which: &[i64]) -> String {
    which.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// Panels in the order given. `units` says what each material is counted in.
pub fn panels<'a>(panels: impl IntoIterator<Item = &'a Panel>, units: &Units) -> Table {
    let mut table = Table::new("panels", &PANELS);
    for p in panels {
        for at in rows(&[p.suits.len(), p.tanks.len(), p.per_panel.len()]) {
            let (suit, extra) = (p.suits.get(at), p.per_panel.get(at));
            table.row(vec![
                Cell::id(&p.id),
                Cell::text(&p.name),
                Cell::Whole(p.length.get()),
                Cell::Whole(p.height.get()),
                Cell::Whole(p.thickness.get()),
                Cell::Whole(p.voids.get()),
                Cell::id(&p.mould_group),
                Cell::Whole(p.pour_minutes.get()),
                Cell::Whole(p.strip_minutes.get()),
                Cell::Whole(p.lift_minutes.get()),
                Cell::maybe(suit, |suit| Cell::id(&suit.revision)),
                Cell::maybe(suit, |suit| Cell::text(&suit.reason)),
                Cell::maybe(p.tanks.get(at), Cell::id),
                Cell::maybe(extra, |extra| Cell::id(&extra.material)),
                Cell::maybe(extra, |extra| match units.get(&extra.material) {
                    Some(unit) => amount(extra.amount, *unit),
                    None => Cell::Whole(extra.amount.get()),
                }),
                Cell::maybe(p.pass_rate, |rate| Cell::Decimal(rate, 4)),
            ]);
        }
    }
    table
}
