//! What scripts are told of as it happens.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};

use crate::documents::Explanation;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Another plan came in force; the subject is its run.
    PlanInForce,
    /// A day's tickets were issued; the subject is the day.
    TicketsIssued,
    /// An order will be late that was not before; the subject is the order.
    OrderLate,
    /// A material keeps panels from being poured that did not before; the subject is the material.
    MaterialShort,
}

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 4] = [Kind::PlanInForce, Kind::TicketsIssued, Kind::OrderLate, Kind::MaterialShort];

    /// Its word, in records and documents.
    pub const fn word(self) -> &'static str {
        match self {
            Kind::PlanInForce => "plan_in_force",
            Kind::TicketsIssued => "tickets_issued",
            Kind::OrderLate => "order_late",
            Kind::MaterialShort => "material_short",
        }
    }

    /// The one of a word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// A notice to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewNotice {
    /// What happened.
    pub kind: Kind,
    /// To what.
    pub subject: String,
    /// The same in plain words.
    pub sentence: String,
}

/// A notice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Its number; later notices have greater ones.
    pub id: i64,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// What it says.
    pub said: NewNotice,
}

/// What a plan says of late orders and short materials. It is told once, and again only after it was otherwise.
pub fn of_plan(explanation: &Explanation) -> Vec<NewNotice> {
    let mut seen = BTreeSet::new();
    let late = explanation.late.iter().map(|late| NewNotice {
        kind: Kind::OrderLate,
        subject: late.order.clone(),
        sentence: late.sentence.clone(),
    });
    let short = explanation.shorts.iter().map(|short| NewNotice {
        kind: Kind::MaterialShort,
        subject: short.material.clone(),
        sentence: short.sentence.clone(),
    });
    late.chain(short).filter(|notice| seen.insert((notice.kind, notice.subject.clone()))).collect()
}
