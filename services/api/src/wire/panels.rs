//! The form of a panel.

use quantities::{Millilitres, Millimetres, Minutes};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue as domain;
use workshop::catalogue::Amount;
use workshop::checks;
use workshop::ids::{MaterialId, MouldGroupId, PanelId, TankId};

use super::basics::{Id, RevisionText, each, id, revision, sound};
use crate::http::body::Incoming;

/// One cast piece type.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "bed-side-900", "name": "Bed side 900", "length_mm": 900, "height_mm": 300, "thickness_mm": 40, "voids_ml": 120,
    "mould_group": "side-moulds", "pour_minutes": 6, "strip_minutes": 5, "lift_minutes": 3,
    "suits": [{ "revision": "foamed-grey@2", "reason": "trial of 2026-03-20" }], "tanks": ["north-tank"],
    "per_panel": [{ "material": "glass-mesh", "amount": 250000 }], "pass_rate": 0.97,
}))]
pub struct Panel {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// Outside length, mm.
    #[schema(minimum = 1, maximum = 10000)]
    pub length_mm: i64,
    /// Outside height, mm.
    #[schema(minimum = 1, maximum = 10000)]
    pub height_mm: i64,
    /// Outside thickness, mm.
    #[schema(minimum = 1, maximum = 10000)]
    pub thickness_mm: i64,
    /// Volume of its holes and rebates, ml.
    #[schema(minimum = 0, maximum = 10000000)]
    #[serde(default)]
    pub voids_ml: i64,
    /// Moulds it is cast in.
    pub mould_group: Id,
    /// Labour to pour one.
    #[schema(minimum = 0, maximum = 1440)]
    pub pour_minutes: i64,
    /// Labour to strip one.
    #[schema(minimum = 0, maximum = 1440)]
    pub strip_minutes: i64,
    /// Labour to lift one.
    #[schema(minimum = 0, maximum = 1440)]
    pub lift_minutes: i64,
    /// Mix revisions that suit it, and on whose word.
    #[schema(max_items = 100)]
    #[serde(default)]
    pub suits: Vec<Suit>,
    /// Tanks it fits; all, where none is named.
    #[schema(max_items = 100)]
    #[serde(default)]
    pub tanks: Vec<Id>,
    /// Material drawn with each panel poured.
    #[schema(max_items = 50)]
    #[serde(default)]
    pub per_panel: Vec<PerPanel>,
    /// Share that comes out good, above 0.
    #[schema(minimum = 0, maximum = 1)]
    pub pass_rate: Option<f64>,
}

/// That a mix revision suits a panel, and why that is believed.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Suit {
    /// Which revision.
    pub revision: RevisionText,
    /// The trial or the person's reason.
    #[schema(min_length = 1, max_length = 2000)]
    pub reason: String,
}

/// Material drawn with each panel poured.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PerPanel {
    /// Which material.
    pub material: Id,
    /// How much, in the material's own unit.
    #[schema(minimum = 1, maximum = 1000000000000_i64)]
    pub amount: i64,
}

impl Incoming for Panel {
    type Domain = domain::Panel;

    fn into_domain(self) -> Result<domain::Panel, Vec<Fault>> {
        let suits = each(self.suits, |i, suit| {
            let revision = revision(&format!("/suits/{i}/revision"), &suit.revision)?;
            Ok(domain::Suit { revision, reason: suit.reason })
        })?;
        let tanks = each(self.tanks, |i, tank| id(&format!("/tanks/{i}"), TankId::parse, &tank))?;
        let per_panel = each(self.per_panel, |i, one| {
            let material = id(&format!("/per_panel/{i}/material"), MaterialId::parse, &one.material)?;
            Ok(domain::PerPanel { material, amount: Amount::new(one.amount) })
        })?;
        let panel = domain::Panel {
            id: id("/id", PanelId::parse, &self.id)?,
            name: self.name,
            length: Millimetres::new(self.length_mm),
            height: Millimetres::new(self.height_mm),
            thickness: Millimetres::new(self.thickness_mm),
            voids: Millilitres::new(self.voids_ml),
            mould_group: id("/mould_group", MouldGroupId::parse, &self.mould_group)?,
            pour_minutes: Minutes::new(self.pour_minutes),
            strip_minutes: Minutes::new(self.strip_minutes),
            lift_minutes: Minutes::new(self.lift_minutes),
            suits,
            tanks,
            per_panel,
            pass_rate: self.pass_rate,
        };
        let faults = checks::panel::faults(&panel);
        sound(panel, faults)
    }
}

impl From<domain::Panel> for Panel {
    fn from(p: domain::Panel) -> Self {
        let suits = p.suits.into_iter().map(|s| Suit { revision: RevisionText::of(&s.revision), reason: s.reason });
        let per_panel = p.per_panel.iter().map(|o| PerPanel { material: Id::of(&o.material), amount: o.amount.get() });
        Self {
            id: Id::of(&p.id),
            name: p.name,
            length_mm: p.length.get(),
            height_mm: p.height.get(),
            thickness_mm: p.thickness.get(),
            voids_ml: p.voids.get(),
            mould_group: Id::of(&p.mould_group),
            pour_minutes: p.pour_minutes.get(),
            strip_minutes: p.strip_minutes.get(),
            lift_minutes: p.lift_minutes.get(),
            suits: suits.collect(),
            tanks: p.tanks.iter().map(Id::of).collect(),
            per_panel: per_panel.collect(),
            pass_rate: p.pass_rate,
        }
    }
}
