//! Orders and their lines.

use sea_orm::Value;
use workshop::ids::OrderId;
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};

use crate::error::Result;
use crate::parts;
use crate::record::{Noun, Versioned};
use crate::references::{Needs, Thing, Use};
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, finish_id, order_id, panel_id, set_id, strange};

table!(customer_order, "customer_order", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    customer: Option<String>,
    due_on: Date,
    promised_on: Option<Date>,
    priority: String,
    state: String,
    note: Option<String>,
    parts_agreed: bool,
});

table!(order_line, "order_line", {
    #[sea_orm(primary_key, auto_increment = false)]
    order_id: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    set_id: Option<String>,
    panel: Option<String>,
    finish: String,
    quantity: i64,
});

impl Noun for Order {
    type Id = OrderId;
    type Table = customer_order::Entity;
    type Row = customer_order::Model;
    const NOUN: &'static str = "order";
    const KEY: customer_order::Column = customer_order::Column::Id;
    const USES: &'static [Use] = &[Use::by("dispatch of lot", "lot_dispatch", "order_id", "lot")];

    fn id(&self) -> &OrderId {
        &self.id
    }

    fn key(id: &OrderId) -> Value {
        id.as_str().into()
    }

    fn row(&self, version: i64) -> customer_order::Model {
        customer_order::Model {
            id: self.id.to_string(),
            version,
            customer: self.customer.clone(),
            due_on: self.due_on,
            promised_on: self.promised_on,
            priority: self.priority.word(),
            state: self.state.word(),
            note: self.note.clone(),
            parts_agreed: self.parts_agreed,
        }
    }

    fn needs(&self, needs: &mut Needs) {
        for line in &self.lines {
            needs.on(Thing::Finish, &line.finish);
            match &line.item {
                Item::Set(set) => needs.on(Thing::Set, set),
                Item::Panel(panel) => needs.on(Thing::Panel, panel),
            };
        }
    }

    async fn whole(tx: &Tx, rows: Vec<customer_order::Model>) -> Result<Vec<Versioned<Self>>> {
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        let mut lines = parts::of_parents::<order_line::Entity, _>(
            tx,
            order_line::Column::OrderId,
            order_line::Column::Position,
            &ids,
            |row| row.order_id.clone(),
        )
        .await?;
        rows.into_iter()
            .map(|row| {
                let lines = lines.remove(&row.id).unwrap_or_default();
                Ok(Versioned { version: row.version, value: value(row, &lines)? })
            })
            .collect()
    }

    async fn put_parts(&self, tx: &Tx) -> Result<()> {
        Self::put_all_parts(tx, &[self]).await
    }

    async fn put_all_parts(tx: &Tx, values: &[&Self]) -> Result<()> {
        parts::put(tx, values.iter().flat_map(|order| rows_of(order)).collect()).await
    }

    async fn take_all_parts(tx: &Tx, ids: &[&OrderId]) -> Result<()> {
        let ids: Vec<&str> = ids.iter().map(|id| id.as_str()).collect();
        parts::take_of_all::<order_line::Entity>(tx, order_line::Column::OrderId, &ids).await
    }

    async fn take_parts(tx: &Tx, id: &OrderId) -> Result<()> {
        parts::take::<order_line::Entity>(tx, order_line::Column::OrderId, id.as_str()).await
    }
}

fn rows_of(order: &Order) -> impl Iterator<Item = order_line::Model> {
    order.lines.iter().enumerate().map(|(index, line)| order_line::Model {
        order_id: order.id.to_string(),
        position: parts::place(index),
        set_id: match &line.item {
            Item::Set(set) => Some(set.to_string()),
            Item::Panel(_) => None,
        },
        panel: match &line.item {
            Item::Panel(panel) => Some(panel.to_string()),
            Item::Set(_) => None,
        },
        finish: line.finish.to_string(),
        quantity: line.quantity,
    })
}

fn value(row: customer_order::Model, lines: &[order_line::Model]) -> Result<Order> {
    Ok(Order {
        id: order_id(&row.id)?,
        customer: row.customer,
        due_on: row.due_on,
        promised_on: row.promised_on,
        priority: Priority::of(&row.priority)?,
        state: OrderState::of(&row.state)?,
        lines: lines.iter().map(line).collect::<Result<_>>()?,
        note: row.note,
        parts_agreed: row.parts_agreed,
    })
}

fn line(row: &order_line::Model) -> Result<OrderLine> {
    let item = match (&row.set_id, &row.panel) {
        (Some(set), None) => Item::Set(set_id(set)?),
        (None, Some(panel)) => Item::Panel(panel_id(panel)?),
        _ => return Err(strange("line for one set or one panel", &row.order_id)),
    };
    Ok(OrderLine { item, finish: finish_id(&row.finish)?, quantity: row.quantity })
}
