//! What the planner decides: one immutable document.

use chrono::NaiveDate as Day;

pub use super::facts::Pour;

/// A pour plan. Rows alike add up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// What is poured.
    pub pours: Vec<Pour>,
    /// What is taken out of moulds, into which tank.
    pub strips: Vec<Strip>,
    /// What is taken out of tanks, onto which rack.
    pub lifts: Vec<Lift>,
    /// What is mixed.
    pub batches: Vec<Batches>,
    /// What is to be ordered.
    pub deliveries: Vec<Delivery>,
    /// What each order gets.
    pub orders: Vec<OrderResult>,
    /// The figures, as the planner computed them.
    pub figures: Figures,
    /// How good it is known to be.
    pub proof: Option<Proof>,
}

/// Panels of one type and mix taken out of their moulds on one day. The oldest go first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Strip {
    /// When.
    pub day: Day,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity: i64,
    /// Into which tank; may be none where there is one tank, or where strip and lift fall on one day.
    pub tank: Option<String>,
}

/// Panels of one type and mix taken out of one tank on one day. The oldest go first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lift {
    /// When.
    pub day: Day,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity: i64,
    /// Out of which tank.
    pub tank: Option<String>,
    /// Onto which rack.
    pub rack: Option<String>,
}

/// The batches of one mix on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct Batches {
    /// When.
    pub day: Day,
    /// Which mix revision.
    pub mix: String,
    /// Litres of each batch.
    pub litres: Vec<f64>,
}

/// Packs of one material to be here on one day.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Delivery {
    /// When.
    pub arrives: Day,
    /// Which material.
    pub material: String,
    /// How many packs, 1 or more.
    pub packs: i64,
}

/// What one order gets, and when it is whole.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderResult {
    /// Which order.
    pub id: String,
    /// Day it is given its last panel; none where that is not by the last day.
    pub ready_on: Option<Day>,
    /// What it is given.
    pub met: Vec<Met>,
}

/// Panels given to an order on a day.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Met {
    /// Which panel.
    pub panel: String,
    /// In which finish.
    pub finish: String,
    /// When.
    pub day: Day,
    /// How many.
    pub quantity: i64,
}

/// The four figures plans are compared by.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// Σ weight × days late, over orders.
    pub order_days_late: f64,
    /// Σ weight × days late, over panels ordered.
    pub panel_days_late: f64,
    /// Materials drawn and put off, deliveries charged, price breaks taken: minor units.
    pub material_cost: i64,
    /// Panels poured otherwise than published, within the steady days.
    pub changes: i64,
}

impl Figures {
    /// The lateness a figure speaks of.
    pub fn late(&self, figure: LateFigure) -> f64 {
        match figure {
            LateFigure::OrderDaysLate => self.order_days_late,
            LateFigure::PanelDaysLate => self.panel_days_late,
        }
    }

    /// Whether these are better than `other`: fewer order-days late, then less cost, then fewer changes, then fewer panel-days.
    pub fn better_than(&self, other: &Figures) -> bool {
        let key = |f: &Figures| (f.order_days_late, f.material_cost as f64, f.changes as f64, f.panel_days_late);
        key(self) < key(other)
    }
}

/// Which lateness a bound speaks of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LateFigure {
    /// By orders.
    OrderDaysLate,
    /// By panels.
    PanelDaysLate,
}

/// How good the plan is known to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// The figure bounded.
    pub figure: LateFigure,
    /// No plan has less than this.
    pub bound: f64,
    /// (value − bound) / max(1, value).
    pub gap: f64,
    /// How long the run took.
    pub seconds: f64,
    /// Why it ended: `optimal`, `time`, `nodes`, ..
    pub ended: String,
    /// Which way found the plan: `foreman`, `exact`, ..
    pub way: String,
}
