//! Forms of mixes and their revisions.

use quantities::{Millilitres, Minutes};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue as domain;
use workshop::checks;
use workshop::ids::{FinishId, MaterialId, MixId};

use super::basics::{Id, RevisionText, each, id, revision, sound, words};
use crate::http::body::Incoming;

/// A recipe; its numbers are in its revisions.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "id": "foamed-grey", "name": "Foamed grey", "finish": "grey-smooth" }))]
pub struct Mix {
    /// Its id.
    pub id: Id,
    /// As people say it.
    #[schema(min_length = 1, max_length = 200)]
    pub name: String,
    /// The one finish it gives.
    pub finish: Id,
}

impl Incoming for Mix {
    type Domain = domain::Mix;

    fn into_domain(self) -> Result<domain::Mix, Vec<Fault>> {
        let mix = domain::Mix {
            id: id("/id", MixId::parse, &self.id)?,
            finish: id("/finish", FinishId::parse, &self.finish)?,
            name: self.name,
        };
        let faults = checks::mix::faults(&mix);
        sound(mix, faults)
    }
}

impl From<domain::Mix> for Mix {
    fn from(m: domain::Mix) -> Self {
        Self { id: Id::of(&m.id), name: m.name, finish: Id::of(&m.finish) }
    }
}

words!(
    /// Whether a revision may be poured.
    RevisionState for domain::RevisionState {
        /// Being tried; not planned.
        OnTrial,
        /// Planned; the newest in use is the one poured.
        InUse,
        /// No longer poured.
        Retired,
    }
);

/// One revision of a mix. Its numbers never change; only its state and the reason for it do.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "foamed-grey@2", "state": "in_use", "reason": "trial of 2026-03-20, 3 batches",
    "ingredients": [{ "material": "cement", "kg_m3": 420.0 }, { "material": "sand", "kg_m3": 510.0 }, { "material": "water", "kg_m3": 210.0 }],
    "foam": { "concentrate": "foam-concentrate", "density_kg_m3": 45.0, "dilution": 30.0, "water_counted": true },
    "wet_density_kg_m3": 1160.0, "wet_density_low_kg_m3": 1110.0, "wet_density_high_kg_m3": 1210.0, "air_percent": 2.0,
    "hold_hours_at_20c": 40.0, "soak_days": 7, "dry_days": 7, "batch_min_ml": 15000, "batch_max_ml": 60000,
    "batch_minutes": 25, "washout_ml": 1000, "washout_minutes": 20, "least_air_c": 5.0,
}))]
pub struct MixRevision {
    /// The mix and the number, counted from 1.
    pub id: RevisionText,
    /// Whether it may be poured.
    pub state: RevisionState,
    /// On whose word it is in that state: a trial, or a person's reason.
    #[schema(max_length = 2000)]
    pub reason: Option<String>,
    /// What goes in, in mixing order, without the foam.
    #[schema(min_items = 1, max_items = 50)]
    pub ingredients: Vec<Ingredient>,
    /// The foam, where there is some.
    pub foam: Option<Foam>,
    /// Density as it should leave the mixer, kg/m³.
    #[schema(minimum = 200, maximum = 3000)]
    pub wet_density_kg_m3: f64,
    /// Least that is accepted, kg/m³.
    #[schema(minimum = 100, maximum = 3000)]
    pub wet_density_low_kg_m3: f64,
    /// Most that is accepted, kg/m³.
    #[schema(minimum = 200, maximum = 3500)]
    pub wet_density_high_kg_m3: f64,
    /// Entrapped air not from the foam, per cent of volume.
    #[schema(minimum = 0, maximum = 20)]
    #[serde(default)]
    pub air_percent: f64,
    /// Hours in the mould at 20 °C before it may be stripped.
    #[schema(minimum = 0, maximum = 240)]
    pub hold_hours_at_20c: f64,
    /// Calendar days in the tank.
    #[schema(minimum = 0, maximum = 90)]
    pub soak_days: i64,
    /// Calendar days on the rack.
    #[schema(minimum = 0, maximum = 90)]
    pub dry_days: i64,
    /// Least of a batch, ml.
    #[schema(minimum = 1, maximum = 10000000)]
    pub batch_min_ml: i64,
    /// Most of a batch, ml.
    #[schema(minimum = 1, maximum = 10000000)]
    pub batch_max_ml: i64,
    /// Labour of a batch.
    #[schema(minimum = 0, maximum = 1440)]
    pub batch_minutes: i64,
    /// Lost at the washout after the day's last batch, ml.
    #[schema(minimum = 0, maximum = 1000000)]
    pub washout_ml: i64,
    /// Labour of the washout.
    #[schema(minimum = 0, maximum = 1440)]
    pub washout_minutes: i64,
    /// Least expected air temperature of a day it may be poured, °C; the workshop's own where none is given.
    #[schema(minimum = -40, maximum = 60)]
    pub least_air_c: Option<f64>,
}

/// So much of a material in a cubic metre of the mix.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Ingredient {
    /// Which material.
    pub material: Id,
    /// kg in a cubic metre of fresh mix, above 0.
    #[schema(minimum = 0, maximum = 3000)]
    pub kg_m3: f64,
}

/// Preformed foam: how dense, from what, how thin.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Foam {
    /// The foaming concentrate.
    pub concentrate: Id,
    /// Density of the foam, kg/m³.
    #[schema(minimum = 20, maximum = 120)]
    pub density_kg_m3: f64,
    /// Parts of water to one of concentrate, by volume.
    #[schema(minimum = 1, maximum = 200)]
    pub dilution: f64,
    /// Whether the foam's water is counted in the mix's stated w/c.
    pub water_counted: bool,
}

impl Incoming for MixRevision {
    type Domain = domain::MixRevision;

    fn into_domain(self) -> Result<domain::MixRevision, Vec<Fault>> {
        let ingredients = each(self.ingredients, |i, one| {
            let material = id(&format!("/ingredients/{i}/material"), MaterialId::parse, &one.material)?;
            Ok(domain::Ingredient { material, kg_m3: one.kg_m3 })
        })?;
        let foam = self.foam.map(|foam| {
            id("/foam/concentrate", MaterialId::parse, &foam.concentrate).map(|concentrate| domain::Foam {
                concentrate,
                density_kg_m3: foam.density_kg_m3,
                dilution: foam.dilution,
                water_counted: foam.water_counted,
            })
        });
        let revision = domain::MixRevision {
            id: revision("/id", &self.id)?,
            state: self.state.into(),
            reason: self.reason,
            ingredients,
            foam: foam.transpose()?,
            wet_density_kg_m3: self.wet_density_kg_m3,
            wet_density_low_kg_m3: self.wet_density_low_kg_m3,
            wet_density_high_kg_m3: self.wet_density_high_kg_m3,
            air_percent: self.air_percent,
            hold_hours_at_20c: self.hold_hours_at_20c,
            soak_days: self.soak_days,
            dry_days: self.dry_days,
            batch_min: Millilitres::new(self.batch_min_ml),
            batch_max: Millilitres::new(self.batch_max_ml),
            batch_minutes: Minutes::new(self.batch_minutes),
            washout: Millilitres::new(self.washout_ml),
            washout_minutes: Minutes::new(self.washout_minutes),
            least_air_c: self.least_air_c,
        };
        let faults = checks::mix::revision_faults(&revision);
        sound(revision, faults)
    }
}

impl From<domain::MixRevision> for MixRevision {
    fn from(r: domain::MixRevision) -> Self {
        let ingredients =
            r.ingredients.iter().map(|i| Ingredient { material: Id::of(&i.material), kg_m3: i.kg_m3 }).collect();
        let foam = r.foam.map(|foam| Foam {
            concentrate: Id::of(&foam.concentrate),
            density_kg_m3: foam.density_kg_m3,
            dilution: foam.dilution,
            water_counted: foam.water_counted,
        });
        Self {
            id: RevisionText::of(&r.id),
            state: r.state.into(),
            reason: r.reason,
            ingredients,
            foam,
            wet_density_kg_m3: r.wet_density_kg_m3,
            wet_density_low_kg_m3: r.wet_density_low_kg_m3,
            wet_density_high_kg_m3: r.wet_density_high_kg_m3,
            air_percent: r.air_percent,
            hold_hours_at_20c: r.hold_hours_at_20c,
            soak_days: r.soak_days,
            dry_days: r.dry_days,
            batch_min_ml: r.batch_min.get(),
            batch_max_ml: r.batch_max.get(),
            batch_minutes: r.batch_minutes.get(),
            washout_ml: r.washout.get(),
            washout_minutes: r.washout_minutes.get(),
            least_air_c: r.least_air_c,
        }
    }
}

/// The only part of a revision that changes.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "state": "retired", "reason": "shrinks too much, revision 3 is better" }))]
pub struct RevisionStanding {
    /// Whether it may be poured.
    pub state: RevisionState,
    /// On whose word; the newest trial of it where none is given and it is put in use.
    #[schema(max_length = 2000)]
    pub reason: Option<String>,
}

impl Incoming for RevisionStanding {
    type Domain = (domain::RevisionState, Option<String>);

    fn into_domain(self) -> Result<Self::Domain, Vec<Fault>> {
        Ok((self.state.into(), self.reason))
    }
}
