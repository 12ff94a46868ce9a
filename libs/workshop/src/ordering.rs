//! What to order: the deliveries the plan in force still wants, each with what it costs and the last day to order it.

use chrono::{Days, NaiveDate as Day};
use quantities::MinorUnits;

use crate::catalogue::{Material, Supply};
use crate::planning::WorkCalendar;
use crate::projection::{Known, spoken};

/// What a delivery of so many packs costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Price {
    /// Packs.
    pub packs: i64,
    /// Price of each pack.
    pub pack: MinorUnits,
    /// The price break that gives it, by its fewest packs; none at the usual price.
    pub from_packs: Option<i64>,
    /// Charge for the delivery.
    pub charge: MinorUnits,
    /// Packs and charge together.
    pub total: MinorUnits,
}

/// The price of so many packs in one delivery, at the price break they reach.
pub fn price(material: &Material, packs: i64) -> Price {
    let reached = material.price_breaks.iter().filter(|b| b.from_packs <= packs).max_by_key(|b| b.from_packs);
    let pack = reached.map_or(material.pack_price, |b| b.pack_price);
    let charge = material.delivery_charge;
    let total = MinorUnits::new(pack.get().saturating_mul(packs).saturating_add(charge.get()));
    Price { packs, pack, from_packs: reached.map(|b| b.from_packs), charge, total }
}

/// A delivery to order.
#[derive(Clone, Debug, PartialEq)]
pub struct ToOrder {
    /// Of which material.
    pub material: Material,
    /// What it costs.
    pub price: Price,
    /// Day it is to arrive.
    pub arrives: Day,
    /// Last working day to order it; none where there is none so early.
    pub order_by: Option<Day>,
    /// Whether that day is past: ordered today it comes later than the plan wants.
    pub too_late: bool,
    /// In one sentence.
    pub sentence: String,
}

/// Everything still to order, what is to be ordered first before the rest.
pub fn to_order(known: &Known, materials: &[Material], calendar: &WorkCalendar, today: Day) -> Vec<ToOrder> {
    let mut all = Vec::new();
    for material in materials.iter().filter(|m| m.supply == Supply::Bought) {
        for (arrives, packs) in known.outlook(material).to_order {
            all.push(one(material, packs, arrives, calendar, today));
        }
    }
    all.sort_by(|a, b| (a.order_by, &a.material.id, a.arrives).cmp(&(b.order_by, &b.material.id, b.arrives)));
    all
}

fn one(material: &Material, packs: i64, arrives: Day, calendar: &WorkCalendar, today: Day) -> ToOrder {
    let lead = Days::new(material.lead_days.max(0).unsigned_abs());
    let order_by = arrives.checked_sub_days(lead).and_then(|day| calendar.last_until(day));
    let too_late = order_by.is_none_or(|day| day < today);
    let name = material.name.split(',').next().unwrap_or_default();
    let packs_said = if packs == 1 { "1 pack".to_owned() } else { format!("{packs} packs") };
    let when = match order_by {
        Some(day) if day == today => "today".to_owned(),
        Some(day) if !too_late => format!("by {}", spoken(day)),
        _ => "at once, it is late already".to_owned(),
    };
    let sentence = format!("Order {packs_said} of {name} {when}, for {}.", spoken(arrives));
    ToOrder { material: material.clone(), price: price(material, packs), arrives, order_by, too_late, sentence }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::catalogue::PriceBreak;
    use crate::documents::{Plan, plan};
    use crate::planning::example::{day, snapshot};
    use crate::planning::facts_from;
    use crate::projection::Planned;

    #[test]
    fn a_price_break_counts_from_its_packs_on() {
        // 9.00 a pack, 8.50 from ten, 15.00 for each delivery.
        let breaks = vec![PriceBreak { from_packs: 10, pack_price: MinorUnits::new(850) }];
        let cement = Material { price_breaks: breaks, ..snapshot().materials[0].clone() };
        let of = |packs| {
            let found = price(&cement, packs);
            (found.pack.get(), found.from_packs, found.total.get())
        };
        assert_eq!(of(9), (900, None, 9 * 900 + 1_500));
        assert_eq!(of(10), (850, Some(10), 10 * 850 + 1_500));
    }

    #[test]
    fn what_the_plan_wants_is_listed_by_the_last_day_to_order_it() {
        let snapshot = snapshot();
        let today = day("2026-05-04");
        let facts = facts_from(&snapshot, today, false).unwrap();
        let want = |arrives: &str, packs| plan::Delivery { arrives: day(arrives), material: "cement".into(), packs };
        let plan = Plan { deliveries: vec![want("2026-05-20", 1), want("2026-05-05", 12)], ..Plan::default() };
        let known = Known::new(
            today,
            BTreeMap::new(),
            snapshot.deliveries.clone(),
            Some(Planned { facts: &facts, plan: &plan, since: &[] }),
            None,
        );
        let found = to_order(&known, &snapshot.materials, &snapshot.work_calendar(), today);
        let seen: Vec<_> = found.iter().map(|t| (t.arrives, t.price.packs, t.order_by, t.too_late)).collect();
        // Three days of lead time; Saturday the 2nd is not worked.
        let expected = [
            (day("2026-05-05"), 12, Some(day("2026-05-01")), true),
            (day("2026-05-20"), 1, Some(day("2026-05-15")), false),
        ];
        assert_eq!(seen, expected);
        assert_eq!(found[0].sentence, "Order 12 packs of Cement at once, it is late already, for Tuesday 5 May.");
        assert_eq!(found[1].sentence, "Order 1 pack of Cement by Friday 15 May, for Wednesday 20 May.");
    }
}
