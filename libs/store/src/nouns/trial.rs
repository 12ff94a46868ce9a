//! Trials of revisions: what went in, and what was found of it.

use quantities::{Grams, Millilitres};
use sea_orm::Value;
use workshop::ids::TrialId;
use workshop::trials::{HardDensity, HardState, PanelWeighed, StrengthFound, Trial};

use crate::error::{Result, StoreError};
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use};
use crate::standings;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, material_id, panel_id, revision_id, trial_id};

table!(trial, "trial", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    revision: String,
    mixed_on: Date,
    made_by: String,
    batch_ml: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    wet_density_kg_m3: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    wear_loss_g: Option<f64>,
    cracks: Option<String>,
    #[sea_orm(column_type = "Double", nullable)]
    warp_mm: Option<f64>,
    note: Option<String>,
});

table!(trial_mass, "trial_mass", {
    #[sea_orm(primary_key, auto_increment = false)]
    trial: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    material: String,
    mass_g: i64,
});

table!(trial_density, "trial_density", {
    #[sea_orm(primary_key, auto_increment = false)]
    trial: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    state: String,
    #[sea_orm(column_type = "Double")]
    density_kg_m3: f64,
});

table!(trial_strength, "trial_strength", {
    #[sea_orm(primary_key, auto_increment = false)]
    trial: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    #[sea_orm(column_type = "Double")]
    age_days: f64,
    #[sea_orm(column_type = "Double")]
    strength_mpa: f64,
});

table!(trial_panel, "trial_panel", {
    #[sea_orm(primary_key, auto_increment = false)]
    trial: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    panel: String,
    state: String,
    mass_g: i64,
});

table!(trial_photo, "trial_photo", {
    #[sea_orm(primary_key, auto_increment = false)]
    trial: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    name: String,
});

impl Noun for Trial {
    type Id = TrialId;
    type Table = trial::Entity;
    type Row = trial::Model;
    const NOUN: &'static str = "trial";
    const KEY: trial::Column = trial::Column::Id;
    const USES: &'static [Use] = &[Use::by("mix revision", "revision_standing", "trial", "revision")];

    fn id(&self) -> &TrialId {
        &self.id
    }

    fn key(id: &TrialId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> trial::Model {
        trial::Model {
            id: self.id.to_string(),
            version,
            revision: self.revision.to_string(),
            mixed_on: self.mixed_on,
            made_by: self.by.clone(),
            batch_ml: self.batch.map(Millilitres::get),
            wet_density_kg_m3: self.wet_density_kg_m3,
            wear_loss_g: self.wear_loss_g,
            cracks: self.cracks.clone(),
            warp_mm: self.warp_mm,
            note: self.note.clone(),
        }
    }

    fn needs(&self, needs: &mut Needs) {
        needs.on(Thing::Revision, &self.revision);
        for (material, _) in &self.masses {
            needs.on(Thing::Material, material);
        }
        for weighed in &self.panels {
            needs.on(Thing::Panel, &weighed.panel);
        }
    }

    async fn whole(tx: &Tx, rows: Vec<trial::Model>) -> Result<Vec<Versioned<Self>>> {
        let mut parts = Parts::of(tx, &rows).await?;
        rows.into_iter()
            .map(|row| {
                let version = row.version;
                Ok(Versioned { version, value: value(row, &mut parts)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        parts::put(tx, mass_rows(self).collect()).await?;
        parts::put(tx, density_rows(self).collect()).await?;
        parts::put(tx, strength_rows(self).collect()).await?;
        parts::put(tx, panel_rows(self).collect()).await?;
        parts::put(tx, photo_rows(self).collect()).await
    }

    async fn take_parts(tx: &Tx, id: &TrialId) -> Result<()> {
        parts::take::<trial_mass::Entity>(tx, trial_mass::Column::Trial, id.as_str()).await?;
        parts::take::<trial_density::Entity>(tx, trial_density::Column::Trial, id.as_str()).await?;
        parts::take::<trial_strength::Entity>(tx, trial_strength::Column::Trial, id.as_str()).await?;
        parts::take::<trial_panel::Entity>(tx, trial_panel::Column::Trial, id.as_str()).await?;
        parts::take::<trial_photo::Entity>(tx, trial_photo::Column::Trial, id.as_str()).await
    }

    async fn may_replace(tx: &Tx, old: &Versioned<Self>, value: &Self) -> Result<()> {
        let fixed = |what| Err(StoreError::Immutable { noun: <Self as Noun>::NOUN, id: value.id.to_string(), what });
        if old.value.revision != value.revision {
            return fixed(format!("revision, {}: record a trial of another revision by itself", old.value.revision));
        }
        if !value.only_adds_to(&old.value) && standings::rest_on(tx, &value.id).await? {
            let what = "figures, because a revision was put in use on them: add to them, or record another trial";
            return fixed(what.to_owned());
        }
        Ok(())
    }
}

fn mass_rows(trial: &Trial) -> impl Iterator<Item = trial_mass::Model> {
    trial.masses.iter().enumerate().map(|(index, (material, mass))| trial_mass::Model {
        trial: trial.id.to_string(),
        position: parts::place(index),
        material: material.to_string(),
        mass_g: mass.get(),
    })
}

fn density_rows(trial: &Trial) -> impl Iterator<Item = trial_density::Model> {
    trial.densities.iter().enumerate().map(|(index, density)| trial_density::Model {
        trial: trial.id.to_string(),
        position: parts::place(index),
        state: density.state.word(),
        density_kg_m3: density.kg_m3,
    })
}

fn strength_rows(trial: &Trial) -> impl Iterator<Item = trial_strength::Model> {
    trial.strengths.iter().enumerate().map(|(index, strength)| trial_strength::Model {
        trial: trial.id.to_string(),
        position: parts::place(index),
        age_days: strength.age_days,
        strength_mpa: strength.mpa,
    })
}

fn panel_rows(trial: &Trial) -> impl Iterator<Item = trial_panel::Model> {
    trial.panels.iter().enumerate().map(|(index, weighed)| trial_panel::Model {
        trial: trial.id.to_string(),
        position: parts::place(index),
        panel: weighed.panel.to_string(),
        state: weighed.state.word(),
        mass_g: weighed.mass.get(),
    })
}

fn photo_rows(trial: &Trial) -> impl Iterator<Item = trial_photo::Model> {
    trial.photos.iter().enumerate().map(|(index, name)| trial_photo::Model {
        trial: trial.id.to_string(),
        position: parts::place(index),
        name: name.clone(),
    })
}

type ByTrial<T> = std::collections::BTreeMap<String, Vec<T>>;

struct Parts {
    masses: ByTrial<trial_mass::Model>,
    densities: ByTrial<trial_density::Model>,
    strengths: ByTrial<trial_strength::Model>,
    panels: ByTrial<trial_panel::Model>,
    photos: ByTrial<trial_photo::Model>,
}

impl Parts {
    async fn of(tx: &Tx, rows: &[trial::Model]) -> Result<Self> {
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        // One query for each table of parts, all in the same shape.
        macro_rules! parts_in {
            ($table:ident) => {
                parts::of_parents::<$table::Entity, _>(
                    tx,
                    $table::Column::Trial,
                    $table::Column::Position,
                    &ids,
                    |row| row.trial.clone(),
                )
                .await?
            };
        }
        Ok(Self {
            masses: parts_in!(trial_mass),
            densities: parts_in!(trial_density),
            strengths: parts_in!(trial_strength),
            panels: parts_in!(trial_panel),
            photos: parts_in!(trial_photo),
        })
    }
}

fn value(row: trial::Model, parts: &mut Parts) -> Result<Trial> {
    let masses = parts.masses.remove(&row.id).unwrap_or_default();
    let densities = parts.densities.remove(&row.id).unwrap_or_default();
    let strengths = parts.strengths.remove(&row.id).unwrap_or_default();
    let panels = parts.panels.remove(&row.id).unwrap_or_default();
    let photos = parts.photos.remove(&row.id).unwrap_or_default();
    let mass = |m: trial_mass::Model| Ok((material_id(&m.material)?, Grams::new(m.mass_g)));
    let density = |d: trial_density::Model| Ok(HardDensity { state: HardState::of(&d.state)?, kg_m3: d.density_kg_m3 });
    let panel = |p: trial_panel::Model| {
        Ok(PanelWeighed { panel: panel_id(&p.panel)?, state: HardState::of(&p.state)?, mass: Grams::new(p.mass_g) })
    };
    Ok(Trial {
        id: trial_id(&row.id)?,
        revision: revision_id(&row.revision)?,
        mixed_on: row.mixed_on,
        by: row.made_by,
        batch: row.batch_ml.map(Millilitres::new),
        masses: masses.into_iter().map(mass).collect::<Result<_>>()?,
        wet_density_kg_m3: row.wet_density_kg_m3,
        densities: densities.into_iter().map(density).collect::<Result<_>>()?,
        strengths: strengths.into_iter().map(|s| StrengthFound { age_days: s.age_days, mpa: s.strength_mpa }).collect(),
        panels: panels.into_iter().map(panel).collect::<Result<_>>()?,
        wear_loss_g: row.wear_loss_g,
        cracks: row.cracks,
        warp_mm: row.warp_mm,
        photos: photos.into_iter().map(|photo| photo.name).collect(),
        note: row.note,
    })
}
