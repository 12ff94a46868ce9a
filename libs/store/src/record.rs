//! Nouns kept and changed as a whole: find, page, insert, replace, remove, by version.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::future::Future;

use sea_orm::sea_query::{Expr, Query, SelectStatement};
use sea_orm::{
    ActiveModelTrait, ColumnTrait, Condition, EntityName as _, EntityTrait, FromQueryResult, IntoActiveModel,
    ModelTrait, QueryFilter, QueryOrder, QuerySelect, Value,
};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::references::{Needs, Use, used_by};
use crate::tx::Tx;

/// Ids of one query: both databases limit the values of a statement.
const IDS_AT_ONCE: usize = 1000;

/// A value and how often it has been written: 1 when new, one more at each change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Versioned<T> {
    /// 1 or more.
    pub version: i64,
    /// The value.
    pub value: T,
}

/// A noun that is kept and changed as a whole.
pub trait Record: Sized + Send + Sync {
    /// What it is known by.
    type Id;
    /// Its name in sentences.
    const NOUN: &'static str;

    /// The one with this id, if there is one.
    fn find(tx: &Tx, id: &Self::Id) -> impl Future<Output = Result<Option<Versioned<Self>>>> + Send;

    /// Up to `limit` of them after the one named, by id.
    fn page(tx: &Tx, after: Option<&Self::Id>, limit: u64)
    -> impl Future<Output = Result<Vec<Versioned<Self>>>> + Send;

    /// All of them, by id.
    fn all(tx: &Tx) -> impl Future<Output = Result<Vec<Self>>> + Send;

    /// Those of these ids that are there, in no order: a few queries, however many ids.
    fn those(tx: &Tx, ids: &[Self::Id]) -> impl Future<Output = Result<Vec<Versioned<Self>>>> + Send;

    /// Many new ones, as [`Record::insert`] would one, in a few queries; `plural` names them where the change is told of.
    fn insert_all(tx: &Tx, values: &[Self], plural: &str) -> impl Future<Output = Result<()>> + Send;

    /// Many in the place of those with their ids, each with the version it was read at, as [`Record::replace`] would one.
    fn replace_all(tx: &Tx, values: &[Versioned<Self>], plural: &str) -> impl Future<Output = Result<()>> + Send;

    /// Whether `value` may stand in the place of `old`: [`StoreError::Immutable`] where it would change what never changes.
    fn may_follow(tx: &Tx, old: &Versioned<Self>, value: &Self) -> impl Future<Output = Result<()>> + Send;

    /// A new one. [`StoreError::Exists`] where the id is taken, [`StoreError::Missing`] with everything it refers to
    /// that is not there.
    fn insert(tx: &Tx, value: &Self) -> impl Future<Output = Result<Versioned<Self>>> + Send;

    /// Puts `value` in the place of what has its id. [`StoreError::NotFound`], [`StoreError::Stale`] where it is at
    /// another version, [`StoreError::Missing`], [`StoreError::Immutable`] where it would change what never changes.
    fn replace(tx: &Tx, value: &Self, if_version: i64) -> impl Future<Output = Result<Versioned<Self>>> + Send;

    /// Takes it away. [`StoreError::NotFound`], [`StoreError::Stale`], [`StoreError::InUse`] where something refers to it.
    fn remove(tx: &Tx, id: &Self::Id, if_version: i64) -> impl Future<Output = Result<()>> + Send;
}

type Column<N> = <<N as Noun>::Table as EntityTrait>::Column;

/// How one noun lies in its tables; the rest of [`Record`] is the same for all.
pub trait Noun: Sized + Clone + Send + Sync + 'static {
    /// What it is known by.
    type Id: Clone + Display + Send + Sync;
    /// Its table.
    type Table: EntityTrait<Model = Self::Row>;
    /// A row of it.
    type Row: ModelTrait<Entity = Self::Table>
        + IntoActiveModel<<Self::Table as EntityTrait>::ActiveModel>
        + FromQueryResult
        + Sync
        + 'static;

    /// Its name in sentences.
    const NOUN: &'static str;
    /// The column of its id.
    const KEY: Column<Self>;
    /// Who may refer to it.
    const USES: &'static [Use];
    /// Whether a change of it may make the plan in force out of date.
    const MATTERS: bool = true;

    /// Its id.
    fn id(&self) -> &Self::Id;
    /// An id as the column holds it.
    fn key(id: &Self::Id) -> Value;
    /// Its row, at a version.
    fn row(&self, version: i64) -> Self::Row;
    /// What it refers to.
    fn needs(&self, needs: &mut Needs);
    /// Rows with their parts, back as values: one query for each table of parts.
    fn whole(tx: &Tx, rows: Vec<Self::Row>) -> impl Future<Output = Result<Vec<Versioned<Self>>>> + Send;
    /// Writes its parts.
    fn put_parts(&self, tx: &Tx) -> impl Future<Output = Result<()>> + Send;
    /// Takes the parts of what has this id away.
    fn take_parts(tx: &Tx, id: &Self::Id) -> impl Future<Output = Result<()>> + Send;

    /// Writes the parts of many.
    fn put_all_parts(tx: &Tx, values: &[&Self]) -> impl Future<Output = Result<()>> + Send {
        async move {
            for value in values {
                value.put_parts(tx).await?;
            }
            Ok(())
        }
    }
    /// Takes the parts of all that have these ids away.
    fn take_all_parts(tx: &Tx, ids: &[&Self::Id]) -> impl Future<Output = Result<()>> + Send {
        async move {
            for id in ids {
                Self::take_parts(tx, id).await?;
            }
            Ok(())
        }
    }

    /// Rows beyond this id, in the order of ids.
    fn beyond(id: &Self::Id) -> Condition {
        Condition::all().add(Self::KEY.gt(Self::key(id)))
    }
    /// The columns that order ids.
    fn order() -> Vec<Column<Self>> {
        vec![Self::KEY]
    }
    /// Whether `value` may stand in the place of `old`.
    fn may_replace(_tx: &Tx, _old: &Versioned<Self>, _value: &Self) -> impl Future<Output = Result<()>> + Send {
        async { Ok(()) }
    }
}

impl<N: Noun> Record for N {
    type Id = <N as Noun>::Id;
    const NOUN: &'static str = <N as Noun>::NOUN;

    async fn find(tx: &Tx, id: &Self::Id) -> Result<Option<Versioned<Self>>> {
        let row = row_of::<N>(tx, id).await?;
        Ok(N::whole(tx, row.into_iter().collect()).await?.pop())
    }

    async fn page(tx: &Tx, after: Option<&Self::Id>, limit: u64) -> Result<Vec<Versioned<Self>>> {
        page_where::<N>(tx, Condition::all(), after, Some(limit)).await
    }

    async fn all(tx: &Tx) -> Result<Vec<Self>> {
        let all = page_where::<N>(tx, Condition::all(), None, None).await?;
        Ok(all.into_iter().map(|v| v.value).collect())
    }

    async fn those(tx: &Tx, ids: &[Self::Id]) -> Result<Vec<Versioned<Self>>> {
        let mut found = Vec::with_capacity(ids.len());
        for some in ids.chunks(IDS_AT_ONCE) {
            let condition = Condition::all().add(N::KEY.is_in(some.iter().map(N::key)));
            found.extend(page_where::<N>(tx, condition, None, None).await?);
        }
        Ok(found)
    }

    async fn may_follow(tx: &Tx, old: &Versioned<Self>, value: &Self) -> Result<()> {
        N::may_replace(tx, old, value).await
    }

    async fn insert_all(tx: &Tx, values: &[Self], plural: &str) -> Result<()> {
        tx.writes()?;
        let ids: Vec<Self::Id> = values.iter().map(|value| value.id().clone()).collect();
        if let Some(there) = Self::those(tx, &ids).await?.first() {
            return Err(StoreError::Exists { noun: <N as Noun>::NOUN, id: there.value.id().to_string() });
        }
        needs_of_all(values.iter()).met(tx).await?;
        crate::parts::put(tx, values.iter().map(|value| value.row(1)).collect()).await?;
        N::put_all_parts(tx, &values.iter().collect::<Vec<_>>()).await?;
        many_marked::<N>(tx, values.len(), plural, "are new").await
    }

    async fn replace_all(tx: &Tx, values: &[Versioned<Self>], plural: &str) -> Result<()> {
        tx.writes()?;
        let ids: Vec<Self::Id> = values.iter().map(|v| v.value.id().clone()).collect();
        let there: BTreeMap<String, Versioned<Self>> =
            Self::those(tx, &ids).await?.into_iter().map(|v| (v.value.id().to_string(), v)).collect();
        for new in values {
            let id = new.value.id();
            let old = there.get(&id.to_string()).ok_or_else(|| StoreError::not_found(<N as Noun>::NOUN, id))?;
            same_version(<N as Noun>::NOUN, id, old.version, new.version)?;
            N::may_replace(tx, old, &new.value).await?;
        }
        needs_of_all(values.iter().map(|v| &v.value)).met(tx).await?;
        for Versioned { version, value } in values {
            put_row(tx, value, version + 1).await?;
        }
        N::take_all_parts(tx, &ids.iter().collect::<Vec<_>>()).await?;
        N::put_all_parts(tx, &values.iter().map(|v| &v.value).collect::<Vec<_>>()).await?;
        many_marked::<N>(tx, values.len(), plural, "were changed").await
    }

    async fn insert(tx: &Tx, value: &Self) -> Result<Versioned<Self>> {
        tx.writes()?;
        let taken = || StoreError::Exists { noun: <N as Noun>::NOUN, id: value.id().to_string() };
        needs_of(value).met_by_new(tx, row_with::<N>(value.id()), taken).await?;
        crate::parts::put(tx, vec![value.row(1)]).await?;
        value.put_parts(tx).await?;
        marked::<N>(tx, value.id(), "is new").await?;
        Ok(Versioned { version: 1, value: value.clone() })
    }

    async fn replace(tx: &Tx, value: &Self, if_version: i64) -> Result<Versioned<Self>> {
        tx.writes()?;
        let old = current::<N>(tx, value.id(), if_version).await?;
        N::may_replace(tx, &old, value).await?;
        needs_of(value).met(tx).await?;
        let version = if_version + 1;
        put_row(tx, value, version).await?;
        N::take_parts(tx, value.id()).await?;
        value.put_parts(tx).await?;
        marked::<N>(tx, value.id(), "was changed").await?;
        Ok(Versioned { version, value: value.clone() })
    }

    async fn remove(tx: &Tx, id: &Self::Id, if_version: i64) -> Result<()> {
        tx.writes()?;
        current::<N>(tx, id, if_version).await?;
        if let Some(by) = used_by(tx, N::USES, &N::key(id)).await? {
            return Err(StoreError::InUse { noun: <N as Noun>::NOUN, id: id.to_string(), by });
        }
        N::take_parts(tx, id).await?;
        N::Table::delete_many()
            .filter(N::KEY.eq(N::key(id)))
            .exec(tx.writes()?)
            .await
            .attempted(|| format!("remove {} '{id}'", <N as Noun>::NOUN))?;
        marked::<N>(tx, id, "was removed").await
    }
}

/// Marks the plan as out of date where the noun matters to it.
async fn marked<N: Noun>(tx: &Tx, id: &<N as Noun>::Id, how: &str) -> Result<()> {
    if !N::MATTERS {
        return Ok(());
    }
    crate::marks::mark(tx, <N as Noun>::NOUN, &format!("{} '{id}' {how}", <N as Noun>::NOUN)).await
}

/// The same for many of them at once.
async fn many_marked<N: Noun>(tx: &Tx, count: usize, plural: &str, how: &str) -> Result<()> {
    if !N::MATTERS || count == 0 {
        return Ok(());
    }
    crate::marks::mark(tx, <N as Noun>::NOUN, &format!("{count} {plural} {how}")).await
}

fn needs_of<N: Noun>(value: &N) -> Needs {
    needs_of_all(std::iter::once(value))
}

fn needs_of_all<'v, N: Noun>(values: impl Iterator<Item = &'v N>) -> Needs {
    let mut needs = Needs::default();
    values.for_each(|value| value.needs(&mut needs));
    needs
}

/// Writes a row over the one of its id.
async fn put_row<N: Noun>(tx: &Tx, value: &N, version: i64) -> Result<()> {
    N::Table::update_many()
        .set(value.row(version).into_active_model().reset_all())
        .filter(N::KEY.eq(N::key(value.id())))
        .exec(tx.writes()?)
        .await
        .attempted(|| format!("change {} '{}'", <N as Noun>::NOUN, value.id()))?;
    Ok(())
}

/// A row for what has this id, where it is there, in the form of [`Needs::met_by_new`].
fn row_with<N: Noun>(id: &<N as Noun>::Id) -> SelectStatement {
    let (table, key) = (N::Table::default().table_ref(), N::KEY.eq(N::key(id)));
    Query::select().exprs([Expr::cust("-1"), Expr::cust("''")]).from(table).and_where(key).to_owned()
}

async fn row_of<N: Noun>(tx: &Tx, id: &<N as Noun>::Id) -> Result<Option<N::Row>> {
    N::Table::find()
        .filter(N::KEY.eq(N::key(id)))
        .one(tx.reads())
        .await
        .attempted(|| format!("read {} '{id}'", <N as Noun>::NOUN))
}

/// What has this id, if it is at this version.
async fn current<N: Noun>(tx: &Tx, id: &<N as Noun>::Id, if_version: i64) -> Result<Versioned<N>> {
    let found = <N as Record>::find(tx, id).await?;
    let found = found.ok_or_else(|| StoreError::not_found(<N as Noun>::NOUN, id))?;
    same_version(<N as Noun>::NOUN, id, found.version, if_version)?;
    Ok(found)
}

/// That a thing is at the version its changer has read.
pub(crate) fn same_version(noun: &'static str, id: impl Display, current: i64, if_version: i64) -> Result<()> {
    if current == if_version { Ok(()) } else { Err(StoreError::Stale { noun, id: id.to_string(), current }) }
}

/// Those that meet a condition, by id.
pub(crate) async fn page_where<N: Noun>(
    tx: &Tx,
    condition: Condition,
    after: Option<&<N as Noun>::Id>,
    limit: Option<u64>,
) -> Result<Vec<Versioned<N>>> {
    let mut rows = N::Table::find().filter(condition).limit(limit);
    if let Some(after) = after {
        rows = rows.filter(N::beyond(after));
    }
    for column in N::order() {
        rows = rows.order_by_asc(column);
    }
    let rows = rows.all(tx.reads()).await.attempted(|| format!("read each {}", <N as Noun>::NOUN))?;
    N::whole(tx, rows).await
}
