//! Length and area of the things the concrete goes into.

use crate::OutOfRange;
use crate::bounded::{amount, bounded};
use crate::ledger::Millimetres;

/// One inch in millimetres, exact (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;
const MM_PER_FOOT: f64 = 12.0 * MM_PER_INCH;

bounded!(
    /// Length, 0 to 100,000 mm.
    Length, "length", "mm", 0.0, 100_000.0
);
amount!(Length);

impl Length {
    /// From millimetres.
    pub fn from_mm(mm: f64) -> Result<Self, OutOfRange> {
        Self::checked(mm)
    }

    /// From inches.
    pub fn from_inches(inches: f64) -> Result<Self, OutOfRange> {
        Self::checked(inches * MM_PER_INCH)
    }

    /// From whole ledger millimetres.
    pub fn from_ledger(mm: Millimetres) -> Result<Self, OutOfRange> {
        Self::checked(mm.get() as f64)
    }

    /// Millimetres.
    pub fn mm(self) -> f64 {
        self.0
    }

    /// Inches.
    pub fn inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}

bounded!(
    /// Area, 0 to 10,000,000,000 mm².
    Area, "area", "mm²", 0.0, 1.0e10
);
amount!(Area);

impl Area {
    /// From square millimetres.
    pub fn from_mm2(mm2: f64) -> Result<Self, OutOfRange> {
        Self::checked(mm2)
    }

    /// Square millimetres.
    pub fn mm2(self) -> f64 {
        self.0
    }

    /// Square feet, of twelve inches by twelve.
    pub fn square_feet(self) -> f64 {
        self.0 / (MM_PER_FOOT * MM_PER_FOOT)
    }
}
