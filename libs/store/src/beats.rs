//! That workers are alive.

use chrono::{DateTime, Utc};
use sea_orm::{
    ActiveModelTrait as _, ColumnTrait as _, EntityTrait as _, IntoActiveModel as _, QueryFilter as _, QueryOrder as _,
};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::jobs::FARTHEST;
use crate::parts;
use crate::table::table;
use crate::tx::Tx;
use crate::words::moment;

table!(worker_beat, "worker_beat", {
    #[sea_orm(primary_key, auto_increment = false)]
    worker: String,
    at: DateTimeUtc,
});

/// Says that a worker is alive, and takes away what was said in the name of a clock that has been put back since.
pub async fn beat(tx: &Tx, worker: &str, now: DateTime<Utc>) -> Result<()> {
    let attempted = || format!("say that worker {worker} is alive");
    worker_beat::Entity::delete_many()
        .filter(worker_beat::Column::At.gt(moment(now + FARTHEST)))
        .exec(tx.writes()?)
        .await
        .attempted(attempted)?;
    let row = worker_beat::Model { worker: worker.to_owned(), at: moment(now) };
    match worker_beat::Entity::find_by_id(worker).one(tx.reads()).await.attempted(attempted)? {
        Some(_) => {
            row.into_active_model().reset_all().update(tx.writes()?).await.attempted(attempted)?;
            Ok(())
        }
        None => parts::put(tx, vec![row]).await,
    }
}

/// When any worker last said so.
pub async fn last(tx: &Tx) -> Result<Option<DateTime<Utc>>> {
    let row = worker_beat::Entity::find()
        .order_by_desc(worker_beat::Column::At)
        .one(tx.reads())
        .await
        .attempted(|| "see when a worker was last alive".to_owned())?;
    Ok(row.map(|row| row.at))
}
