//! Moulds, panels, tanks and racks as facts.

use std::collections::BTreeSet;

use super::Snapshot;
use super::horizon::Horizon;
use super::mixes::{self, litres};
use crate::catalogue::{MouldGroup, Panel, Supply};
use crate::documents::facts;
use crate::ids::MaterialId;

pub(super) fn mould_groups(snapshot: &Snapshot, horizon: Horizon) -> Vec<facts::MouldGroup> {
    let mut table: Vec<facts::MouldGroup> = snapshot.mould_groups.iter().map(|g| mould_group(g, horizon)).collect();
    table.sort_by(|a, b| a.id.cmp(&b.id));
    table
}

fn mould_group(group: &MouldGroup, horizon: Horizon) -> facts::MouldGroup {
    let met = group.out_of_service.iter().filter(|o| o.to >= horizon.first && o.from <= horizon.last);
    facts::MouldGroup {
        id: group.id.to_string(),
        moulds: group.moulds,
        turnaround_days: group.turnaround_days,
        out_of_service: met.map(|o| facts::OutOfService { from: o.from, to: o.to, moulds: o.moulds }).collect(),
    }
}

pub(super) fn panels(snapshot: &Snapshot) -> Vec<facts::Panel> {
    let pourable = mixes::pourable(snapshot);
    let counted: BTreeSet<&MaterialId> =
        snapshot.materials.iter().filter(|m| m.supply != Supply::Mains).map(|m| &m.id).collect();
    let one = |panel: &Panel| {
        let suits: BTreeSet<String> =
            panel.suits.iter().filter(|s| pourable.contains(&s.revision)).map(|s| s.revision.to_string()).collect();
        let drawn = panel.per_panel.iter().filter(|p| counted.contains(&p.material));
        facts::Panel {
            id: panel.id.to_string(),
            mould_group: panel.mould_group.to_string(),
            litres: litres(panel.concrete()),
            tank_mm: (panel.thickness + snapshot.workshop.tank_gap).get() as f64,
            rack_mm: (panel.thickness + snapshot.workshop.rack_gap).get() as f64,
            pour_minutes: panel.pour_minutes.get() as f64,
            strip_minutes: panel.strip_minutes.get() as f64,
            lift_minutes: panel.lift_minutes.get() as f64,
            mixes: suits.into_iter().collect(),
            tanks: (!panel.tanks.is_empty()).then(|| panel.tanks.iter().map(ToString::to_string).collect()),
            per_panel: drawn.map(|p| (p.material.to_string(), p.amount.get() as f64)).collect(),
            pass_rate: panel.pass_rate,
            keep_price: 0.0,
        }
    };
    let mut table: Vec<facts::Panel> = snapshot.panels.iter().map(one).collect();
    table.sort_by(|a, b| a.id.cmp(&b.id));
    table
}

pub(super) fn tanks(snapshot: &Snapshot) -> Vec<facts::Room> {
    rooms(snapshot.tanks.iter().map(|t| (t.id.to_string(), t.rows)))
}

pub(super) fn racks(snapshot: &Snapshot) -> Vec<facts::Room> {
    rooms(snapshot.racks.iter().map(|r| (r.id.to_string(), r.rows)))
}

fn rooms(named: impl Iterator<Item = (String, crate::catalogue::Rows)>) -> Vec<facts::Room> {
    let mut table: Vec<facts::Room> =
        named.map(|(id, rows)| facts::Room { id, mm: rows.total().get() as f64 }).collect();
    table.sort_by(|a, b| a.id.cmp(&b.id));
    table
}
