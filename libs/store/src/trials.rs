//! Trials by the revision they are of. (All else is [`Record`](crate::Record).)

use sea_orm::{ColumnTrait as _, Condition};
use workshop::ids::{RevisionId, TrialId};
use workshop::trials::Trial;

use crate::error::Result;
use crate::nouns::trial::trial::Column;
use crate::record::{Versioned, page_where};
use crate::tx::Tx;

/// Up to `limit` trials of a revision (of any, where none is given) after the one named, by id.
pub async fn page_of_revision(
    tx: &Tx,
    revision: Option<&RevisionId>,
    after: Option<&TrialId>,
    limit: u64,
) -> Result<Vec<Versioned<Trial>>> {
    page_where(tx, of(revision), after, Some(limit)).await
}

/// The newest trial of a revision: the one mixed last, and of those mixed on one day the one last by id.
pub async fn newest(tx: &Tx, revision: &RevisionId) -> Result<Option<Trial>> {
    let all = page_where::<Trial>(tx, of(Some(revision)), None, None).await?;
    Ok(all.into_iter().map(|found| found.value).max_by(|a, b| (a.mixed_on, &a.id).cmp(&(b.mixed_on, &b.id))))
}

fn of(revision: Option<&RevisionId>) -> Condition {
    Condition::all().add_option(revision.map(|revision| Column::Revision.eq(revision.to_string())))
}
