//! Mould groups and the moulds missing for a while.

use sea_orm::Value;
use workshop::catalogue::{MouldGroup, OutOfService};
use workshop::ids::MouldGroupId;

use crate::error::Result;
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{mould_group_id, strange};

table!(mould_group, "mould_group", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    name: String,
    moulds: i64,
    turnaround_days: i64,
    life_uses: Option<i64>,
});

table!(out_of_service, "out_of_service", {
    #[sea_orm(primary_key, auto_increment = false)]
    mould_group: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    first_day: Date,
    last_day: Date,
    moulds: i64,
    reason: String,
    which_moulds: Option<String>,
});

impl Noun for MouldGroup {
    type Id = MouldGroupId;
    type Table = mould_group::Entity;
    type Row = mould_group::Model;
    const NOUN: &'static str = "mould group";
    const KEY: mould_group::Column = mould_group::Column::Id;
    const USES: &'static [Use] =
        &[Use::by("panel", "panel", "mould_group", "id"), Use::by("ticket", "ticket_fill", "mould_group", "ticket")];

    fn id(&self) -> &MouldGroupId {
        &self.id
    }

    fn key(id: &MouldGroupId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> mould_group::Model {
        mould_group::Model {
            id: self.id.to_string(),
            version,
            name: self.name.clone(),
            moulds: self.moulds,
            turnaround_days: self.turnaround_days,
            life_uses: self.life_uses,
        }
    }

    fn needs(&self, _needs: &mut Needs) {}

    async fn whole(tx: &Tx, rows: Vec<mould_group::Model>) -> Result<Vec<Versioned<Self>>> {
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        let mut missing = parts::of_parents::<out_of_service::Entity, _>(
            tx,
            out_of_service::Column::MouldGroup,
            out_of_service::Column::Position,
            &ids,
            |row| row.mould_group.clone(),
        )
        .await?;
        rows.into_iter()
            .map(|row| {
                let missing = missing.remove(&row.id).unwrap_or_default();
                Ok(Versioned { version: row.version, value: value(row, missing)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        let rows = self.out_of_service.iter().enumerate().map(|(index, missing)| out_of_service::Model {
            mould_group: self.id.to_string(),
            position: parts::place(index),
            first_day: missing.from,
            last_day: missing.to,
            moulds: missing.moulds,
            reason: missing.reason.clone(),
            which_moulds: (!missing.which.is_empty()).then(|| numbers(&missing.which)),
        });
        parts::put(tx, rows.collect()).await
    }

    async fn take_parts(tx: &Tx, id: &MouldGroupId) -> Result<()> {
        parts::take::<out_of_service::Entity>(tx, out_of_service::Column::MouldGroup, id.as_str()).await
    }
}

fn value(row: mould_group::Model, missing: Vec<out_of_service::Model>) -> Result<MouldGroup> {
    let absence = |m: out_of_service::Model| {
        let which = m.which_moulds.as_deref().map(numbered).transpose()?.unwrap_or_default();
        Ok(OutOfService { from: m.first_day, to: m.last_day, moulds: m.moulds, which, reason: m.reason })
    };
    Ok(MouldGroup {
        id: mould_group_id(&row.id)?,
        name: row.name,
        moulds: row.moulds,
        turnaround_days: row.turnaround_days,
        life_uses: row.life_uses,
        out_of_service: missing.into_iter().map(absence).collect::<Result<_>>()?,
    })
}

/// Numbers of moulds in one column, parted by blanks.
fn numbers(which: &[i64]) -> String {
    which.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

fn numbered(text: &str) -> Result<Vec<i64>> {
    text.split(' ').map(|number| number.parse().map_err(|_| strange("mould number", number))).collect()
}
