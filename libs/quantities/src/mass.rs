//! Mass, and the mass of an ingredient in a unit volume of concrete.

use crate::OutOfRange;
use crate::bounded::{amount, bounded};
use crate::ledger::Grams;
use crate::volume::KG_M3_PER_LB_YD3;

/// One avoirdupois pound in kilograms, exact (international yard and pound agreement, 1959).
pub const KG_PER_POUND: f64 = 0.453_592_37;
/// One avoirdupois ounce in kilograms, exact: a sixteenth of a pound.
pub const KG_PER_OUNCE: f64 = KG_PER_POUND / 16.0;
/// One US (short) ton in kilograms, exact: 2000 lb.
pub const KG_PER_US_TON: f64 = KG_PER_POUND * 2000.0;

bounded!(
    /// Mass of a material, 0 to 1,000,000,000 kg. (The mass of a piece of concrete is a `ConcreteMass`: it has a state.)
    Mass, "mass", "kg", 0.0, 1.0e9
);
amount!(Mass);

impl Mass {
    /// From kilograms.
    pub fn from_kg(kg: f64) -> Result<Self, OutOfRange> {
        Self::checked(kg)
    }

    /// From grams.
    pub fn from_grams(grams: f64) -> Result<Self, OutOfRange> {
        Self::checked(grams / 1000.0)
    }

    /// From whole ledger grams.
    pub fn from_ledger(grams: Grams) -> Result<Self, OutOfRange> {
        Self::checked(grams.get() as f64 / 1000.0)
    }

    /// From avoirdupois pounds.
    pub fn from_pounds(pounds: f64) -> Result<Self, OutOfRange> {
        Self::checked(pounds * KG_PER_POUND)
    }

    /// From avoirdupois (mass) ounces.
    pub fn from_ounces(ounces: f64) -> Result<Self, OutOfRange> {
        Self::checked(ounces * KG_PER_OUNCE)
    }

    /// From US (short) tons of 2000 lb.
    pub fn from_us_tons(tons: f64) -> Result<Self, OutOfRange> {
        Self::checked(tons * KG_PER_US_TON)
    }

    /// From metric tonnes of 1000 kg.
    pub fn from_tonnes(tonnes: f64) -> Result<Self, OutOfRange> {
        Self::checked(tonnes * 1000.0)
    }

    /// Kilograms.
    pub fn kg(self) -> f64 {
        self.0
    }

    /// Grams.
    pub fn grams(self) -> f64 {
        self.0 * 1000.0
    }

    /// Avoirdupois pounds.
    pub fn pounds(self) -> f64 {
        self.0 / KG_PER_POUND
    }

    /// US (short) tons of 2000 lb.
    pub fn us_tons(self) -> f64 {
        self.0 / KG_PER_US_TON
    }
}

bounded!(
    /// Mass of one ingredient in a cubic metre of concrete, 0 to 10,000 kg/m³. Unlike a density it says nothing about
    /// the ingredient itself.
    Content, "content", "kg/m³", 0.0, 10_000.0
);
amount!(Content);

impl Content {
    /// From kilograms to the cubic metre of concrete.
    pub fn from_kg_m3(kg_m3: f64) -> Result<Self, OutOfRange> {
        Self::checked(kg_m3)
    }

    /// From pounds to the cubic yard of concrete.
    pub fn from_lb_yd3(lb_yd3: f64) -> Result<Self, OutOfRange> {
        Self::checked(lb_yd3 * KG_M3_PER_LB_YD3)
    }

    /// Kilograms to the cubic metre of concrete.
    pub fn kg_m3(self) -> f64 {
        self.0
    }

    /// Pounds to the cubic yard of concrete.
    pub fn lb_yd3(self) -> f64 {
        self.0 / KG_M3_PER_LB_YD3
    }
}
