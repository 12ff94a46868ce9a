//! Rules 4 and 5: batches within their limits hold what is poured, the mixer and the day's labour suffice.

use std::collections::BTreeMap;

use super::sheet::Sheet;
use super::{Broken, Rule, SLACK, tell};

/// What is mixed and drawn.
pub(super) struct Mixed<'a> {
    /// By material, then day.
    pub drawn: BTreeMap<&'a str, Vec<f64>>,
    /// Minor units of the washouts, beside their material.
    pub washouts: f64,
}

/// Litres and batches of a mix on a day.
#[derive(Clone, Copy, Default)]
struct OfDay {
    litres: f64,
    batches: i64,
}

pub(super) fn check<'a>(sheet: &Sheet<'a>, broken: &mut Vec<Broken>) -> Mixed<'a> {
    let days = sheet.days.len();
    let mut made: Vec<BTreeMap<&str, OfDay>> = vec![BTreeMap::new(); days];
    for (day, row) in &sheet.batches {
        let mix = sheet.mixes[row.mix.as_str()];
        for litres in &row.litres {
            if *litres >= mix.batch_litres_min - SLACK && *litres <= mix.batch_litres_max + SLACK {
                let of_day = made[*day].entry(row.mix.as_str()).or_default();
                of_day.litres += litres;
                of_day.batches += 1;
            } else {
                let sentence = format!("a batch of {litres} L is outside the mix's limits");
                tell(broken, Rule::Batches, format!("{} on {}", row.mix, row.day), sentence);
            }
        }
    }
    let mut need: BTreeMap<(usize, &str), f64> = BTreeMap::new();
    for (day, pour) in &sheet.pours {
        let litres = pour.quantity as f64 * sheet.panels[pour.panel.as_str()].litres;
        *need.entry((*day, pour.mix.as_str())).or_default() += litres;
    }
    for ((day, mix), litres) in need {
        let mixed = made[day].get(mix).map_or(0.0, |of_day| of_day.litres);
        if litres > mixed + SLACK {
            let sentence = format!("{litres} L are poured of {mixed} L mixed");
            tell(broken, Rule::Batches, format!("{mix} on {}", sheet.days[day]), sentence);
        }
    }
    mixer_and_labour(sheet, &made, broken);
    let of_day = |(day, made): (usize, &BTreeMap<&str, OfDay>)| {
        made.keys().map(|mix| sheet.mixes[mix].washout_price_on(sheet.days[day])).sum::<f64>()
    };
    Mixed { drawn: drawn(sheet, &made), washouts: made.iter().enumerate().map(of_day).sum() }
}

fn mixer_and_labour(sheet: &Sheet, made: &[BTreeMap<&str, OfDay>], broken: &mut Vec<Broken>) {
    let mut minutes = vec![0.0; sheet.days.len()];
    for (day, made) in made.iter().enumerate() {
        let batches: i64 = made.values().map(|of_day| of_day.batches).sum();
        if batches > sheet.facts.mixer_batches {
            let sentence = format!("{batches} batches of {} the mixer manages", sheet.facts.mixer_batches);
            tell(broken, Rule::Batches, format!("mixer on {}", sheet.days[day]), sentence);
        }
        for (mix, of_day) in made {
            let mix = sheet.mixes[mix];
            minutes[day] += of_day.batches as f64 * mix.batch_minutes + mix.washout_minutes;
        }
    }
    let (pours, strips, lifts) = (sheet.poured(), sheet.stripped(), sheet.lifted());
    let each = |what: usize, panel: &str| {
        let panel = sheet.panels[panel];
        [panel.pour_minutes, panel.strip_minutes, panel.lift_minutes][what]
    };
    for (what, counts) in [pours, strips, lifts].iter().enumerate() {
        for ((panel, _), counts) in counts {
            counts.iter().enumerate().for_each(|(day, n)| minutes[day] += *n as f64 * each(what, panel));
        }
    }
    for (day, minutes) in minutes.iter().enumerate() {
        let have = sheet.facts.labour_minutes.on(sheet.days[day]);
        if *minutes > have + SLACK {
            let sentence = format!("{minutes} minutes of work in {have} minutes");
            tell(broken, Rule::Labour, format!("labour on {}", sheet.days[day]), sentence);
        }
    }
}

fn drawn<'a>(sheet: &Sheet<'a>, made: &[BTreeMap<&str, OfDay>]) -> BTreeMap<&'a str, Vec<f64>> {
    let mut drawn: BTreeMap<&str, Vec<f64>> =
        sheet.materials.keys().map(|id| (*id, vec![0.0; sheet.days.len()])).collect();
    let mut draw = |id: &str, day: usize, quantity: f64| {
        if let Some(of_material) = drawn.get_mut(id) {
            of_material[day] += quantity;
        }
    };
    for (day, made) in made.iter().enumerate() {
        for (mix, of_day) in made {
            let mix = sheet.mixes[mix];
            for (material, quantity) in &mix.per_litre {
                draw(material, day, quantity * (of_day.litres + mix.washout_litres));
            }
        }
    }
    for (day, pour) in &sheet.pours {
        for (material, quantity) in &sheet.panels[pour.panel.as_str()].per_panel {
            draw(material, *day, quantity * pour.quantity as f64);
        }
    }
    drawn
}
