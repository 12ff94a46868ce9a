//! Rule 3: at the end of every working day what is in moulds, tanks and racks has room there. Where lots alone take more
//! than there is, that is no breach, but nothing of the plan may be there beside them.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use workshop::documents::facts::{MouldGroup, Stage};

use super::sheet::{Count, Pair, Sheet};
use super::{Broken, Rule, SLACK, tell};

pub(super) fn check(sheet: &Sheet, broken: &mut Vec<Broken>) {
    moulds(sheet, broken);
    tanks(sheet, broken);
    racks(sheet, broken);
}

/// What passes through a place, by panel and mix.
#[derive(Default)]
struct Passing {
    /// Room one panel takes.
    each: f64,
    /// Lots there at the start.
    lots: Count,
    /// By day.
    came: Vec<Count>,
    went: Vec<Count>,
}

/// Walks the days of one place; `kept` says that what leaves is still counted on the day it leaves.
fn walk(
    sheet: &Sheet,
    place: &str,
    passing: &mut BTreeMap<Pair, Passing>,
    have: impl Fn(usize) -> f64,
    kept: bool,
    broken: &mut Vec<Broken>,
) {
    let mut taken: f64 = passing.values().map(|p| p.each * p.lots as f64).sum();
    for day in 0..sheet.days.len() {
        let lots_before: f64 = passing.values().map(|p| p.each * p.lots as f64).sum();
        let out: f64 = passing.values().map(|p| p.each * p.went[day] as f64).sum();
        let into: f64 = passing.values().map(|p| p.each * p.came[day] as f64).sum();
        // The oldest go first, so lots leave before anything the plan brought.
        passing.values_mut().for_each(|p| p.lots = (p.lots - p.went[day]).max(0));
        let lots_after: f64 = passing.values().map(|p| p.each * p.lots as f64).sum();
        taken += into - out;
        let (counted, lots) = if kept { (taken + out, lots_before) } else { (taken, lots_after) };
        let most = have(day).max(lots);
        if counted > most + SLACK {
            let sentence = format!("{counted} taken of {most}");
            tell(broken, Rule::Room, format!("{place} on {}", sheet.days[day]), sentence);
        }
    }
}

/// Moulds of a group in service on a day, whatever numbers the facts give.
fn in_service(group: &MouldGroup, day: Day) -> Count {
    let out = group.out_of_service.iter().filter(|out| (out.from..=out.to).contains(&day));
    Count::from(group.moulds) - out.map(|out| Count::from(out.moulds)).sum::<Count>()
}

fn moulds(sheet: &Sheet, broken: &mut Vec<Broken>) {
    let (poured, stripped) = (sheet.poured(), sheet.stripped());
    let days = sheet.days.len();
    for group in &sheet.facts.mould_groups {
        let mut passing: BTreeMap<Pair, Passing> = BTreeMap::new();
        let mine = |pair: &Pair| sheet.panels[pair.0].mould_group == group.id;
        let fresh = || Passing { each: 1.0, lots: 0, came: vec![0; days], went: vec![0; days] };
        for lot in sheet.lots().filter(|lot| lot.stage == Stage::InMould) {
            let pair = (lot.panel.as_str(), lot.mix.as_str());
            if mine(&pair) {
                passing.entry(pair).or_insert_with(fresh).lots += Count::from(lot.quantity);
            }
        }
        for (pair, counts) in poured.iter().filter(|(pair, _)| mine(pair)) {
            passing.entry(*pair).or_insert_with(fresh).came.clone_from(counts);
        }
        for (pair, counts) in stripped.iter().filter(|(pair, _)| mine(pair)) {
            passing.entry(*pair).or_insert_with(fresh).went.clone_from(counts);
        }
        let have = |day: usize| in_service(group, sheet.days[day]) as f64;
        let place = format!("mould group \"{}\"", group.id);
        walk(sheet, &place, &mut passing, have, group.turnaround_days == 1, broken);
    }
}

fn tanks(sheet: &Sheet, broken: &mut Vec<Broken>) {
    let named = sheet.facts.tanks.iter().map(|tank| (Some(tank.id.as_str()), tank.mm));
    // Panels that go through no tank at all must leave on the day they come: there is no room there overnight.
    for (tank, mm) in named.chain([(None, 0.0)]) {
        let mut passing: BTreeMap<Pair, Passing> = BTreeMap::new();
        let fresh = |pair: &Pair| Passing {
            each: if tank.is_some() { sheet.panels[pair.0].tank_mm } else { 1.0 },
            lots: 0,
            came: vec![0; sheet.days.len()],
            went: vec![0; sheet.days.len()],
        };
        for lot in sheet.lots().filter(|lot| lot.stage == Stage::Soaking && sheet.tank(&lot.tank) == tank) {
            let pair = (lot.panel.as_str(), lot.mix.as_str());
            passing.entry(pair).or_insert_with(|| fresh(&pair)).lots += Count::from(lot.quantity);
        }
        for (day, strip) in sheet.strips.iter().filter(|(_, strip)| sheet.tank(&strip.tank) == tank) {
            let pair = (strip.panel.as_str(), strip.mix.as_str());
            passing.entry(pair).or_insert_with(|| fresh(&pair)).came[*day] += Count::from(strip.quantity);
        }
        for (day, lift) in sheet.lifts.iter().filter(|(_, lift)| sheet.tank(&lift.tank) == tank) {
            let pair = (lift.panel.as_str(), lift.mix.as_str());
            passing.entry(pair).or_insert_with(|| fresh(&pair)).went[*day] += Count::from(lift.quantity);
        }
        let place = tank.map_or("no tank".to_owned(), |id| format!("tank \"{id}\""));
        walk(sheet, &place, &mut passing, |_| mm, false, broken);
    }
}

fn racks(sheet: &Sheet, broken: &mut Vec<Broken>) {
    let days = sheet.days.len();
    for rack in &sheet.facts.racks {
        let mut change = vec![0.0; days + 1];
        let mut lots_leave = vec![0.0; days + 1];
        let (mut taken, mut lots) = (0.0, 0.0);
        for lot in sheet.lots().filter(|lot| lot.stage == Stage::Drying) {
            if sheet.rack(&lot.rack) == Some(&rack.id) {
                let mm = lot.quantity as f64 * sheet.panels[lot.panel.as_str()].rack_mm;
                let day = sheet.after(lot.since, sheet.mixes[lot.mix.as_str()].dry_days);
                taken += mm;
                lots += mm;
                change[day] -= mm;
                lots_leave[day] += mm;
            }
        }
        for (day, lift) in &sheet.lifts {
            if sheet.rack(&lift.rack) == Some(&rack.id) {
                let mm = lift.quantity as f64 * sheet.panels[lift.panel.as_str()].rack_mm;
                change[*day] += mm;
                change[sheet.after(lift.day, sheet.mixes[lift.mix.as_str()].dry_days)] -= mm;
            }
        }
        for (day, date) in sheet.days.iter().enumerate() {
            taken += change[day];
            lots -= lots_leave[day];
            let most = rack.mm.max(lots);
            if taken > most + SLACK {
                let sentence = format!("{taken} mm taken of {most} mm");
                tell(broken, Rule::Room, format!("rack \"{}\" on {date}", rack.id), sentence);
            }
        }
    }
}
