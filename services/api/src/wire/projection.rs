//! The form of a stock projection.

use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use workshop::catalogue::Material;
use workshop::projection as domain;

use super::basics::Id;
use super::catalogue::StockUnit;

/// How long a material lasts. All amounts are in its own unit.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "material": "cement", "name": "Portland cement, 25 kg bags", "unit": "gram", "floor": 50000,
    "sentence": "Portland cement lasts to Thursday 7 May; order 20 packs by Monday 4 May.",
    "first_short_day": "2026-05-08", "order_by": "2026-05-04", "quantity_to_order_packs": 20,
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
    /// Every day from today to the plan's last.
    pub days: Vec<ProjectedDay>,
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
            days: projection.days.into_iter().map(day).collect(),
        }
    }
}
