//! The form of a stock projection.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::catalogue::Material;
use workshop::ordering::{Price, ToOrder, price};
use workshop::projection as domain;

use super::basics::Id;
use super::catalogue::StockUnit;

/// How long a material lasts. All amounts are in its own unit.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "material": "cement", "name": "Portland cement, 25 kg bags", "unit": "gram", "floor": 50000,
    "sentence": "Portland cement lasts to Thursday 7 May; order 20 packs by Monday 4 May.",
    "first_short_day": "2026-05-08", "order_by": "2026-05-04", "quantity_to_order_packs": 20,
    "price": { "packs": 20, "pack_price_minor": 745, "price_from_packs": 20, "delivery_charge_minor": 1800, "total_minor": 16700 },
    "days": [{ "day": "2026-05-04", "used": 40620, "expected": 0, "to_order": 0, "on_hand": 259380, "on_hand_if_nothing_is_ordered": 259380 }],
}))]
pub struct Projection {
    /// Which material.
    pub material: Id,
    /// Its name.
    pub name: String,
    /// What it is counted in.
    pub unit: StockUnit,
    /// Not to be gone below.
    pub floor: i64,
    /// All of it in one sentence.
    pub sentence: String,
    /// First day whose use would leave less than the floor, if nothing more is ordered.
    pub first_short_day: Option<NaiveDate>,
    /// Last working day to order for it; past means that it comes too late.
    pub order_by: Option<NaiveDate>,
    /// Packs to order by then.
    pub quantity_to_order_packs: i64,
    /// What they cost; null where there is nothing to order.
    pub price: Option<OrderPrice>,
    /// Every day from today to the plan's last.
    pub days: Vec<ProjectedDay>,
}

/// What a delivery costs.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct OrderPrice {
    /// Packs.
    pub packs: i64,
    /// Price of each, minor currency units.
    pub pack_price_minor: i64,
    /// The price break that gives it, by its fewest packs; null at the usual price.
    pub price_from_packs: Option<i64>,
    /// Charge for the delivery, minor currency units.
    pub delivery_charge_minor: i64,
    /// Packs and charge together, minor currency units.
    pub total_minor: i64,
}

impl From<Price> for OrderPrice {
    fn from(price: Price) -> Self {
        Self {
            packs: price.packs,
            pack_price_minor: price.pack.get(),
            price_from_packs: price.from_packs,
            delivery_charge_minor: price.charge.get(),
            total_minor: price.total.get(),
        }
    }
}

/// A delivery to order.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "material": "cement", "name": "Portland cement, 25 kg bags", "arrives_on": "2026-05-07", "order_by": "2026-05-01", "too_late": true,
    "price": { "packs": 20, "pack_price_minor": 745, "price_from_packs": 20, "delivery_charge_minor": 1800, "total_minor": 16700 },
    "sentence": "Order 20 packs of Portland cement at once, it is late already, for Thursday 7 May.",
}))]
pub struct DeliveryToOrder {
    /// Of which material.
    pub material: Id,
    /// Its name.
    pub name: String,
    /// Day it is to arrive by the plan.
    pub arrives_on: NaiveDate,
    /// Last working day to order it; null where there is none so early.
    pub order_by: Option<NaiveDate>,
    /// Whether that day is past: ordered now, it comes later than the plan wants.
    pub too_late: bool,
    /// What it costs.
    pub price: OrderPrice,
    /// In one sentence.
    pub sentence: String,
}

impl From<ToOrder> for DeliveryToOrder {
    fn from(order: ToOrder) -> Self {
        Self {
            material: Id::of(&order.material.id),
            name: order.material.name,
            arrives_on: order.arrives,
            order_by: order.order_by,
            too_late: order.too_late,
            price: order.price.into(),
            sentence: order.sentence,
        }
    }
}

/// One day of a projection.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct ProjectedDay {
    /// Which day.
    pub day: NaiveDate,
    /// Planned use.
    pub used: i64,
    /// Arriving, already on its way.
    pub expected: i64,
    /// Arriving, if it is ordered as planned.
    pub to_order: i64,
    /// On hand at the day's end, if everything is ordered as planned.
    pub on_hand: i64,
    /// On hand at the day's end, if nothing more is ordered.
    pub on_hand_if_nothing_is_ordered: i64,
}

impl Projection {
    /// A material's projection.
    pub fn of(material: &Material, projection: domain::Projection) -> Self {
        let day = |d: domain::ProjectedDay| ProjectedDay {
            day: d.day,
            used: d.used.get(),
            expected: d.expected.get(),
            to_order: d.to_order.get(),
            on_hand: d.on_hand.get(),
            on_hand_if_nothing_is_ordered: d.unordered.get(),
        };
        Self {
            material: Id::of(&material.id),
            name: material.name.clone(),
            unit: material.unit.into(),
            floor: material.floor.get(),
            sentence: projection.sentence,
            first_short_day: projection.first_short_day,
            order_by: projection.order_by,
            quantity_to_order_packs: projection.packs,
            price: (projection.packs > 0).then(|| price(material, projection.packs).into()),
            days: projection.days.into_iter().map(day).collect(),
        }
    }
}
