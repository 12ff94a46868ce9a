//! Volume, held in litres. US and imperial gallons and fluid ounces differ by a fifth and a twenty-fifth, so each is
//! named in full.

use crate::OutOfRange;
use crate::bounded::{amount, bounded};
use crate::ledger::Millilitres;
use crate::mass::KG_PER_POUND;

/// One US gallon in litres, exact: 231 cubic inches.
pub const LITRES_PER_US_GALLON: f64 = 3.785_411_784;
/// One US fluid ounce in litres, exact: 1/128 of a US gallon.
pub const LITRES_PER_US_FLUID_OUNCE: f64 = 0.029_573_529_562_5;
/// One imperial gallon in litres, exact.
pub const LITRES_PER_IMPERIAL_GALLON: f64 = 4.546_09;
/// One imperial fluid ounce in litres, exact: 1/160 of an imperial gallon.
pub const LITRES_PER_IMPERIAL_FLUID_OUNCE: f64 = 0.028_413_062_5;
/// One cubic foot in litres, exact: 3.048 dm, cubed.
pub const LITRES_PER_CUBIC_FOOT: f64 = 28.316_846_592;
/// One cubic yard in litres, exact: 27 cubic feet.
pub const LITRES_PER_CUBIC_YARD: f64 = 764.554_857_984;
/// One pound to the cubic foot in kg/m³, exact to the two factors it is made of.
pub const KG_M3_PER_LB_FT3: f64 = KG_PER_POUND / LITRES_PER_CUBIC_FOOT * 1000.0;
/// One pound to the cubic yard in kg/m³, exact to the two factors it is made of.
pub const KG_M3_PER_LB_YD3: f64 = KG_PER_POUND / LITRES_PER_CUBIC_YARD * 1000.0;

bounded!(
    /// Volume, 0 to 1,000,000,000 L.
    Volume, "volume", "L", 0.0, 1.0e9
);
amount!(Volume);

impl Volume {
    /// One cubic metre, the volume recipes are written for.
    pub const CUBIC_METRE: Self = Self(1000.0);

    /// From litres.
    pub fn from_litres(litres: f64) -> Result<Self, OutOfRange> {
        Self::checked(litres)
    }

    /// From millilitres.
    pub fn from_millilitres(millilitres: f64) -> Result<Self, OutOfRange> {
        Self::checked(millilitres / 1000.0)
    }

    /// From whole ledger millilitres.
    pub fn from_ledger(millilitres: Millilitres) -> Result<Self, OutOfRange> {
        Self::checked(millilitres.get() as f64 / 1000.0)
    }

    /// From cubic metres.
    pub fn from_m3(m3: f64) -> Result<Self, OutOfRange> {
        Self::checked(m3 * 1000.0)
    }

    /// From US gallons.
    pub fn from_us_gallons(gallons: f64) -> Result<Self, OutOfRange> {
        Self::checked(gallons * LITRES_PER_US_GALLON)
    }

    /// From US fluid ounces.
    pub fn from_us_fluid_ounces(ounces: f64) -> Result<Self, OutOfRange> {
        Self::checked(ounces * LITRES_PER_US_FLUID_OUNCE)
    }

    /// From imperial gallons.
    pub fn from_imperial_gallons(gallons: f64) -> Result<Self, OutOfRange> {
        Self::checked(gallons * LITRES_PER_IMPERIAL_GALLON)
    }

    /// From imperial fluid ounces.
    pub fn from_imperial_fluid_ounces(ounces: f64) -> Result<Self, OutOfRange> {
        Self::checked(ounces * LITRES_PER_IMPERIAL_FLUID_OUNCE)
    }

    /// From cubic feet.
    pub fn from_cubic_feet(ft3: f64) -> Result<Self, OutOfRange> {
        Self::checked(ft3 * LITRES_PER_CUBIC_FOOT)
    }

    /// From cubic yards.
    pub fn from_cubic_yards(yd3: f64) -> Result<Self, OutOfRange> {
        Self::checked(yd3 * LITRES_PER_CUBIC_YARD)
    }

    /// Litres.
    pub fn litres(self) -> f64 {
        self.0
    }

    /// Millilitres.
    pub fn millilitres(self) -> f64 {
        self.0 * 1000.0
    }

    /// Cubic metres.
    pub fn m3(self) -> f64 {
        self.0 / 1000.0
    }

    /// US gallons.
    pub fn us_gallons(self) -> f64 {
        self.0 / LITRES_PER_US_GALLON
    }

    /// US fluid ounces.
    pub fn us_fluid_ounces(self) -> f64 {
        self.0 / LITRES_PER_US_FLUID_OUNCE
    }

    /// Cubic feet.
    pub fn cubic_feet(self) -> f64 {
        self.0 / LITRES_PER_CUBIC_FOOT
    }

    /// Cubic yards.
    pub fn cubic_yards(self) -> f64 {
        self.0 / LITRES_PER_CUBIC_YARD
    }
}
