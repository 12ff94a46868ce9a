//! Orders by their state, and what they can be had in. (All else is [`Record`](crate::Record).)

use std::collections::BTreeSet;

use sea_orm::sea_query::{Expr, ExprTrait as _, Query, SelectStatement, UnionType};
use sea_orm::{ColumnTrait as _, Condition, ConnectionTrait as _, QueryResult};
use workshop::catalogue::{PanelSet, RevisionState};
use workshop::checks::order::Range;
use workshop::ids::OrderId;
use workshop::orders::{Item, Order, OrderLine, OrderState};

use crate::classify::Attempted as _;
use crate::error::Result;
use crate::nouns::order::customer_order::Column;
use crate::record::{Versioned, page_where};
use crate::tx::Tx;
use crate::words::{Word as _, finish_id, panel_id, perhaps, set_id};

/// Every open order, by id.
pub async fn open(tx: &Tx) -> Result<Vec<Order>> {
    let open = page_where::<Order>(tx, in_state(Some(OrderState::Open)), None, None).await?;
    Ok(open.into_iter().map(|v| v.value).collect())
}

/// Up to `limit` orders in a state (in any, where none is given) after the one named, by id.
pub async fn page_by_state(
    tx: &Tx,
    state: Option<OrderState>,
    after: Option<&OrderId>,
    limit: u64,
) -> Result<Vec<Versioned<Order>>> {
    page_where(tx, in_state(state), after, Some(limit)).await
}

/// What the workshop can make, as far as these lines ask: their sets and panels, in which finishes a mix in use gives each, and
/// all finishes. One query, however large the catalogue is: an order waits for it while it has the turn to write.
pub async fn range(tx: &Tx, lines: &[OrderLine]) -> Result<Range> {
    let (mut sets, mut panels) = (BTreeSet::new(), BTreeSet::new());
    for line in lines {
        match &line.item {
            Item::Set(set) => drop(sets.insert(set.to_string())),
            Item::Panel(panel) => drop(panels.insert(panel.to_string())),
        }
    }
    let mut query = finishes_of_panels(&sets, panels);
    query.union(UnionType::All, panels_of_sets(&sets)).union(UnionType::All, all_finishes());
    let (mut range, mut parts) = (Range::default(), Vec::new());
    for row in tx.reads().query_all(&query).await.attempted(reading_range)? {
        let (id, other) = (text(&row, 1)?, row.try_get_by_index::<Option<String>>(2).attempted(reading_range)?);
        match row.try_get_by_index::<i32>(0).attempted(reading_range)? {
            FINISH => drop(range.known_finishes.insert(finish_id(&id)?)),
            PANEL => range.finishes.entry(panel_id(&id)?).or_default().extend(perhaps(other.as_ref(), finish_id)?),
            _ => parts.push((id, number(&row, 3)?, other.unwrap_or_default(), number(&row, 4)?)),
        }
    }
    parts.sort();
    for (set, _, panel, quantity) in parts {
        let id = set_id(&set)?;
        let (id, none) = (id.clone(), || PanelSet { id, name: String::new(), panels: vec![], hardware: vec![] });
        range.sets.entry(id).or_insert_with(none).panels.push((panel_id(&panel)?, quantity));
    }
    Ok(range)
}

/// What a row of the range tells of, in its first column: a finish that is there, a panel and one finish it can be had in
/// (or none), a set and one of its panels with its place and number.
const FINISH: i32 = 1;
const PANEL: i32 = 2;
const PART: i32 = 3;

fn row_of(what: i32) -> SelectStatement {
    Query::select().expr(Expr::cust(what.to_string())).to_owned()
}

fn all_finishes() -> SelectStatement {
    let (none, zero) = (|| Expr::cust("NULL"), || Expr::cust("0"));
    row_of(FINISH).column("id").exprs([none(), zero(), zero()]).from("finish").to_owned()
}

/// The panels of sets and how many of each; nothing for a set that is not there.
fn panels_of_sets(sets: &BTreeSet<String>) -> SelectStatement {
    row_of(PART)
        .columns(["set_id", "panel", "position", "quantity"])
        .from("set_panel")
        .and_where(Expr::col("set_id").is_in(sets))
        .to_owned()
}

/// The finishes that panels, and those of sets, can be had in: those of the mixes of which they suit a revision in use. A panel
/// that is there has a row, be it without a finish.
fn finishes_of_panels(sets: &BTreeSet<String>, panels: BTreeSet<String>) -> SelectStatement {
    let column = |table: &'static str, column: &'static str| Expr::col((table, column));
    let in_use = column("mix_revision", "id")
        .eq(column("panel_suit", "revision"))
        .and(column("mix_revision", "state").eq(RevisionState::InUse.word()));
    let of_sets =
        Query::select().column("panel").from("set_panel").and_where(Expr::col("set_id").is_in(sets)).to_owned();
    let id = || column("panel", "id");
    row_of(PANEL)
        .column(("panel", "id"))
        .column(("mix", "finish"))
        .exprs([Expr::cust("0"), Expr::cust("0")])
        .from("panel")
        .left_join("panel_suit", column("panel_suit", "panel").eq(id()))
        .left_join("mix_revision", in_use)
        .left_join("mix", column("mix", "id").eq(column("mix_revision", "mix")))
        .and_where(id().is_in(panels).or(id().in_subquery(of_sets)))
        .to_owned()
}

fn reading_range() -> String {
    "read what an order can be had in".to_owned()
}

fn number(row: &QueryResult, index: usize) -> Result<i64> {
    row.try_get_by_index::<i64>(index).attempted(reading_range)
}

fn text(row: &QueryResult, index: usize) -> Result<String> {
    row.try_get_by_index::<String>(index).attempted(reading_range)
}

fn in_state(state: Option<OrderState>) -> Condition {
    Condition::all().add_option(state.map(|state| Column::State.eq(state.word())))
}
