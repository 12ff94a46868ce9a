//! Pours decided by a person.

use chrono::NaiveDate as Day;
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::ids::{PanelId, PinId, RevisionId};
use workshop::lots::Pin;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::marks;
use crate::record::{Versioned, same_version};
use crate::references::{Needs, Thing};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{panel_id, revision_id};

table!(pin, "pin", {
    #[sea_orm(primary_key)]
    id: i64,
    version: i64,
    day: Date,
    panel: String,
    revision: String,
    quantity: i64,
    reason: String,
});

const NOUN: &str = "pin";

/// A pin as it is made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPin {
    /// The day of the pour.
    pub day: Day,
    /// Which panel.
    pub panel: PanelId,
    /// From which mix revision.
    pub revision: RevisionId,
    /// How many, 1 or more.
    pub quantity: i64,
    /// Why.
    pub reason: String,
}

/// A new pin.
pub async fn insert(tx: &Tx, new: &NewPin) -> Result<Versioned<Pin>> {
    tx.writes()?;
    Needs::default().on(Thing::Panel, &new.panel).on(Thing::Revision, &new.revision).met(tx).await?;
    let row = pin::Model {
        id: 0,
        version: 1,
        day: new.day,
        panel: new.panel.to_string(),
        revision: new.revision.to_string(),
        quantity: new.quantity,
        reason: new.reason.clone(),
    };
    let mut unnumbered = row.clone().into_active_model().reset_all();
    unnumbered.id = ActiveValue::NotSet;
    let written = pin::Entity::insert(unnumbered)
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("pin a pour of {} on {}", new.panel, new.day))?;
    marks::mark(tx, "pin", &format!("{} {} pinned on {}", new.quantity, new.panel, new.day)).await?;
    value(pin::Model { id: written.last_insert_id, ..row })
}

/// The one with this number, if there is one.
pub async fn find(tx: &Tx, id: PinId) -> Result<Option<Versioned<Pin>>> {
    let row = pin::Entity::find_by_id(id.get()).one(tx.reads()).await.attempted(|| format!("read pin {id}"))?;
    row.map(value).transpose()
}

/// Up to `limit` of them after the one named, by number.
pub async fn page(tx: &Tx, after: Option<PinId>, limit: u64) -> Result<Vec<Versioned<Pin>>> {
    let rows = pin::Entity::find()
        .filter(pin::Column::Id.gt(after.map_or(0, PinId::get)))
        .order_by_asc(pin::Column::Id)
        .limit(limit)
        .all(tx.reads())
        .await
        .attempted(|| "read pins".to_owned())?;
    rows.into_iter().map(value).collect()
}

/// Takes a pin out.
pub async fn remove(tx: &Tx, id: PinId, if_version: i64) -> Result<()> {
    let found = find(tx, id).await?.ok_or_else(|| StoreError::not_found(NOUN, id))?;
    same_version(NOUN, id, found.version, if_version)?;
    pin::Entity::delete_by_id(id.get()).exec(tx.writes()?).await.attempted(|| format!("take pin {id} out"))?;
    marks::mark(tx, "pin", &format!("pin {id} was taken out")).await
}

/// Every pin on that day or later, by day.
pub async fn from(tx: &Tx, day: Day) -> Result<Vec<Pin>> {
    let rows = pin::Entity::find()
        .filter(pin::Column::Day.gte(day))
        .order_by_asc(pin::Column::Day)
        .order_by_asc(pin::Column::Id)
        .all(tx.reads())
        .await
        .attempted(|| format!("read the pins from {day}"))?;
    rows.into_iter().map(|row| Ok(value(row)?.value)).collect()
}

fn value(row: pin::Model) -> Result<Versioned<Pin>> {
    let value = Pin {
        id: PinId::new(row.id),
        day: row.day,
        panel: panel_id(&row.panel)?,
        revision: revision_id(&row.revision)?,
        quantity: row.quantity,
        reason: row.reason,
    };
    Ok(Versioned { version: row.version, value })
}
