//! Liquid admixtures, dosed by the hundredweight of the trade: millilitres per 100 kg of cementitious material.

use quantities::{Mass, OutOfRange, Volume};

/// Volume for a cementitious mass, at millilitres per 100 kg (0 to 10,000).
pub fn volume(ml_per_100_kg: f64, cementitious: Mass) -> Result<Volume, OutOfRange> {
    if !(0.0..=10_000.0).contains(&ml_per_100_kg) {
        let (quantity, unit) = ("admixture dose", "ml per 100 kg");
        return Err(OutOfRange { quantity, value: ml_per_100_kg, unit, least: 0.0, most: 10_000.0 });
    }
    Volume::from_millilitres(ml_per_100_kg * cementitious.kg() / 100.0)
}
