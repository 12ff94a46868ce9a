//! What customers want.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use crate::catalogue::PanelSet;
use crate::ids::{FinishId, OrderId, PanelId, SetId};

/// How much a day late weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Priority {
    /// Weight 1.
    Low,
    /// Weight 2.
    Usual,
    /// Weight 4.
    High,
}

impl Priority {
    /// 1, 2 or 4.
    pub const fn weight(self) -> i64 {
        match self {
            Priority::Low => 1,
            Priority::Usual => 2,
            Priority::High => 4,
        }
    }
}

/// Whether an order still wants panels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OrderState {
    /// Wanted: planned for.
    Open,
    /// Sent out.
    Dispatched,
    /// Taken back by the customer or the office.
    Withdrawn,
}

/// A customer's order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// The reference the office or the customer gave.
    pub id: OrderId,
    /// Who wants it; never logged.
    pub customer: Option<String>,
    /// Day wanted.
    pub due_on: Day,
    /// Day promised, once accepted.
    pub promised_on: Option<Day>,
    /// How much a day late weighs.
    pub priority: Priority,
    /// Whether it still wants panels.
    pub state: OrderState,
    /// What is wanted, one line at least.
    pub lines: Vec<OrderLine>,
    /// Anything to remember; never logged.
    pub note: Option<String>,
    /// Whether the customer takes it in parts.
    pub parts_agreed: bool,
}

/// One line of an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderLine {
    /// A set or a panel.
    pub item: Item,
    /// In which finish.
    pub finish: FinishId,
    /// How many, 1 to 10,000.
    pub quantity: i64,
}

/// What a line is for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// A set.
    Set(SetId),
    /// A single panel type.
    Panel(PanelId),
}

impl Order {
    /// Panels wanted by panel and finish, sets opened up. A set not among `sets` adds nothing: the store's foreign keys keep that from happening.
    pub fn panels(&self, sets: &BTreeMap<SetId, PanelSet>) -> BTreeMap<(PanelId, FinishId), i64> {
        panels(&self.lines, sets)
    }
}

/// Panels that lines want, by panel and finish, sets opened up. A set not among `sets` adds nothing.
pub fn panels(lines: &[OrderLine], sets: &BTreeMap<SetId, PanelSet>) -> BTreeMap<(PanelId, FinishId), i64> {
    let mut wanted = BTreeMap::new();
    for line in lines {
        match &line.item {
            Item::Panel(panel) => {
                *wanted.entry((panel.clone(), line.finish.clone())).or_insert(0) += line.quantity;
            }
            Item::Set(set) => {
                for (panel, count) in sets.get(set).into_iter().flat_map(|s| &s.panels) {
                    *wanted.entry((panel.clone(), line.finish.clone())).or_insert(0) += count * line.quantity;
                }
            }
        }
    }
    wanted
}
