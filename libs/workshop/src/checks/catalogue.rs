//! Faults of finishes, sets, mould groups, tanks and racks.

use super::found::Found;
use crate::Fault;
use crate::catalogue::{Finish, MouldGroup, PanelSet, Rack, Rows, ScrapCause, Tank};

/// Every fault of a finish.
pub fn finish_faults(finish: &Finish) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &finish.name);
    found.whole("/darkness_percent", finish.darkness, 0..=100);
    found.all()
}

/// Every fault of a cause of scrap.
pub fn scrap_cause_faults(cause: &ScrapCause) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &cause.name);
    found.all()
}

/// Every fault of a set.
pub fn set_faults(set: &PanelSet) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &set.name);
    found.ensure(!set.panels.is_empty(), "/panels", || "is empty: a set has one panel at least".to_owned());
    for (index, (_, quantity)) in set.panels.iter().enumerate() {
        found.whole(&format!("/panels/{index}/quantity"), *quantity, 1..=1000);
    }
    for (index, (_, quantity)) in set.hardware.iter().enumerate() {
        found.whole(&format!("/hardware/{index}/quantity"), quantity.get(), 1..=1000);
    }
    found.distinct(set.panels.iter().map(|(panel, _)| panel), |i| format!("/panels/{i}/panel"));
    found.distinct(set.hardware.iter().map(|(material, _)| material), |i| format!("/hardware/{i}/material"));
    found.all()
}

/// Every fault of a mould group.
pub fn mould_group_faults(group: &MouldGroup) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &group.name);
    found.whole("/moulds", group.moulds, 0..=10_000);
    found.whole("/turnaround_days", group.turnaround_days, 0..=1);
    if let Some(life) = group.life_uses {
        found.whole("/life_uses", life, 1..=1_000_000);
    }
    for (index, missing) in group.out_of_service.iter().enumerate() {
        let at = |field: &str| format!("/out_of_service/{index}/{field}");
        found.day(&at("from"), missing.from);
        found.day(&at("to"), missing.to);
        found.ensure(missing.from <= missing.to, at("to"), || {
            format!("{} is before the first day, {}: give that day or a later one", missing.to, missing.from)
        });
        found.whole(&at("moulds"), missing.moulds, 1..=10_000);
        found.ensure(missing.moulds <= group.moulds, at("moulds"), || {
            format!("{} are more than the group has: give at most {}", missing.moulds, group.moulds)
        });
        for (place, number) in missing.which.iter().enumerate() {
            found.whole(&at(&format!("which/{place}")), *number, 1..=group.moulds.max(1));
        }
        found.distinct(missing.which.iter(), |place| at(&format!("which/{place}")));
        let named = i64::try_from(missing.which.len()).unwrap_or(i64::MAX);
        found.ensure(named <= missing.moulds, at("which"), || {
            format!("names {named} moulds, and {} are missing: name as many at most", missing.moulds)
        });
        found.name(&at("reason"), &missing.reason);
    }
    found.all()
}

/// Every fault of a tank.
pub fn tank_faults(tank: &Tank) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &tank.name);
    rows(tank.rows, &tank.row_names, &mut found);
    found.whole("/depth_mm", tank.depth.get(), 1..=100_000);
    found.whole("/width_mm", tank.width.get(), 1..=100_000);
    found.all()
}

/// Every fault of a rack.
pub fn rack_faults(rack: &Rack) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &rack.name);
    rows(rack.rows, &rack.row_names, &mut found);
    found.all()
}

fn rows(rows: Rows, names: &[String], found: &mut Found) {
    found.whole("/rows", rows.count, 0..=1000);
    found.whole("/usable_row_mm", rows.usable.get(), 0..=100_000);
    let named = i64::try_from(names.len()).unwrap_or(i64::MAX);
    found.ensure(named == 0 || named == rows.count, "/row_names", || {
        format!("names {named} rows, and there are {}: name each of them, or none", rows.count)
    });
    for (index, name) in names.iter().enumerate() {
        let at = format!("/row_names/{index}");
        found.name(&at, name);
        found.ensure(!name.contains('\n'), at, || "has a line break in it: write it on one line".to_owned());
    }
    found.distinct(names.iter(), |index| format!("/row_names/{index}"));
}
