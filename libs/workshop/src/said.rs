//! Who said that something was done, and when.

use chrono::{DateTime, Utc};

/// Under whose name something was written down, and when. Earlier versions of the program noted neither.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// The name of the token it came with; none where the service was open to the local user, or the program wrote it.
    pub by: Option<String>,
    /// When it was written down.
    pub at: Option<DateTime<Utc>>,
}

/// How far something on a day sheet has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Progress {
    /// Nobody has said anything of it yet.
    ToDo,
    /// A part of it is done.
    PartlyDone,
    /// All of it is done.
    Done,
    /// A person said that it was not done, or the day ended without a word.
    NotDone,
}

impl Progress {
    /// Of so many things done of so many; `over` where the day has ended.
    pub const fn of(done: i64, all: i64, over: bool) -> Self {
        match done {
            done if done >= all => Self::Done,
            1.. => Self::PartlyDone,
            _ if over => Self::NotDone,
            _ => Self::ToDo,
        }
    }
}
