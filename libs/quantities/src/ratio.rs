//! Plain numbers with a meaning: a ratio of two like things, and the density of a solid or liquid relative to water.

use crate::OutOfRange;
use crate::bounded::{amount, bounded};

bounded!(
    /// A ratio of two like amounts, 0 to 1,000 (so a share is 0 to 1, and 5 % is 0.05).
    Ratio, "ratio", "", 0.0, 1000.0
);
amount!(Ratio);

impl Ratio {
    /// The whole of it.
    pub const ONE: Self = Self(1.0);

    /// From a plain number: 0.5 is a half.
    pub fn from_number(number: f64) -> Result<Self, OutOfRange> {
        Self::checked(number)
    }

    /// From per cent: 50 is a half.
    pub fn from_per_cent(per_cent: f64) -> Result<Self, OutOfRange> {
        Self::checked(per_cent / 100.0)
    }

    /// The plain number.
    pub fn number(self) -> f64 {
        self.0
    }

    /// Per cent.
    pub fn per_cent(self) -> f64 {
        self.0 * 100.0
    }

    /// What is missing to the whole; nothing where the ratio is 1 or more.
    pub fn rest(self) -> Self {
        Self((1.0 - self.0).max(0.0))
    }
}

bounded!(
    /// Density over that of water (1000 kg/m³), 0.01 to 25: perlite about 0.1, cement 3.15, iron oxide about 5.
    RelativeDensity, "relative density", "", 0.01, 25.0
);

impl RelativeDensity {
    /// Water's own.
    pub const WATER: Self = Self(1.0);
    /// Portland cement's (particles 3.10 to 3.25; Portland Cement Association, 1988).
    pub const PORTLAND: Self = Self(3.15);

    /// From the plain number.
    pub fn from_number(number: f64) -> Result<Self, OutOfRange> {
        Self::checked(number)
    }

    /// The plain number.
    pub fn number(self) -> f64 {
        self.0
    }
}
