//! What it costs to keep panels: each from the day it could be ready, whether it then waits in mould, tank or store, until it is
//! given and its order is due; what is given to nobody, to the last day.

use std::collections::BTreeMap;

use chrono::Duration;
use workshop::documents::facts::{Mix, Order, Stage};

use super::sheet::Sheet;

/// Minor units, not rounded.
pub(super) fn price(sheet: &Sheet) -> f64 {
    if sheet.facts.panels.iter().all(|panel| panel.keep_price == 0.0) {
        return 0.0;
    }
    let each = |panel: &str| sheet.panels.get(panel).map_or(0.0, |panel| panel.keep_price);
    let mut sum = 0.0;
    for stock in &sheet.facts.ready_stock {
        sum += stock.quantity as f64 * each(&stock.panel) * nights(sheet, 0);
    }
    for lot in sheet.lots() {
        let mix = sheet.mixes[lot.mix.as_str()];
        let ready = match lot.stage {
            Stage::InMould => stripped(sheet, mix, sheet.after(lot.since, mix.hold_when_poured_on(lot.since))),
            Stage::Soaking => lifted(sheet, mix, sheet.after(lot.since, lot.soak_days(mix))),
            Stage::Drying => sheet.after(lot.since, mix.dry_days),
        };
        sum += lot.quantity as f64 * each(&lot.panel) * nights(sheet, ready);
    }
    for (_, pour) in &sheet.pours {
        let mix = sheet.mixes[pour.mix.as_str()];
        let ready = stripped(sheet, mix, sheet.after(pour.day, mix.hold_when_poured_on(pour.day)));
        sum += pour.quantity as f64 * each(&pour.panel) * nights(sheet, ready);
    }
    let orders: BTreeMap<&str, &Order> = sheet.facts.orders.iter().map(|order| (order.id.as_str(), order)).collect();
    for result in &sheet.plan.orders {
        let Some(order) = orders.get(result.id.as_str()) else { continue };
        // The last working day that is not late, if there is one.
        let due = sheet.days.partition_point(|day| *day <= order.due_on).saturating_sub(1);
        for met in &result.met {
            let Some(day) = sheet.index(met.day).filter(|_| met.quantity >= 1) else { continue };
            sum -= met.quantity as f64 * each(&met.panel) * nights(sheet, day.max(due));
        }
    }
    sum
}

/// Number of the day panels stripped on a day are ready, if they never wait.
fn stripped(sheet: &Sheet, mix: &Mix, on: usize) -> usize {
    sheet.days.get(on).map_or(sheet.days.len(), |day| lifted(sheet, mix, sheet.after(*day, mix.soak_days)))
}

/// The same for panels lifted.
fn lifted(sheet: &Sheet, mix: &Mix, on: usize) -> usize {
    sheet.days.get(on).map_or(sheet.days.len(), |day| sheet.after(*day, mix.dry_days))
}

/// Nights from a working day to the last day of the horizon.
fn nights(sheet: &Sheet, from: usize) -> f64 {
    let between = |day: &chrono::NaiveDate| (sheet.facts.last_day - *day).max(Duration::zero()).num_days();
    sheet.days.get(from).map_or(0.0, |day| between(day) as f64)
}
