//! Two plans held against each other, line by line: what is poured, delivered and ready otherwise than in the plan before, and
//! which change of the facts it comes from.

mod because;
mod causes;
mod lines;
mod told;

use chrono::NaiveDate as Day;
use workshop::documents::plan::Figures;
use workshop::documents::{Facts, Plan};

pub use because::{Because, FactChange};

/// What changed from one plan to the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Figures of the plan before.
    pub before: Figures,
    /// Figures of the plan after.
    pub after: Figures,
    /// What the planner was told otherwise, except that days went by.
    pub facts: Vec<FactChange>,
    /// What is planned otherwise from the first day of the plan after on: orders, then pours, then deliveries.
    pub lines: Vec<PlanChange>,
}

/// Something planned otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanChange {
    /// What.
    pub line: Line,
    /// Where it comes from.
    pub because: Because,
    /// The same in plain words, with the cause.
    pub sentence: String,
}

/// A line of a plan, before and after.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Line {
    /// The day an order is whole; none where that is not by the last day, or where there is no such order.
    Ready {
        /// Which order.
        order: String,
        /// Before.
        was: Option<Day>,
        /// After.
        is: Option<Day>,
    },
    /// Panels poured.
    Pour {
        /// When.
        day: Day,
        /// Which panel.
        panel: String,
        /// From which mix.
        mix: String,
        /// How many before.
        was: i64,
        /// How many after.
        is: i64,
    },
    /// Packs to order.
    Delivery {
        /// When they come.
        day: Day,
        /// Which material.
        material: String,
        /// How many before.
        was: i64,
        /// How many after.
        is: i64,
    },
}

/// What changed from the plan made on the old facts to the one made on the new, with its causes. A cause is a change of the
/// facts that the line depends on; where there is none, what else changed and made room; where nothing did, the plan was
/// found to be better, or only made anew.
pub fn compare(old_facts: &Facts, old: &Plan, new_facts: &Facts, new: &Plan) -> Comparison {
    let told = told::changes(old_facts, old, new_facts);
    let causes = causes::Causes::new(old_facts, new_facts, &told, new.figures.better_than(&old.figures));
    let lines = lines::lines(old_facts, old, new_facts, new);
    let lines = lines.into_iter().map(|line| causes.explain(line)).collect();
    Comparison { before: old.figures, after: new.figures, facts: told.into_iter().map(|t| t.change).collect(), lines }
}
