//! Temperature of air, water or concrete.

use crate::OutOfRange;
use crate::bounded::bounded;

bounded!(
    /// Temperature, -60 to 120 °C.
    Celsius, "temperature", "°C", -60.0, 120.0
);

impl Celsius {
    /// From degrees Celsius.
    pub fn from_celsius(degrees: f64) -> Result<Self, OutOfRange> {
        Self::checked(degrees)
    }

    /// From degrees Fahrenheit.
    pub fn from_fahrenheit(degrees: f64) -> Result<Self, OutOfRange> {
        Self::checked((degrees - 32.0) / 1.8)
    }

    /// Degrees Celsius.
    pub fn celsius(self) -> f64 {
        self.0
    }

    /// Degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }

    /// Kelvin, for rate laws: °C + 273.15.
    pub fn kelvin(self) -> f64 {
        self.0 + 273.15
    }
}
