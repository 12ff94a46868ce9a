//! Rule 2: panels stay their time in mould, tank and rack, oldest first, and go into a tank that fits them.

use std::collections::BTreeMap;

use workshop::documents::facts::Stage;

use super::sheet::{Count, Pair, Sheet};
use super::{Broken, Rule, tell};

/// Panels that come ready, by panel and finish and day.
pub(super) type Arrivals<'a> = BTreeMap<(&'a str, &'a str), Vec<Count>>;

/// Counts by key and day.
type Counts<K> = BTreeMap<K, Vec<Count>>;

fn add<K: Ord>(counts: &mut Counts<K>, days: usize, key: K, day: usize, quantity: i64) {
    let of_key = counts.entry(key).or_insert_with(|| vec![0; days]);
    if let Some(count) = of_key.get_mut(day) {
        *count += Count::from(quantity);
    }
}

pub(super) fn check<'a>(sheet: &'a Sheet<'a>, broken: &mut Vec<Broken>) -> Arrivals<'a> {
    let days = sheet.days.len();
    let (mut may_strip, mut may_lift) = (Counts::new(), Counts::new());
    let mut arrivals = Arrivals::new();
    for stock in &sheet.facts.ready_stock {
        add(&mut arrivals, days, (stock.panel.as_str(), stock.finish.as_str()), 0, stock.quantity);
    }
    for lot in sheet.lots() {
        let (mix, pair) = (sheet.mixes[lot.mix.as_str()], (lot.panel.as_str(), lot.mix.as_str()));
        let free = |stay: i64| sheet.after(lot.since, stay);
        match lot.stage {
            Stage::InMould => add(&mut may_strip, days, pair, free(mix.hold_when_poured_on(lot.since)), lot.quantity),
            Stage::Soaking => {
                let place = (pair, sheet.tank(&lot.tank));
                add(&mut may_lift, days, place, free(lot.soak_days(mix)), lot.quantity);
            }
            Stage::Drying => {
                add(&mut arrivals, days, (pair.0, mix.finish.as_str()), free(mix.dry_days), lot.quantity);
            }
        }
    }
    for (_, pour) in &sheet.pours {
        let mix = sheet.mixes[pour.mix.as_str()];
        let ripe = sheet.after(pour.day, mix.hold_when_poured_on(pour.day));
        add(&mut may_strip, days, (pour.panel.as_str(), pour.mix.as_str()), ripe, pour.quantity);
    }
    let mut lifted = Counts::new();
    strips(sheet, &mut may_lift, broken);
    lifts(sheet, &mut lifted, &mut arrivals, broken);
    let in_moulds = |(panel, mix): &Pair| format!("{panel} in {mix}");
    not_before(sheet, "stripped", &sheet.stripped(), &may_strip, in_moulds, broken);
    let in_tank = |((panel, mix), tank): &InTank| match tank {
        Some(tank) => format!("{panel} in {mix} in tank \"{tank}\""),
        None => format!("{panel} in {mix} in no tank"),
    };
    not_before(sheet, "lifted", &lifted, &may_lift, in_tank, broken);
    arrivals
}

type InTank<'a> = (Pair<'a>, Option<&'a str>);

fn strips<'a>(sheet: &'a Sheet<'a>, may_lift: &mut Counts<InTank<'a>>, broken: &mut Vec<Broken>) {
    for (day, strip) in &sheet.strips {
        let (panel, mix) = (sheet.panels[strip.panel.as_str()], sheet.mixes[strip.mix.as_str()]);
        let tank = sheet.tank(&strip.tank);
        let place = format!("strip of {} in {} on {}", strip.panel, strip.mix, strip.day);
        let named = panel.tanks.as_ref().filter(|tanks| !tanks.is_empty());
        match tank {
            None if mix.soak_days > 0 => tell(broken, Rule::Passage, place, "it has to soak and no tank is named"),
            None => {}
            Some(id) if !sheet.facts.tanks.iter().any(|t| t.id == id) => {
                tell(broken, Rule::Passage, place, format!("the facts know no tank \"{id}\""));
            }
            Some(id) if named.is_some_and(|tanks| !tanks.iter().any(|t| t == id)) => {
                tell(broken, Rule::Passage, place, format!("the panel does not fit tank \"{id}\""));
            }
            Some(_) => {}
        }
        let soaked = sheet.after(sheet.days[*day], mix.soak_days);
        let key = ((strip.panel.as_str(), strip.mix.as_str()), tank);
        add(may_lift, sheet.days.len(), key, soaked, strip.quantity);
    }
}

fn lifts<'a>(
    sheet: &'a Sheet<'a>,
    lifted: &mut Counts<InTank<'a>>,
    arrivals: &mut Arrivals<'a>,
    broken: &mut Vec<Broken>,
) {
    for (day, lift) in &sheet.lifts {
        let mix = sheet.mixes[lift.mix.as_str()];
        let key = ((lift.panel.as_str(), lift.mix.as_str()), sheet.tank(&lift.tank));
        add(lifted, sheet.days.len(), key, *day, lift.quantity);
        let rack = sheet.rack(&lift.rack);
        let known = rack.is_some_and(|id| sheet.facts.racks.iter().any(|r| r.id == id));
        if !known && (rack.is_some() || mix.dry_days > 0) {
            let place = format!("lift of {} in {} on {}", lift.panel, lift.mix, lift.day);
            tell(broken, Rule::Passage, place, "it names no rack that the facts know");
        }
        let ready = sheet.after(sheet.days[*day], mix.dry_days);
        add(arrivals, sheet.days.len(), (lift.panel.as_str(), mix.finish.as_str()), ready, lift.quantity);
    }
}

fn not_before<K: Ord>(
    sheet: &Sheet,
    what: &str,
    done: &Counts<K>,
    may: &Counts<K>,
    place: impl Fn(&K) -> String,
    broken: &mut Vec<Broken>,
) {
    for (key, done) in done {
        let (mut sum, mut most): (Count, Count) = (0, 0);
        for day in 0..sheet.days.len() {
            sum += done[day];
            most += may.get(key).map_or(0, |may| may[day]);
            if sum > most {
                let sentence = format!("{sum} are {what} by {}, only {most} could be", sheet.days[day]);
                tell(broken, Rule::Passage, place(key), sentence);
                break;
            }
        }
    }
}
