//! Forms of orders.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::checks;
use workshop::ids::{FinishId, OrderId, PanelId, SetId};
use workshop::orders as domain;

use super::basics::{Id, each, id, sound, words};
use crate::http::body::Incoming;

words!(
    /// How much a day late weighs: low 1, usual 2, high 4.
    Priority for domain::Priority { Low, Usual, High }
);

words!(
    /// Whether an order still wants panels.
    OrderState for domain::OrderState {
        /// Wanted: planned for.
        Open,
        /// Sent out.
        Dispatched,
        /// Taken back by the customer or the office.
        Withdrawn,
    }
);

/// A customer's order.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({
    "id": "TH-1042", "customer": "Wren Lane Allotments", "due_on": "2026-06-12", "priority": "usual",
    "lines": [{ "set": "bed-900x600", "finish": "grey-smooth", "quantity": 4 }, { "panel": "edging-600", "finish": "grey-smooth", "quantity": 10 }],
    "note": "call before delivery", "parts_agreed": true,
}))]
pub struct Order {
    /// The reference the office or the customer gave.
    pub id: Id,
    /// Who wants it.
    #[schema(min_length = 1, max_length = 200)]
    pub customer: Option<String>,
    /// Day wanted.
    pub due_on: NaiveDate,
    /// Day promised, once accepted.
    pub promised_on: Option<NaiveDate>,
    /// How much a day late weighs.
    #[serde(default = "usual")]
    pub priority: Priority,
    /// Whether it still wants panels.
    #[serde(default = "open")]
    pub state: OrderState,
    /// What is wanted.
    #[schema(min_items = 1, max_items = 200)]
    pub lines: Vec<OrderLine>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
    /// Whether the customer takes it in parts.
    #[serde(default)]
    pub parts_agreed: bool,
}

pub(super) fn usual() -> Priority {
    Priority::Usual
}

fn open() -> OrderState {
    OrderState::Open
}

/// One line of an order: a set or a panel, one of the two.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderLine {
    /// Which set.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set: Option<Id>,
    /// Which single panel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub panel: Option<Id>,
    /// In which finish.
    pub finish: Id,
    /// How many.
    #[schema(minimum = 1, maximum = 10000)]
    pub quantity: i64,
}

impl Incoming for Order {
    type Domain = domain::Order;

    fn into_domain(self) -> Result<domain::Order, Vec<Fault>> {
        let order = domain::Order {
            id: id("/id", OrderId::parse, &self.id)?,
            customer: self.customer,
            due_on: self.due_on,
            promised_on: self.promised_on,
            priority: self.priority.into(),
            state: self.state.into(),
            lines: each(self.lines, read_line)?,
            note: self.note,
            parts_agreed: self.parts_agreed,
        };
        let faults = checks::order::faults(&order);
        sound(order, faults)
    }
}

pub(super) fn read_line(index: usize, line: OrderLine) -> Result<domain::OrderLine, Vec<Fault>> {
    let at = |field: &str| format!("/lines/{index}/{field}");
    let item = match (&line.set, &line.panel) {
        (Some(set), None) => domain::Item::Set(id(&at("set"), SetId::parse, set)?),
        (None, Some(panel)) => domain::Item::Panel(id(&at("panel"), PanelId::parse, panel)?),
        (Some(_), Some(_)) => return Err(vec![Fault::at(at("panel"), "is given beside a set: name one of the two")]),
        (None, None) => return Err(vec![Fault::at(at("set"), "is missing: name a set or a panel")]),
    };
    let finish = id(&at("finish"), FinishId::parse, &line.finish)?;
    Ok(domain::OrderLine { item, finish, quantity: line.quantity })
}

impl From<domain::Order> for Order {
    fn from(o: domain::Order) -> Self {
        Self {
            id: Id::of(&o.id),
            customer: o.customer,
            due_on: o.due_on,
            promised_on: o.promised_on,
            priority: o.priority.into(),
            state: o.state.into(),
            lines: o.lines.into_iter().map(OrderLine::from).collect(),
            note: o.note,
            parts_agreed: o.parts_agreed,
        }
    }
}

impl From<domain::OrderLine> for OrderLine {
    fn from(line: domain::OrderLine) -> Self {
        let (set, panel) = match &line.item {
            domain::Item::Set(set) => (Some(Id::of(set)), None),
            domain::Item::Panel(panel) => (None, Some(Id::of(panel))),
        };
        Self { set, panel, finish: Id::of(&line.finish), quantity: line.quantity }
    }
}
