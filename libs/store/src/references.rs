//! What refers to what: everything named must be there before a row is written, and nothing in use is removed.
//!
//! The schema's foreign keys say the same. They are asked second, because they name one fault at a time and not well.

use std::collections::{BTreeMap, BTreeSet};

use sea_orm::sea_query::{Alias, Expr, ExprTrait as _, Order, Query};
use sea_orm::{ConnectionTrait as _, Value};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::tx::Tx;

/// A noun that others refer to by the text in its table's `id`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Thing {
    Material,
    Finish,
    Mix,
    Revision,
    MouldGroup,
    Tank,
    Rack,
    Panel,
    Set,
    Order,
    Ticket,
    ScrapCause,
    UpkeepTask,
}

impl Thing {
    fn noun(self) -> &'static str {
        match self {
            Thing::Material => "material",
            Thing::Finish => "finish",
            Thing::Mix => "mix",
            Thing::Revision => "mix revision",
            Thing::MouldGroup => "mould group",
            Thing::Tank => "tank",
            Thing::Rack => "rack",
            Thing::Panel => "panel",
            Thing::Set => "set",
            Thing::Order => "order",
            Thing::Ticket => "ticket",
            Thing::ScrapCause => "scrap cause",
            Thing::UpkeepTask => "upkeep task",
        }
    }

    fn table(self) -> &'static str {
        match self {
            Thing::Material => "material",
            Thing::Finish => "finish",
            Thing::Mix => "mix",
            Thing::Revision => "mix_revision",
            Thing::MouldGroup => "mould_group",
            Thing::Tank => "tank",
            Thing::Rack => "rack",
            Thing::Panel => "panel",
            Thing::Set => "panel_set",
            Thing::Order => "customer_order",
            Thing::Ticket => "ticket",
            Thing::ScrapCause => "scrap_cause",
            Thing::UpkeepTask => "upkeep_task",
        }
    }
}

/// The things a value refers to.
#[derive(Default)]
pub struct Needs(BTreeMap<Thing, BTreeSet<String>>);

impl Needs {
    /// Adds one.
    pub(crate) fn on(&mut self, thing: Thing, id: impl ToString) -> &mut Self {
        self.0.entry(thing).or_default().insert(id.to_string());
        self
    }

    /// Adds one where there is one.
    pub(crate) fn perhaps_on<T: ToString>(&mut self, thing: Thing, id: Option<&T>) -> &mut Self {
        if let Some(id) = id {
            self.on(thing, id.to_string());
        }
        self
    }

    /// That all of them are there: one query a noun; [`StoreError::Missing`] names every one that is not.
    pub(crate) async fn met(&self, tx: &Tx) -> Result<()> {
        let mut missing = Vec::new();
        for (thing, wanted) in &self.0 {
            let there = ids_there(tx, *thing, wanted).await?;
            missing.extend(wanted.difference(&there).map(|id| (thing.noun(), id.clone())));
        }
        if missing.is_empty() { Ok(()) } else { Err(StoreError::Missing(missing)) }
    }
}

async fn ids_there(tx: &Tx, thing: Thing, wanted: &BTreeSet<String>) -> Result<BTreeSet<String>> {
    let attempted = || format!("look up each {}", thing.noun());
    let mut there = BTreeSet::new();
    let wanted: Vec<&String> = wanted.iter().collect();
    for some in wanted.chunks(1000) {
        let query = Query::select()
            .column("id")
            .from(thing.table())
            .and_where(Expr::col("id").is_in(some.iter().map(|id| id.as_str())))
            .to_owned();
        for row in tx.reads().query_all(&query).await.attempted(attempted)? {
            there.insert(row.try_get_by_index::<String>(0).attempted(attempted)?);
        }
    }
    Ok(there)
}

/// Where a noun is used: `column` of `table` names it, `shows` names who uses it.
pub struct Use {
    /// The user, as people say it.
    pub(crate) noun: &'static str,
    /// The table that refers.
    pub(crate) table: &'static str,
    /// Its column that refers.
    pub(crate) column: &'static str,
    /// Its column that says who.
    pub(crate) shows: &'static str,
}

impl Use {
    pub(crate) const fn by(noun: &'static str, table: &'static str, column: &'static str, shows: &'static str) -> Self {
        Self { noun, table, column, shows }
    }
}

/// Who uses `id`: each noun with up to three of its ids, or nothing where no one does.
pub(crate) async fn used_by(tx: &Tx, uses: &[Use], id: &Value) -> Result<Option<String>> {
    let mut said = Vec::new();
    for used in uses {
        let users = users(tx, used, id).await?;
        if !users.is_empty() {
            said.push(format!("{} {}", used.noun, users.join(", ")));
        }
    }
    Ok((!said.is_empty()).then(|| said.join("; ")))
}

async fn users(tx: &Tx, used: &Use, id: &Value) -> Result<Vec<String>> {
    let attempted = || format!("see which {} uses it", used.noun);
    let shows = Expr::col(used.shows).cast_as(Alias::new("text"));
    let query = Query::select()
        .distinct()
        .expr_as(shows, "who")
        .from(used.table)
        .and_where(Expr::col(used.column).eq(id.clone()))
        .order_by("who", Order::Asc)
        .limit(3)
        .to_owned();
    let rows = tx.reads().query_all(&query).await.attempted(attempted)?;
    rows.iter().map(|row| row.try_get_by_index::<String>(0).attempted(attempted)).collect()
}
