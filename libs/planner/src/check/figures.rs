//! The four figures, and whether the plan says the same.

use std::collections::{BTreeMap, BTreeSet};

use workshop::documents::plan::Figures;

use super::promises::Late;
use super::sheet::{Count, Sheet};
use super::{Broken, Rule, tell};

/// `paid`: minor units for materials, washouts and keeping panels, not rounded.
pub(super) fn check(sheet: &Sheet, paid: f64, late: &Late, broken: &mut Vec<Broken>) -> Figures {
    let is = Figures {
        order_days_late: late.order_days,
        panel_days_late: late.panel_days,
        material_cost: (paid + put_off(sheet)).round() as i64,
        changes: changes(sheet),
    };
    let says = sheet.plan.figures;
    let mut compare = |name: &str, says: f64, is: f64, slack: f64| {
        let close = (says - is).abs() <= slack;
        if !close {
            tell(broken, Rule::Figures, name, format!("the plan says {says}, it is {is}"));
        }
    };
    let relative = |value: f64| 1e-6 * value.abs().max(1.0);
    compare("order_days_late", says.order_days_late, is.order_days_late, relative(is.order_days_late));
    compare("panel_days_late", says.panel_days_late, is.panel_days_late, relative(is.panel_days_late));
    compare("material_cost", says.material_cost as f64, is.material_cost as f64, 1.0);
    compare("changes", says.changes as f64, is.changes as f64, relative(is.changes as f64));
    is
}

/// Panels ordered beyond stock, lots and pours are put off, not saved: priced at the dearest mix that would do.
fn put_off(sheet: &Sheet) -> f64 {
    let mut have: BTreeMap<(&str, &str), Count> = BTreeMap::new();
    for stock in &sheet.facts.ready_stock {
        *have.entry((&stock.panel, &stock.finish)).or_default() += Count::from(stock.quantity);
    }
    for lot in sheet.lots() {
        *have.entry((&lot.panel, &sheet.mixes[lot.mix.as_str()].finish)).or_default() += Count::from(lot.quantity);
    }
    for (_, pour) in &sheet.pours {
        *have.entry((&pour.panel, &sheet.mixes[pour.mix.as_str()].finish)).or_default() += Count::from(pour.quantity);
    }
    let mut ordered: BTreeMap<(&str, &str), Count> = BTreeMap::new();
    for line in sheet.facts.orders.iter().flat_map(|order| &order.lines) {
        *ordered.entry((&line.panel, &line.finish)).or_default() += Count::from(line.quantity);
    }
    let price = |of: &BTreeMap<String, f64>| {
        let each = |(id, quantity): (&String, &f64)| {
            sheet.materials.get(id.as_str()).map(|m| quantity * m.pack_price / m.pack)
        };
        of.iter().filter_map(each).sum::<f64>()
    };
    let mut cost = 0.0;
    for ((panel, finish), ordered) in ordered {
        let missing = ordered - have.get(&(panel, finish)).copied().unwrap_or(0);
        let Some(panel) = sheet.panels.get(panel).filter(|_| missing > 0) else { continue };
        let suits =
            panel.mixes.iter().filter_map(|mix| sheet.mixes.get(mix.as_str())).filter(|mix| mix.finish == finish);
        if let Some(dearest) = suits.map(|mix| price(&mix.per_litre)).reduce(f64::max) {
            cost += missing as f64 * (panel.litres * dearest + price(&panel.per_panel));
        }
    }
    cost
}

/// Panels poured otherwise than published on the next steady days.
fn changes(sheet: &Sheet) -> i64 {
    if sheet.facts.published.is_empty() {
        return 0;
    }
    let near: BTreeSet<_> = sheet.days.iter().take(sheet.facts.policy.steady_days.max(0) as usize).collect();
    let mut difference: BTreeMap<_, Count> = BTreeMap::new();
    for pour in &sheet.facts.published {
        *difference.entry((pour.day, &pour.panel, &pour.mix)).or_insert(0) -= Count::from(pour.quantity);
    }
    for (_, pour) in &sheet.pours {
        *difference.entry((pour.day, &pour.panel, &pour.mix)).or_insert(0) += Count::from(pour.quantity);
    }
    let near = difference.iter().filter(|((day, _, _), _)| near.contains(day));
    let sum: Count = near.map(|(_, change)| change.abs()).sum();
    i64::try_from(sum).unwrap_or(i64::MAX)
}
