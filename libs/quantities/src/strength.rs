//! Pressure, which is also the unit of strength.

use crate::OutOfRange;
use crate::bounded::bounded;
use crate::length::MM_PER_INCH;
use crate::mass::KG_PER_POUND;

/// Standard gravity in m/s², exact.
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// One pound-force to the square inch in megapascals, exact to the factors it is made of.
pub const MPA_PER_PSI: f64 = KG_PER_POUND * STANDARD_GRAVITY / (MM_PER_INCH * MM_PER_INCH);

bounded!(
    /// Pressure or strength, 0 to 1,000 MPa.
    Pressure, "strength", "MPa", 0.0, 1000.0
);

impl Pressure {
    /// From megapascals (newtons to the square millimetre).
    pub fn from_mpa(mpa: f64) -> Result<Self, OutOfRange> {
        Self::checked(mpa)
    }

    /// From pounds-force to the square inch.
    pub fn from_psi(psi: f64) -> Result<Self, OutOfRange> {
        Self::checked(psi * MPA_PER_PSI)
    }

    /// Megapascals.
    pub fn mpa(self) -> f64 {
        self.0
    }

    /// Pounds-force to the square inch.
    pub fn psi(self) -> f64 {
        self.0 / MPA_PER_PSI
    }
}
