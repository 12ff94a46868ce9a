//! The strips and lifts a plan asks for on a day, and how far what was recorded has carried them out.

use chrono::NaiveDate as Day;

use crate::documents::Plan;
use crate::ids::{PanelId, RackId, RevisionId, TankId};
use crate::lots::{LotMove, Stage};
use crate::said::{Progress, Said};

/// Panels of one type and revision to be moved from one place to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// Which panel.
    pub panel: PanelId,
    /// From which mix revision.
    pub revision: RevisionId,
    /// The tank they go into or come out of.
    pub tank: Option<TankId>,
    /// The rack they go onto or come off.
    pub rack: Option<RackId>,
    /// How many.
    pub quantity: i64,
    /// How many of them are recorded as done.
    pub done: i64,
    /// Labour of all of them.
    pub minutes: f64,
    /// Who recorded what is done, each name once, and when the last of it was.
    pub said: Vec<Said>,
}

impl Task {
    /// How many are still to do.
    pub fn left(&self) -> i64 {
        self.quantity - self.done
    }

    /// How far it has come; `over` where its day has ended.
    pub fn progress(&self, over: bool) -> Progress {
        Progress::of(self.done, self.quantity, over)
    }

    /// That so many were done, and who recorded it.
    fn carry(&mut self, done: i64, said: &Said) {
        self.done += done;
        self.said.retain(|earlier| earlier.by != said.by);
        self.said.push(said.clone());
    }

    /// A task of a plan; nothing where the plan's text ids are none of ours.
    pub(crate) fn planned(
        panel: &str,
        mix: &str,
        quantity: i64,
        tank: Option<&str>,
        rack: Option<&str>,
    ) -> Option<Self> {
        Some(Self {
            panel: PanelId::parse(panel).ok()?,
            revision: RevisionId::parse(mix).ok()?,
            tank: tank.and_then(|t| TankId::parse(t).ok()),
            rack: rack.and_then(|r| RackId::parse(r).ok()),
            quantity,
            done: 0,
            minutes: 0.0,
            said: Vec::new(),
        })
    }
}

/// The strips a plan asks for on a day, less what `moves` say is done.
pub fn strips(plan: &Plan, day: Day, moves: &[(LotMove, PanelId, RevisionId)]) -> Vec<Task> {
    let planned = plan.strips.iter().filter(|s| s.day == day);
    let tasks = planned.filter_map(|s| Task::planned(&s.panel, &s.mix, s.quantity, s.tank.as_deref(), None));
    marked(tasks.collect(), moves, Stage::Soaking, day)
}

/// The lifts a plan asks for on a day, less what `moves` say is done.
pub fn lifts(plan: &Plan, day: Day, moves: &[(LotMove, PanelId, RevisionId)]) -> Vec<Task> {
    let planned = plan.lifts.iter().filter(|l| l.day == day);
    let tasks =
        planned.filter_map(|l| Task::planned(&l.panel, &l.mix, l.quantity, l.tank.as_deref(), l.rack.as_deref()));
    marked(tasks.collect(), moves, Stage::Drying, day)
}

/// Marks what the moves of the day have done. A move counts first for a task with its own place to go to, then for any
/// other task of that panel and revision: the person chose another tank or rack for it.
pub(crate) fn marked(mut tasks: Vec<Task>, moves: &[(LotMove, PanelId, RevisionId)], to: Stage, day: Day) -> Vec<Task> {
    let mut spare = Vec::new();
    for (moved, panel, revision) in moves.iter().filter(|(m, ..)| m.to == to && m.day == day) {
        let own_place = |t: &Task| match to {
            Stage::Soaking => t.tank == moved.tank || t.tank.is_none(),
            Stage::Drying => t.rack == moved.rack || t.rack.is_none(),
            Stage::InMould | Stage::Ready => true,
        };
        let same = |t: &&mut Task| &t.panel == panel && &t.revision == revision && own_place(t);
        let left = take(tasks.iter_mut().filter(same), moved.quantity, &moved.said);
        spare.push((panel, revision, left, &moved.said));
    }
    for (panel, revision, left, said) in spare {
        take(tasks.iter_mut().filter(|t| &t.panel == panel && &t.revision == revision), left, said);
    }
    tasks
}

/// Marks up to `quantity` as done, in order; what is left over.
fn take<'a>(tasks: impl Iterator<Item = &'a mut Task>, mut quantity: i64, said: &Said) -> i64 {
    for task in tasks {
        let done = quantity.min(task.left());
        if done > 0 {
            task.carry(done, said);
        }
        quantity -= done;
    }
    quantity
}
