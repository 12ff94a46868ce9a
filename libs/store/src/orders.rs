//! Orders by their state, and what they can be had in. (All else is [`Record`](crate::Record).)

use std::collections::{BTreeMap, BTreeSet};

use sea_orm::sea_query::{Expr, ExprTrait as _, Order as Sorted, Query};
use sea_orm::{ColumnTrait as _, Condition, ConnectionTrait as _, QueryResult};
use workshop::catalogue::{PanelSet, RevisionState};
use workshop::checks::order::Range;
use workshop::ids::{FinishId, OrderId, PanelId, SetId};
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
/// all finishes. Four short queries, however large the catalogue is.
pub async fn range(tx: &Tx, lines: &[OrderLine]) -> Result<Range> {
    let mut range = Range { known_finishes: known_finishes(tx).await?, ..Range::default() };
    let (mut sets, mut panels) = (BTreeSet::new(), BTreeSet::new());
    for line in lines {
        match &line.item {
            Item::Set(set) => drop(sets.insert(set.to_string())),
            Item::Panel(panel) => drop(panels.insert(panel.to_string())),
        }
    }
    for (set, panel, quantity) in panels_of_sets(tx, sets).await? {
        panels.insert(panel.to_string());
        let (id, none) = (set.clone(), || PanelSet { id: set, name: String::new(), panels: vec![], hardware: vec![] });
        range.sets.entry(id).or_insert_with(none).panels.push((panel, quantity));
    }
    range.finishes = finishes_of_panels(tx, panels).await?;
    Ok(range)
}

async fn known_finishes(tx: &Tx) -> Result<BTreeSet<FinishId>> {
    let query = Query::select().column("id").from("finish").to_owned();
    let rows = tx.reads().query_all(&query).await.attempted(|| "read the finishes".to_owned())?;
    rows.iter().map(|row| finish_id(&text(row, 0)?)).collect()
}

/// The panels of sets and how many of each; nothing for a set that is not there.
async fn panels_of_sets(tx: &Tx, sets: BTreeSet<String>) -> Result<Vec<(SetId, PanelId, i64)>> {
    let attempted = || "read the panels of sets".to_owned();
    let query = Query::select()
        .columns(["set_id", "panel", "quantity"])
        .from("set_panel")
        .and_where(Expr::col("set_id").is_in(sets))
        .order_by("set_id", Sorted::Asc)
        .order_by("position", Sorted::Asc)
        .to_owned();
    let rows = tx.reads().query_all(&query).await.attempted(attempted)?;
    let row = |row: &QueryResult| {
        let quantity = row.try_get_by_index::<i64>(2).attempted(attempted)?;
        Ok((set_id(&text(row, 0)?)?, panel_id(&text(row, 1)?)?, quantity))
    };
    rows.iter().map(row).collect()
}

/// The finishes each panel can be had in: those of the mixes of which it suits a revision in use. A panel that is there has an
/// entry, be it empty.
async fn finishes_of_panels(tx: &Tx, panels: BTreeSet<String>) -> Result<BTreeMap<PanelId, BTreeSet<FinishId>>> {
    let attempted = || "read in which finishes panels can be had".to_owned();
    let column = |table: &'static str, column: &'static str| Expr::col((table, column));
    let in_use = column("mix_revision", "id")
        .eq(column("panel_suit", "revision"))
        .and(column("mix_revision", "state").eq(RevisionState::InUse.word()));
    let query = Query::select()
        .column(("panel", "id"))
        .column(("mix", "finish"))
        .from("panel")
        .left_join("panel_suit", column("panel_suit", "panel").eq(column("panel", "id")))
        .left_join("mix_revision", in_use)
        .left_join("mix", column("mix", "id").eq(column("mix_revision", "mix")))
        .and_where(column("panel", "id").is_in(panels))
        .to_owned();
    let rows = tx.reads().query_all(&query).await.attempted(attempted)?;
    let mut found: BTreeMap<PanelId, BTreeSet<FinishId>> = BTreeMap::new();
    for row in &rows {
        let finishes = found.entry(panel_id(&text(row, 0)?)?).or_default();
        let finish = row.try_get_by_index::<Option<String>>(1).attempted(attempted)?;
        finishes.extend(perhaps(finish.as_ref(), finish_id)?);
    }
    Ok(found)
}

fn text(row: &QueryResult, index: usize) -> Result<String> {
    row.try_get_by_index::<String>(index).attempted(|| "read what an order can be had in".to_owned())
}

fn in_state(state: Option<OrderState>) -> Condition {
    Condition::all().add_option(state.map(|state| Column::State.eq(state.word())))
}
