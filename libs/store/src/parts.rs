//! Child rows: what a noun is made of, in its own table with the parent's key and a position.

use std::collections::BTreeMap;

use sea_orm::{
    ActiveModelTrait, ColumnTrait, ConnectionTrait, EntityName, EntityTrait, IntoActiveModel, ModelTrait, QueryFilter,
    QueryOrder, QueryTrait, Value,
};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::tx::Tx;

/// More parents than this and their children are read whole, without naming each parent.
const NAMED_PARENTS: usize = 1000;
/// Rows of one insert: both databases limit the values of a statement.
const ROWS_AT_ONCE: usize = 1000;

/// Child rows by parent, in their order: one query, however many parents.
pub(crate) async fn of_parents<E, P>(
    tx: &Tx,
    parent: E::Column,
    position: E::Column,
    parents: &[P],
    key: impl Fn(&E::Model) -> P,
) -> Result<BTreeMap<P, Vec<E::Model>>>
where
    E: EntityTrait,
    P: Ord + Clone + Into<Value>,
{
    let mut rows = E::find().order_by_asc(parent).order_by_asc(position);
    if parents.len() <= NAMED_PARENTS {
        rows = rows.filter(parent.is_in(parents.iter().cloned()));
    }
    let rows = rows.all(tx.reads()).await.attempted(|| format!("read {}", E::default().table_name()))?;
    let mut by_parent: BTreeMap<P, Vec<E::Model>> = BTreeMap::new();
    for row in rows {
        by_parent.entry(key(&row)).or_default().push(row);
    }
    Ok(by_parent)
}

/// Writes rows as they are.
pub(crate) async fn put<M>(tx: &Tx, rows: Vec<M>) -> Result<()>
where
    M: IntoActiveModel<<M::Entity as EntityTrait>::ActiveModel> + ModelTrait,
{
    let mut waiting = rows.into_iter().peekable();
    while waiting.peek().is_some() {
        let some = waiting.by_ref().take(ROWS_AT_ONCE).map(|row| row.into_active_model().reset_all());
        let statement = M::Entity::insert_many(some.collect::<Vec<_>>()).into_query();
        tx.writes()?.execute(&statement).await.attempted(|| format!("write {}", M::Entity::default().table_name()))?;
    }
    Ok(())
}

/// Takes all children of one parent away.
pub(crate) async fn take<E: EntityTrait>(tx: &Tx, parent: E::Column, key: impl Into<Value>) -> Result<()> {
    E::delete_many()
        .filter(parent.eq(key))
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("write {}", E::default().table_name()))?;
    Ok(())
}

/// Takes all children of many parents away.
pub(crate) async fn take_of_all<E: EntityTrait>(tx: &Tx, parent: E::Column, keys: &[&str]) -> Result<()> {
    for some in keys.chunks(NAMED_PARENTS) {
        E::delete_many()
            .filter(parent.is_in(some.iter().copied()))
            .exec(tx.writes()?)
            .await
            .attempted(|| format!("write {}", E::default().table_name()))?;
    }
    Ok(())
}

/// A place in a list as its column holds it: counted from 1.
pub(crate) fn place(index: usize) -> i64 {
    i64::try_from(index).map_or(i64::MAX, |i| i.saturating_add(1))
}
