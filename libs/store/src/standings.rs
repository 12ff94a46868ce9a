//! The states a revision was put in: one row each time, only added.

use chrono::{DateTime, Utc};
use sea_orm::{
    ActiveModelTrait as _, ActiveValue, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _,
    QueryOrder as _, QuerySelect as _,
};
use workshop::catalogue::{MixRevision, RevisionState};
use workshop::ids::{RevisionId, TrialId};
use workshop::trials::Standing;

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::record::{Record as _, Versioned};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, moment, perhaps, revision_id, trial_id};

table!(revision_standing, "revision_standing", {
    #[sea_orm(primary_key)]
    id: i64,
    revision: String,
    state: String,
    at: DateTimeUtc,
    trial: Option<String>,
    reason: Option<String>,
});

/// A new revision, and that it was put in the state it is in.
pub async fn insert(tx: &Tx, revision: &MixRevision, at: DateTime<Utc>) -> Result<Versioned<MixRevision>> {
    let made = MixRevision::insert(tx, revision).await?;
    append(tx, &standing(&made.value, at, None)).await?;
    Ok(made)
}

/// Puts a revision in another state, and keeps when and on which trial.
pub async fn replace(
    tx: &Tx,
    revision: &MixRevision,
    if_version: i64,
    at: DateTime<Utc>,
    trial: Option<TrialId>,
) -> Result<Versioned<MixRevision>> {
    let changed = MixRevision::replace(tx, revision, if_version).await?;
    append(tx, &standing(&changed.value, at, trial)).await?;
    Ok(changed)
}

fn standing(of: &MixRevision, at: DateTime<Utc>, trial: Option<TrialId>) -> Standing {
    Standing { revision: of.id.clone(), state: of.state, at, trial, reason: of.reason.clone() }
}

/// Whether a revision was put in use on a trial.
pub(crate) async fn rest_on(tx: &Tx, trial: &TrialId) -> Result<bool> {
    let rows = revision_standing::Entity::find().filter(revision_standing::Column::Trial.eq(trial.to_string()));
    let found = rows.one(tx.reads()).await.attempted(|| format!("read what rests on trial '{trial}'"))?;
    Ok(found.is_some())
}

async fn append(tx: &Tx, new: &Standing) -> Result<()> {
    let mut row = revision_standing::Model {
        id: 0,
        revision: new.revision.to_string(),
        state: new.state.word(),
        at: moment(new.at),
        trial: new.trial.as_ref().map(ToString::to_string),
        reason: new.reason.clone(),
    }
    .into_active_model()
    .reset_all();
    row.id = ActiveValue::NotSet;
    let attempted = || format!("write what state '{}' was put in", new.revision);
    revision_standing::Entity::insert(row).exec(tx.writes()?).await.attempted(attempted)?;
    Ok(())
}

/// Up to `limit` of the states a revision was put in after the one numbered, in the order they were written, each with its
/// number.
pub async fn page(tx: &Tx, revision: &RevisionId, after: Option<i64>, limit: u64) -> Result<Vec<(i64, Standing)>> {
    use revision_standing::Column;
    let mut rows = revision_standing::Entity::find()
        .filter(Column::Revision.eq(revision.to_string()))
        .order_by_asc(Column::Id)
        .limit(limit);
    if let Some(after) = after {
        rows = rows.filter(Column::Id.gt(after));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| format!("read what states '{revision}' was put in"))?;
    rows.into_iter().map(value).collect()
}

fn value(row: revision_standing::Model) -> Result<(i64, Standing)> {
    let standing = Standing {
        revision: revision_id(&row.revision)?,
        state: RevisionState::of(&row.state)?,
        at: row.at,
        trial: perhaps(row.trial.as_ref(), trial_id)?,
        reason: row.reason,
    };
    Ok((row.id, standing))
}
