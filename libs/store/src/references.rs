//! What refers to what: everything named must be there before a row is written, and nothing in use is removed.
//!
//! The schema's foreign keys say the same. They are asked second, because they name one fault at a time and not well.

use std::collections::{BTreeMap, BTreeSet};

use sea_orm::sea_query::{Alias, Expr, ExprTrait as _, Order, Query, SelectStatement, UnionType};
use sea_orm::{ConnectionTrait as _, Value};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::tx::Tx;

/// Ids of one query: both databases limit the values of a statement.
const IDS_AT_ONCE: usize = 1000;

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

    /// That all of them are there: one query, however many nouns; [`StoreError::Missing`] names every one that is not.
    pub(crate) async fn met(&self, tx: &Tx) -> Result<()> {
        self.met_by(&self.there(tx, None).await?)
    }

    /// The same for something new, whose own id must not be taken: `itself` is a row of -1 and an empty text where it is.
    pub(crate) async fn met_by_new(
        &self,
        tx: &Tx,
        itself: SelectStatement,
        taken: impl FnOnce() -> StoreError,
    ) -> Result<()> {
        let there = self.there(tx, Some(itself)).await?;
        if there.contains(&(-1, String::new())) { Err(taken()) } else { self.met_by(&there) }
    }

    fn met_by(&self, there: &BTreeSet<(i32, String)>) -> Result<()> {
        let missing = |(thing, id): &(Thing, &String)| !there.contains(&(*thing as i32, (*id).clone()));
        let missing: Vec<_> = self.each().filter(missing).map(|(thing, id)| (thing.noun(), id.clone())).collect();
        if missing.is_empty() { Ok(()) } else { Err(StoreError::Missing(missing)) }
    }

    fn each(&self) -> impl Iterator<Item = (Thing, &String)> {
        self.0.iter().flat_map(|(thing, ids)| ids.iter().map(|id| (*thing, id)))
    }

    /// Those that are there, each with the number of its noun; and what else is asked for along with them.
    async fn there(&self, tx: &Tx, mut along: Option<SelectStatement>) -> Result<BTreeSet<(i32, String)>> {
        let all: Vec<(Thing, &String)> = self.each().collect();
        let mut there = BTreeSet::new();
        let mut waiting = all.chunks(IDS_AT_ONCE);
        loop {
            let some = waiting.next().unwrap_or_default();
            let mut questions = along.take().into_iter().chain(some.chunk_by(|a, b| a.0 == b.0).map(which_are_there));
            let Some(mut query) = questions.next() else { break };
            query.unions(questions.map(|question| (UnionType::All, question)));
            for row in tx.reads().query_all(&query).await.attempted(looking_up)? {
                let thing = row.try_get_by_index::<i32>(0).attempted(looking_up)?;
                there.insert((thing, row.try_get_by_index::<String>(1).attempted(looking_up)?));
            }
        }
        Ok(there)
    }
}

fn looking_up() -> String {
    "look up what is named".to_owned()
}

/// Which of these things of one noun are there, each with the number of its noun.
fn which_are_there(wanted: &[(Thing, &String)]) -> SelectStatement {
    let thing = wanted.first().map_or(Thing::Material, |(thing, _)| *thing);
    Query::select()
        .expr(Expr::cust((thing as i32).to_string()))
        .column("id")
        .from(thing.table())
        .and_where(Expr::col("id").is_in(wanted.iter().map(|(_, id)| id.as_str())))
        .to_owned()
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
