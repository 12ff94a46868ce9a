//! How the workshop's people write days, decimals and times of day; what programs read and send is written one way only.

/// In which order the parts of a day are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DateOrder {
    /// Mon 2 March.
    #[default]
    DayFirst,
    /// Mon March 2.
    MonthFirst,
    /// Mon 2026-03-02.
    YearFirst,
}

/// What stands before decimals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalSign {
    /// 10.5
    #[default]
    Point,
    /// 10,5
    Comma,
}

impl DecimalSign {
    /// The sign itself.
    pub const fn sign(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }
}

/// How a time of day is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Clock {
    /// 15:30
    #[default]
    Hours24,
    /// 3:30 pm
    Hours12,
}

/// A workshop's ways of writing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Writing {
    /// Days.
    pub dates: DateOrder,
    /// Decimals.
    pub decimals: DecimalSign,
    /// Times of day.
    pub clock: Clock,
}
