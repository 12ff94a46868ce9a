//! Orders by their state. (All else is [`Record`](crate::Record).)

use sea_orm::{ColumnTrait as _, Condition};
use workshop::ids::OrderId;
use workshop::orders::{Order, OrderState};

use crate::error::Result;
use crate::nouns::order::customer_order::Column;
use crate::record::{Versioned, page_where};
use crate::tx::Tx;
use crate::words::Word as _;

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

fn in_state(state: Option<OrderState>) -> Condition {
    Condition::all().add_option(state.map(|state| Column::State.eq(state.word())))
}
