//! One typed id per noun, in one list, so that a tank's name cannot stand where a rack's should.
//!
//! Named nouns carry a short text id that a person types and reads (`bed-side-900`); numbered nouns carry a whole number.

use core::fmt;

/// Why a text is no id.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum IdFault {
    /// Nothing in it.
    #[error("an id is empty: give it 1 to 60 letters, digits, '-', '_', '.' or '@'")]
    Empty,
    /// Longer than 60 characters.
    #[error("the id '{0}' is longer than 60 characters: shorten it")]
    TooLong(String),
    /// A character no id may have.
    #[error(
        "the id '{0}' has the character {1:?}: use letters a-z and A-Z, digits, '-', '_', '.' and '@' only, beginning with a letter or digit"
    )]
    Character(String, char),
}

fn check(text: &str) -> Result<(), IdFault> {
    let Some(first) = text.chars().next() else { return Err(IdFault::Empty) };
    if text.chars().count() > 60 {
        return Err(IdFault::TooLong(text.chars().take(61).collect()));
    }
    if !first.is_ascii_alphanumeric() {
        return Err(IdFault::Character(text.to_owned(), first));
    }
    match text.chars().find(|c| !(c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | '@'))) {
        Some(wrong) => Err(IdFault::Character(text.to_owned(), wrong)),
        None => Ok(()),
    }
}

macro_rules! named {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => { $(
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(String);

        impl $name {
            /// From a text of 1 to 60 letters, digits, `-`, `_`, `.` and `@`, beginning with a letter or digit.
            pub fn parse(text: &str) -> Result<Self, IdFault> {
                check(text).map(|()| Self(text.to_owned()))
            }

            /// The text itself.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    )* };
}

macro_rules! numbered {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(i64);

        impl $name {
            /// From the number the database gave.
            pub const fn new(number: i64) -> Self {
                Self(number)
            }

            /// The number.
            pub const fn get(self) -> i64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}", self.0)
            }
        }
    )* };
}

named!(
    /// A material, as `cement`.
    MaterialId,
    /// A finish, as `grey-smooth`.
    FinishId,
    /// A mix (all its revisions), as `foamed-grey`.
    MixId,
    /// A panel, as `bed-side-900`.
    PanelId,
    /// A set, as `bed-900x600`.
    SetId,
    /// A mould group, as `side-moulds`.
    MouldGroupId,
    /// A tank, as `north-tank`.
    TankId,
    /// A rack, as `long-rack`.
    RackId,
    /// A cause of scrap, from the workshop's own list, as `corner-broken`.
    ScrapCauseId,
    /// An order, as `TH-1042`: the reference the office or the customer gave.
    OrderId,
    /// A trial, as `grey-2-march`.
    TrialId,
    /// An upkeep task, as `water-temperature`.
    UpkeepTaskId,
);

numbered!(
    /// A planning run.
    RunId,
    /// A stock entry; entries are numbered in the order they were written.
    StockEntryId,
    /// A delivery.
    DeliveryId,
    /// A lot.
    LotId,
    /// A pinned pour.
    PinId,
    /// A job of the queue.
    JobId,
);

/// A mix revision: the mix and its number, written `foamed-grey@2`. Planning facts name mixes by it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RevisionId {
    /// The mix it revises.
    pub mix: MixId,
    /// Counted from 1.
    pub number: u32,
}

impl RevisionId {
    /// From its written form, `mix@number`.
    pub fn parse(text: &str) -> Result<Self, IdFault> {
        check(text)?;
        let wrong = || IdFault::Character(text.to_owned(), '@');
        let (mix, number) = text.rsplit_once('@').ok_or_else(wrong)?;
        let number = number.parse().ok().filter(|n| *n >= 1).ok_or_else(wrong)?;
        Ok(Self { mix: MixId::parse(mix)?, number })
    }
}

impl fmt::Display for RevisionId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}@{}", self.mix, self.number)
    }
}

/// A ticket's number: the day and its place in the day's mixing order, written `2026-05-04-01`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TicketNumber {
    /// The day the batch is mixed.
    pub day: chrono::NaiveDate,
    /// Counted from 1 through the day.
    pub sequence: u32,
}

impl TicketNumber {
    /// From its written form; nothing where it is not one.
    pub fn parse(text: &str) -> Option<Self> {
        let (day, sequence) = text.rsplit_once('-')?;
        let day = day.parse().ok()?;
        let sequence = sequence.parse().ok().filter(|n| (1..=999).contains(n))?;
        let number = Self { day, sequence };
        (number.to_string() == text).then_some(number)
    }
}

impl fmt::Display for TicketNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{:02}", self.day, self.sequence)
    }
}
