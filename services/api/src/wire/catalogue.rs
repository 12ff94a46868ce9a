//! Forms of materials, finishes, sets, mould groups, tanks and racks.

use chrono::NaiveDate;
use quantities::{Millimetres, MinorUnits, Pieces};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue as domain;
use workshop::catalogue::Amount;
use workshop::checks;
use workshop::ids::{FinishId, MaterialId, MouldGroupId, PanelId, RackId, SetId, TankId};

use super::basics::{Id, each, id, sound, words};
use crate::http::body::Incoming;

words!(
    /// The small unit a material is counted in.
    StockUnit for domain::StockUnit { Gram, Millilitre, SquareMillimetre, Piece }
);

words!(
    /// What a material is, as far as proportioning and cautions care.
    MaterialKind for domain::MaterialKind {
        PortlandCement, BlendedCement, RapidCement, Water, Aggregate, LightweightAggregate, FoamingConcentrate, Fibre,
        Pigment, Admixture, Mesh, Hardware, ReleaseOil,
    }
);

words!(
    /// Where a material comes from.
    Supply for domain::Supply {
        /// Bought in packs and counted.
        Bought,
        /// Counted, but no one sells it any more.
        NotSold,
        /// From the main or the well: always enough, not counted.
        Mains,
    }
);

/// Anything bought or drawn. Amounts are in its own unit.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "cement", "name": "Portland cement 42.5", "kind": "portland_cement", "unit": "gram", "relative_density": 3.15,
    "supply": "bought", "floor": 25000, "pack": 25000, "pack_price_minor": 495, "lead_days": 3,
    "delivery_charge_minor": 1500, "store_max": 1000000, "price_breaks": [{ "from_packs": 20, "pack_price_minor": 455 }],
}))]
pub struct Material {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// What it is.
    pub kind: MaterialKind,
    /// What it is counted in.
    pub unit: StockUnit,
    /// Mass over that of the same volume of water; needed where it goes into a mix.
    #[schema(minimum = 0.01, maximum = 10)]
    pub relative_density: Option<f64>,
    /// Where it comes from.
    pub supply: Supply,
    /// Not to be gone below, in its own unit.
    #[schema(minimum = 0, maximum = 1000000000000_i64)]
    #[serde(default)]
    pub floor: i64,
    /// In a pack, in its own unit.
    #[schema(minimum = 1, maximum = 1000000000000_i64)]
    pub pack: i64,
    /// Price of a pack, minor currency units.
    #[schema(minimum = 0, maximum = 1000000000)]
    pub pack_price_minor: i64,
    /// Calendar days from order to arrival.
    #[schema(minimum = 0, maximum = 365)]
    pub lead_days: i64,
    /// Charge for each delivery, minor currency units.
    #[schema(minimum = 0, maximum = 1000000000)]
    #[serde(default)]
    pub delivery_charge_minor: i64,
    /// Most there is room for, in its own unit.
    #[schema(minimum = 1, maximum = 1000000000000_i64)]
    pub store_max: Option<i64>,
    /// Lower prices for larger deliveries, by rising from_packs.
    #[schema(max_items = 20)]
    #[serde(default)]
    pub price_breaks: Vec<PriceBreak>,
    /// Days after it came in which it is to be used up; null where it keeps.
    #[schema(minimum = 1, maximum = 3650)]
    pub keep_days: Option<i64>,
}

/// A pack price from so many packs in one delivery.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PriceBreak {
    /// Fewest packs.
    #[schema(minimum = 2, maximum = 100000)]
    pub from_packs: i64,
    /// Price of each pack, minor currency units.
    #[schema(minimum = 0, maximum = 1000000000)]
    pub pack_price_minor: i64,
}

impl Incoming for Material {
    type Domain = domain::Material;

    fn into_domain(self) -> Result<domain::Material, Vec<Fault>> {
        let price_breaks = self
            .price_breaks
            .into_iter()
            .map(|b| domain::PriceBreak { from_packs: b.from_packs, pack_price: MinorUnits::new(b.pack_price_minor) });
        let material = domain::Material {
            id: id("/id", MaterialId::parse, &self.id)?,
            name: self.name,
            kind: self.kind.into(),
            unit: self.unit.into(),
            relative_density: self.relative_density,
            supply: self.supply.into(),
            floor: Amount::new(self.floor),
            pack: Amount::new(self.pack),
            pack_price: MinorUnits::new(self.pack_price_minor),
            lead_days: self.lead_days,
            delivery_charge: MinorUnits::new(self.delivery_charge_minor),
            store_max: self.store_max.map(Amount::new),
            price_breaks: price_breaks.collect(),
            keep_days: self.keep_days,
        };
        let faults = checks::material::faults(&material);
        sound(material, faults)
    }
}

impl From<domain::Material> for Material {
    fn from(m: domain::Material) -> Self {
        let price_breaks = m
            .price_breaks
            .iter()
            .map(|b| PriceBreak { from_packs: b.from_packs, pack_price_minor: b.pack_price.get() });
        Self {
            id: Id::of(&m.id),
            name: m.name,
            kind: m.kind.into(),
            unit: m.unit.into(),
            relative_density: m.relative_density,
            supply: m.supply.into(),
            floor: m.floor.get(),
            pack: m.pack.get(),
            pack_price_minor: m.pack_price.get(),
            lead_days: m.lead_days,
            delivery_charge_minor: m.delivery_charge.get(),
            store_max: m.store_max.map(Amount::get),
            price_breaks: price_breaks.collect(),
            keep_days: m.keep_days,
        }
    }
}

/// What a customer chooses: colour and surface.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "id": "grey-smooth", "name": "Grey, smooth", "darkness_percent": 40 }))]
pub struct Finish {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// How dark it is, 0 (white) to 100 (black): paler mixes go through the mixer first. 50 where it is not given.
    #[serde(default = "middling")]
    #[schema(minimum = 0, maximum = 100)]
    pub darkness_percent: i64,
}

fn middling() -> i64 {
    domain::MIDDLING_DARKNESS
}

impl Incoming for Finish {
    type Domain = domain::Finish;

    fn into_domain(self) -> Result<domain::Finish, Vec<Fault>> {
        let finish = domain::Finish {
            id: id("/id", FinishId::parse, &self.id)?,
            name: self.name,
            darkness: self.darkness_percent,
        };
        let faults = checks::catalogue::finish_faults(&finish);
        sound(finish, faults)
    }
}

impl From<domain::Finish> for Finish {
    fn from(f: domain::Finish) -> Self {
        Self { id: Id::of(&f.id), name: f.name, darkness_percent: f.darkness }
    }
}

/// What is sold: panels and hardware.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "bed-900x600", "name": "Raised bed 900 × 600", "panels": [{ "panel": "bed-side-900", "quantity": 2 }, { "panel": "bed-end-600", "quantity": 2 }],
    "hardware": [{ "material": "corner-pin", "quantity": 4 }],
}))]
pub struct PanelSet {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// Panels in one.
    #[schema(min_items = 1, max_items = 50)]
    pub panels: Vec<SetPanel>,
    /// Hardware in one.
    #[schema(max_items = 50)]
    #[serde(default)]
    pub hardware: Vec<SetHardware>,
}

/// So many of one panel in a set.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SetPanel {
    /// Which panel.
    pub panel: Id,
    /// How many.
    #[schema(minimum = 1, maximum = 1000)]
    pub quantity: i64,
}

/// So many of one piece of hardware in a set.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SetHardware {
    /// Which material.
    pub material: Id,
    /// How many.
    #[schema(minimum = 1, maximum = 1000)]
    pub quantity: i64,
}

impl Incoming for PanelSet {
    type Domain = domain::PanelSet;

    fn into_domain(self) -> Result<domain::PanelSet, Vec<Fault>> {
        let panels =
            each(self.panels, |i, p| Ok((id(&format!("/panels/{i}/panel"), PanelId::parse, &p.panel)?, p.quantity)))?;
        let hardware = each(self.hardware, |i, h| {
            let material = id(&format!("/hardware/{i}/material"), MaterialId::parse, &h.material)?;
            Ok((material, Pieces::new(h.quantity)))
        })?;
        let set = domain::PanelSet { id: id("/id", SetId::parse, &self.id)?, name: self.name, panels, hardware };
        let faults = checks::catalogue::set_faults(&set);
        sound(set, faults)
    }
}

impl From<domain::PanelSet> for PanelSet {
    fn from(s: domain::PanelSet) -> Self {
        let hardware = s.hardware.iter().map(|(m, n)| SetHardware { material: Id::of(m), quantity: n.get() });
        Self {
            id: Id::of(&s.id),
            panels: s.panels.iter().map(|(p, n)| SetPanel { panel: Id::of(p), quantity: *n }).collect(),
            hardware: hardware.collect(),
            name: s.name,
        }
    }
}

/// Interchangeable moulds.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "side-moulds", "name": "Side moulds 900", "moulds": 10, "turnaround_days": 1, "life_uses": 150,
    "out_of_service": [{ "from": "2026-05-11", "to": "2026-05-15", "moulds": 2, "which": [4, 9], "reason": "new hinges" }],
}))]
pub struct MouldGroup {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// How many.
    #[schema(minimum = 0, maximum = 10000)]
    pub moulds: i64,
    /// 1: a mould stripped on a day is not poured again that day; 0: it may be.
    #[schema(minimum = 0, maximum = 1)]
    pub turnaround_days: i64,
    /// Pours after which a mould is worn out; leave it out where nobody knows.
    #[schema(minimum = 1, maximum = 1000000)]
    pub life_uses: Option<i64>,
    /// Moulds missing for a while.
    #[schema(max_items = 200)]
    #[serde(default)]
    pub out_of_service: Vec<OutOfService>,
}

/// Moulds missing from one day to another, both included.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OutOfService {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
    /// How many.
    #[schema(minimum = 1, maximum = 10000)]
    pub moulds: i64,
    /// Which, by the numbers painted on them; the highest where fewer are named than are missing.
    #[schema(max_items = 10000)]
    #[serde(default)]
    pub which: Vec<i64>,
    /// Why.
    #[schema(max_length = 500)]
    pub reason: String,
}

impl Incoming for MouldGroup {
    type Domain = domain::MouldGroup;

    fn into_domain(self) -> Result<domain::MouldGroup, Vec<Fault>> {
        let missing = self.out_of_service.into_iter().map(|o| domain::OutOfService {
            from: o.from,
            to: o.to,
            moulds: o.moulds,
            which: o.which,
            reason: o.reason,
        });
        let group = domain::MouldGroup {
            id: id("/id", MouldGroupId::parse, &self.id)?,
            name: self.name,
            moulds: self.moulds,
            turnaround_days: self.turnaround_days,
            life_uses: self.life_uses,
            out_of_service: missing.collect(),
        };
        let faults = checks::catalogue::mould_group_faults(&group);
        sound(group, faults)
    }
}

impl From<domain::MouldGroup> for MouldGroup {
    fn from(g: domain::MouldGroup) -> Self {
        let missing = g.out_of_service.into_iter().map(|o| OutOfService {
            from: o.from,
            to: o.to,
            moulds: o.moulds,
            which: o.which,
            reason: o.reason,
        });
        Self {
            id: Id::of(&g.id),
            name: g.name,
            moulds: g.moulds,
            turnaround_days: g.turnaround_days,
            life_uses: g.life_uses,
            out_of_service: missing.collect(),
        }
    }
}

/// Where panels soak.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "id": "north-tank", "name": "North tank", "rows": 3, "usable_row_mm": 2400, "row_names": ["by the door", "middle", "by the wall"], "depth_mm": 600, "width_mm": 3000 }))]
pub struct Tank {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// How many rows.
    #[schema(minimum = 0, maximum = 1000)]
    pub rows: i64,
    /// Usable length of each row, mm.
    #[schema(minimum = 0, maximum = 100000)]
    pub usable_row_mm: i64,
    /// What the rows are called, so that a person finds the panel: a name for each, or none where their numbers will do.
    #[serde(default)]
    #[schema(max_items = 1000)]
    pub row_names: Vec<String>,
    /// Inside depth of water, mm.
    #[schema(minimum = 1, maximum = 100000)]
    pub depth_mm: i64,
    /// Inside width, mm.
    #[schema(minimum = 1, maximum = 100000)]
    pub width_mm: i64,
}

impl Incoming for Tank {
    type Domain = domain::Tank;

    fn into_domain(self) -> Result<domain::Tank, Vec<Fault>> {
        let tank = domain::Tank {
            id: id("/id", TankId::parse, &self.id)?,
            name: self.name,
            rows: domain::Rows { count: self.rows, usable: Millimetres::new(self.usable_row_mm) },
            row_names: self.row_names,
            depth: Millimetres::new(self.depth_mm),
            width: Millimetres::new(self.width_mm),
        };
        let faults = checks::catalogue::tank_faults(&tank);
        sound(tank, faults)
    }
}

impl From<domain::Tank> for Tank {
    fn from(t: domain::Tank) -> Self {
        Self {
            id: Id::of(&t.id),
            name: t.name,
            rows: t.rows.count,
            usable_row_mm: t.rows.usable.get(),
            row_names: t.row_names,
            depth_mm: t.depth.get(),
            width_mm: t.width.get(),
        }
    }
}

/// Where panels dry.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "id": "long-rack", "name": "Long rack", "rows": 4, "usable_row_mm": 6000 }))]
pub struct Rack {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// How many rows.
    #[schema(minimum = 0, maximum = 1000)]
    pub rows: i64,
    /// Usable length of each row, mm.
    #[schema(minimum = 0, maximum = 100000)]
    pub usable_row_mm: i64,
    /// What the rows are called, so that a person finds the panel: a name for each, or none where their numbers will do.
    #[serde(default)]
    #[schema(max_items = 1000)]
    pub row_names: Vec<String>,
}

impl Incoming for Rack {
    type Domain = domain::Rack;

    fn into_domain(self) -> Result<domain::Rack, Vec<Fault>> {
        let rack = domain::Rack {
            id: id("/id", RackId::parse, &self.id)?,
            name: self.name,
            rows: domain::Rows { count: self.rows, usable: Millimetres::new(self.usable_row_mm) },
            row_names: self.row_names,
        };
        let faults = checks::catalogue::rack_faults(&rack);
        sound(rack, faults)
    }
}

impl From<domain::Rack> for Rack {
    fn from(r: domain::Rack) -> Self {
        Self {
            id: Id::of(&r.id),
            name: r.name,
            rows: r.rows.count,
            usable_row_mm: r.rows.usable.get(),
            row_names: r.row_names,
        }
    }
}
