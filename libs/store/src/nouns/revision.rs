//! Mix revisions: written once, their state and its reason apart.

use quantities::{Millilitres, Minutes};
use sea_orm::{ColumnTrait as _, Condition, Value};
use workshop::catalogue::{Foam, Ingredient, MixRevision, RevisionState};
use workshop::ids::RevisionId;

use crate::error::{Result, StoreError};
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, material_id, revision_id, strange};

table!(mix_revision, "mix_revision", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    mix: String,
    number: i64,
    state: String,
    reason: Option<String>,
    foam_concentrate: Option<String>,
    #[sea_orm(column_type = "Double", nullable)]
    foam_density_kg_m3: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    foam_dilution: Option<f64>,
    foam_water_counted: Option<bool>,
    #[sea_orm(column_type = "Double")]
    wet_density_kg_m3: f64,
    #[sea_orm(column_type = "Double")]
    wet_density_low_kg_m3: f64,
    #[sea_orm(column_type = "Double")]
    wet_density_high_kg_m3: f64,
    #[sea_orm(column_type = "Double")]
    air_percent: f64,
    #[sea_orm(column_type = "Double")]
    hold_hours_at_20c: f64,
    soak_days: i64,
    dry_days: i64,
    batch_min_ml: i64,
    batch_max_ml: i64,
    batch_minutes: i64,
    washout_ml: i64,
    washout_minutes: i64,
    #[sea_orm(column_type = "Double", nullable)]
    least_air_c: Option<f64>,
});

table!(ingredient, "ingredient", {
    #[sea_orm(primary_key, auto_increment = false)]
    revision: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    material: String,
    #[sea_orm(column_type = "Double")]
    kg_m3: f64,
});

impl Noun for MixRevision {
    type Id = RevisionId;
    type Table = mix_revision::Entity;
    type Row = mix_revision::Model;
    const NOUN: &'static str = "mix revision";
    const KEY: mix_revision::Column = mix_revision::Column::Id;
    const USES: &'static [Use] = &[
        Use::by("panel", "panel_suit", "revision", "panel"),
        Use::by("lot", "lot", "revision", "id"),
        Use::by("pin", "pin", "revision", "id"),
        Use::by("ticket", "ticket", "revision", "id"),
        Use::by("trial", "trial", "revision", "id"),
        Use::by("record of its states", "revision_standing", "revision", "id"),
    ];

    fn id(&self) -> &RevisionId {
        &self.id
    }

    fn key(id: &RevisionId) -> Value {
        id.to_string().into()
    }

    fn row(&self, version: i64) -> mix_revision::Model {
        let foam = self.foam.as_ref();
        mix_revision::Model {
            id: self.id.to_string(),
            version,
            mix: self.id.mix.to_string(),
            number: i64::from(self.id.number),
            state: self.state.word(),
            reason: self.reason.clone(),
            foam_concentrate: foam.map(|f| f.concentrate.to_string()),
            foam_density_kg_m3: foam.map(|f| f.density_kg_m3),
            foam_dilution: foam.map(|f| f.dilution),
            foam_water_counted: foam.map(|f| f.water_counted),
            wet_density_kg_m3: self.wet_density_kg_m3,
            wet_density_low_kg_m3: self.wet_density_low_kg_m3,
            wet_density_high_kg_m3: self.wet_density_high_kg_m3,
            air_percent: self.air_percent,
            hold_hours_at_20c: self.hold_hours_at_20c,
            soak_days: self.soak_days,
            dry_days: self.dry_days,
            batch_min_ml: self.batch_min.get(),
            batch_max_ml: self.batch_max.get(),
            batch_minutes: self.batch_minutes.get(),
            washout_ml: self.washout.get(),
            washout_minutes: self.washout_minutes.get(),
            least_air_c: self.least_air_c,
        }
    }

    fn needs(&self, needs: &mut Needs) {
        needs.on(Thing::Mix, &self.id.mix);
        needs.perhaps_on(Thing::Material, self.foam.as_ref().map(|f| &f.concentrate));
        for ingredient in &self.ingredients {
            needs.on(Thing::Material, &ingredient.material);
        }
    }

    async fn whole(tx: &Tx, rows: Vec<mix_revision::Model>) -> Result<Vec<Versioned<Self>>> {
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        let mut ingredients = parts::of_parents::<ingredient::Entity, _>(
            tx,
            ingredient::Column::Revision,
            ingredient::Column::Position,
            &ids,
            |row| row.revision.clone(),
        )
        .await?;
        rows.into_iter()
            .map(|row| {
                let ingredients = ingredients.remove(&row.id).unwrap_or_default();
                Ok(Versioned { version: row.version, value: value(row, &ingredients)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        let rows = self.ingredients.iter().enumerate().map(|(index, part)| ingredient::Model {
            revision: self.id.to_string(),
            position: parts::place(index),
            material: part.material.to_string(),
            kg_m3: part.kg_m3,
        });
        parts::put(tx, rows.collect()).await
    }

    async fn take_parts(tx: &Tx, id: &RevisionId) -> Result<()> {
        parts::take::<ingredient::Entity>(tx, ingredient::Column::Revision, id.to_string()).await
    }

    /// By mix, then by number: as text, revision 10 would come before revision 2.
    fn beyond(id: &RevisionId) -> Condition {
        let same_mix = Condition::all()
            .add(mix_revision::Column::Mix.eq(id.mix.as_str()))
            .add(mix_revision::Column::Number.gt(i64::from(id.number)));
        Condition::any().add(mix_revision::Column::Mix.gt(id.mix.as_str())).add(same_mix)
    }

    fn order() -> Vec<mix_revision::Column> {
        vec![mix_revision::Column::Mix, mix_revision::Column::Number]
    }

    async fn may_replace(_tx: &Tx, old: &Versioned<Self>, value: &Self) -> Result<()> {
        let allowed = MixRevision { state: value.state, reason: value.reason.clone(), ..old.value.clone() };
        if allowed == *value {
            return Ok(());
        }
        let what = "numbers once written: only its state and the reason for it change; write a new revision".to_owned();
        Err(StoreError::Immutable { noun: <Self as Noun>::NOUN, id: value.id.to_string(), what })
    }
}

fn value(row: mix_revision::Model, ingredients: &[ingredient::Model]) -> Result<MixRevision> {
    let part = |part: &ingredient::Model| Ok(Ingredient { material: material_id(&part.material)?, kg_m3: part.kg_m3 });
    Ok(MixRevision {
        id: revision_id(&row.id)?,
        state: RevisionState::of(&row.state)?,
        ingredients: ingredients.iter().map(part).collect::<Result<_>>()?,
        foam: foam(&row)?,
        reason: row.reason,
        wet_density_kg_m3: row.wet_density_kg_m3,
        wet_density_low_kg_m3: row.wet_density_low_kg_m3,
        wet_density_high_kg_m3: row.wet_density_high_kg_m3,
        air_percent: row.air_percent,
        hold_hours_at_20c: row.hold_hours_at_20c,
        soak_days: row.soak_days,
        dry_days: row.dry_days,
        batch_min: Millilitres::new(row.batch_min_ml),
        batch_max: Millilitres::new(row.batch_max_ml),
        batch_minutes: Minutes::new(row.batch_minutes),
        washout: Millilitres::new(row.washout_ml),
        washout_minutes: Minutes::new(row.washout_minutes),
        least_air_c: row.least_air_c,
    })
}

/// All four columns or none, as the schema's check says.
fn foam(row: &mix_revision::Model) -> Result<Option<Foam>> {
    let Some(concentrate) = &row.foam_concentrate else { return Ok(None) };
    match (row.foam_density_kg_m3, row.foam_dilution, row.foam_water_counted) {
        (Some(density_kg_m3), Some(dilution), Some(water_counted)) => {
            Ok(Some(Foam { concentrate: material_id(concentrate)?, density_kg_m3, dilution, water_counted }))
        }
        _ => Err(strange("whole foam", concentrate)),
    }
}
