//! Days in the mould, as numbers: worked out by whoever can (the mix library), handed in with the snapshot.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate as Day};

use super::{Snapshot, horizon, mixes};
use crate::ids::RevisionId;
use crate::lots::Stage;

/// Calendar days in the mould of one revision.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hold {
    /// At the workshop's usual air temperature, 1 or more.
    pub usual: i64,
    /// By the day poured, 1 or more.
    pub on: BTreeMap<Day, i64>,
}

impl Hold {
    /// Days in the mould when poured on `day`.
    pub fn when_poured_on(&self, day: Day) -> i64 {
        self.on.get(&day).copied().unwrap_or(self.usual)
    }
}

/// Calendar days in the mould, by revision.
pub type Holds = BTreeMap<RevisionId, Hold>;

/// The revisions and pour days [`super::facts_from`] will ask the hold of: those in play, on every day they may be poured
/// and on every day a lot still in its mould was.
pub fn holds_wanted(snapshot: &Snapshot, today: Day) -> BTreeMap<RevisionId, BTreeSet<Day>> {
    let last = today + Days::new(horizon::MOST_DAYS);
    let ahead: BTreeSet<Day> = super::days(today, last).collect();
    let mut wanted: BTreeMap<RevisionId, BTreeSet<Day>> =
        mixes::in_play(snapshot).into_iter().map(|id| (id, ahead.clone())).collect();
    for lot in snapshot.lots.iter().filter(|l| l.stage == Stage::InMould) {
        wanted.entry(lot.revision.clone()).or_default().insert(lot.since);
    }
    wanted
}
