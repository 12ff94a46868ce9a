//! Which of the plan's deliveries nobody has ordered yet.

use std::collections::{BTreeMap, BTreeSet};

use crate::catalogue::Amount;
use crate::documents::{Facts, Plan, plan};
use crate::ids::DeliveryId;
use crate::stock::Delivery;

/// The plan's deliveries less those `since` its facts were read, on their way or here by now, by number: the earliest are
/// taken as ordered first.
pub fn still_to_order(facts: &Facts, plan: &Plan, since: &[Delivery]) -> Vec<plan::Delivery> {
    let mut ordered = ordered(facts, since);
    let mut wanted = plan.deliveries.clone();
    wanted.sort();
    for delivery in &mut wanted {
        let Some(left) = ordered.get_mut(&delivery.material) else { continue };
        let taken = delivery.packs.min(*left);
        delivery.packs -= taken;
        *left -= taken;
    }
    wanted.retain(|d| d.packs > 0);
    wanted
}

/// Packs of each material, of the size the facts know, to the nearest whole pack.
fn ordered(facts: &Facts, since: &[Delivery]) -> BTreeMap<String, i64> {
    let mut amounts: BTreeMap<String, (i64, f64)> = BTreeMap::new();
    for delivery in newly_ordered(since) {
        let of_facts = facts.materials.iter().find(|m| m.id == delivery.material.as_str()).map(|m| m.pack);
        let pack = of_facts.unwrap_or(delivery.pack.get() as f64).max(1.0);
        // What came of it, or all of it while it is on its way: what is still to come of a part has a delivery of its own.
        let amount = delivery.received.unwrap_or_else(|| delivery.ordered());
        let sum = amounts.entry(delivery.material.to_string()).or_insert((0, pack));
        sum.0 += Amount::get(amount);
    }
    amounts.into_iter().map(|(material, (amount, pack))| (material, (amount as f64 / pack).round() as i64)).collect()
}

/// The rest of a delivery that was known before is known before, too.
fn newly_ordered(since: &[Delivery]) -> Vec<&Delivery> {
    let mut new: BTreeSet<DeliveryId> = BTreeSet::new();
    since.iter().filter(|d| d.rest_of.is_none_or(|of| new.contains(&of)) && new.insert(d.id)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planning::example::{day, snapshot};
    use crate::stock::DeliveryState;

    fn on_its_way(id: i64, packs: i64) -> Delivery {
        Delivery {
            id: DeliveryId::new(id),
            material: snapshot().materials[0].id.clone(),
            packs,
            pack: Amount::new(25_000),
            expected_on: day("2026-05-11"),
            state: DeliveryState::OnItsWay,
            arrived_on: None,
            received: None,
            rest_of: None,
            said: Default::default(),
        }
    }

    fn here(id: i64, packs: i64, received: i64) -> Delivery {
        let (state, arrived_on) = (DeliveryState::Here, Some(day("2026-05-04")));
        Delivery { state, arrived_on, received: Some(Amount::new(received)), ..on_its_way(id, packs) }
    }

    fn rest(id: i64, packs: i64, of: i64) -> Delivery {
        Delivery { rest_of: Some(DeliveryId::new(of)), ..on_its_way(id, packs) }
    }

    /// What is left of 3 packs on the 12th and 4 on the 20th.
    fn left(since: &[Delivery]) -> Vec<(&'static str, i64)> {
        let facts = crate::planning::facts_from(&snapshot(), day("2026-05-04"), false).unwrap();
        let want = |arrives: &str, packs| plan::Delivery { arrives: day(arrives), material: "cement".into(), packs };
        let plan = Plan { deliveries: vec![want("2026-05-20", 4), want("2026-05-12", 3)], ..Plan::default() };
        let left = still_to_order(&facts, &plan, since);
        left.iter().map(|d| (if d.arrives == day("2026-05-12") { "12th" } else { "20th" }, d.packs)).collect()
    }

    #[test]
    fn the_earliest_are_the_ones_ordered() {
        assert_eq!(left(&[]), [("12th", 3), ("20th", 4)]);
        assert_eq!(left(&[on_its_way(1, 3), on_its_way(2, 1)]), [("20th", 3)]);
        assert_eq!(left(&[on_its_way(1, 9)]), []);
    }

    #[test]
    fn what_was_ordered_stays_ordered_on_the_day_it_comes() {
        assert_eq!(left(&[here(1, 3, 75_000)]), [("20th", 4)]);
        // Two of three packs came: one is wanted still, unless it comes later.
        assert_eq!(left(&[here(1, 3, 50_000)]), [("12th", 1), ("20th", 4)]);
        assert_eq!(left(&[here(1, 3, 50_000), rest(2, 1, 1)]), [("20th", 4)]);
    }

    #[test]
    fn the_rest_of_what_the_plan_knew_of_is_not_ordered_anew() {
        assert_eq!(left(&[rest(8, 2, 3), rest(9, 1, 8)]), [("12th", 3), ("20th", 4)]);
    }
}
