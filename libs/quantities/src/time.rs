//! Time that concrete ages by. (Labour is counted in whole minutes by the ledger.)

use crate::OutOfRange;
use crate::bounded::{amount, bounded};

bounded!(
    /// Hours of age or hold, 0 to 1,000,000.
    Hours, "time", "h", 0.0, 1.0e6
);
amount!(Hours);

impl Hours {
    /// From hours.
    pub fn from_hours(hours: f64) -> Result<Self, OutOfRange> {
        Self::checked(hours)
    }

    /// From days of 24 hours.
    pub fn from_days(days: f64) -> Result<Self, OutOfRange> {
        Self::checked(days * 24.0)
    }

    /// Hours.
    pub fn hours(self) -> f64 {
        self.0
    }

    /// Days of 24 hours.
    pub fn days(self) -> f64 {
        self.0 / 24.0
    }
}
