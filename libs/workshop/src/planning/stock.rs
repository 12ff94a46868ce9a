//! Materials as facts: what is counted, what is on hand, what is on its way, what it costs to get more.

use super::horizon::Horizon;
use super::{Snapshot, today};
use crate::catalogue::{Amount, Material, Supply};
use crate::documents::facts;
use crate::fault::Fault;
use crate::projection::unit_sign;
use chrono::NaiveDate as Day;

/// All counted materials. What the main supplies is left out: there is always enough of it.
pub(super) fn table(
    snapshot: &Snapshot,
    horizon: Horizon,
    today: Day,
    issued: bool,
    faults: &mut Vec<Fault>,
) -> Vec<facts::Material> {
    let drawn = today::draws_of_open_tickets(snapshot, today);
    let counted = snapshot.materials.iter().filter(|m| m.supply != Supply::Mains);
    let mut table: Vec<facts::Material> = counted
        .map(|material| {
            if material.pack.get() <= 0 {
                let detail = format!("a pack of '{}' holds nothing: give its size", material.id);
                faults.push(Fault::at(format!("/materials/{}/pack", material.id), detail));
            }
            let drawn = drawn.get(&material.id).copied().unwrap_or_default();
            one(material, snapshot, horizon, drawn, issued.then_some(today))
        })
        .collect();
    table.sort_by(|a, b| a.id.cmp(&b.id));
    table
}

fn one(
    material: &Material,
    snapshot: &Snapshot,
    horizon: Horizon,
    drawn: Amount,
    day_projected: Option<Day>,
) -> facts::Material {
    let on_its_way = || snapshot.deliveries.iter().filter(|d| d.material == material.id);
    let here_today = |d: &&crate::stock::Delivery| day_projected.is_some_and(|today| today::arrives_today(d, today));
    let arrived: f64 = on_its_way().filter(here_today).map(|d| d.ordered().get() as f64).sum();
    let on_hand = snapshot.on_hand.get(&material.id).copied().unwrap_or_default() - drawn;
    let mut expected: Vec<facts::Expected> = on_its_way()
        .filter(|d| !here_today(d))
        .map(|d| facts::Expected { day: d.expected_on, quantity: d.ordered().get() as f64 })
        .collect();
    expected.sort_by_key(|e| e.day);
    facts::Material {
        id: material.id.to_string(),
        // A ledger below nothing has drawn what it never knew to be there: nothing is left.
        on_hand: (on_hand.get() as f64 + arrived).max(0.0),
        floor: material.floor.get() as f64,
        pack: material.pack.get() as f64,
        pack_price: material.pack_price.get() as f64,
        lead_days: match material.supply {
            // No delivery of what no one sells can fall inside the horizon.
            Supply::NotSold => horizon.length() + 1,
            Supply::Bought | Supply::Mains => material.lead_days,
        },
        delivery_charge: material.delivery_charge.get() as f64,
        store_max: material.store_max.map(|m| m.get() as f64),
        price_breaks: material
            .price_breaks
            .iter()
            .map(|b| facts::PriceBreak { from_packs: b.from_packs, pack_price: b.pack_price.get() as f64 })
            .collect(),
        expected,
        unit: Some(unit_sign(material.unit).to_owned()),
    }
}
