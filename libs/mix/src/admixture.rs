//! Liquid admixtures, dosed by the hundredweight of the trade: millilitres per 100 kg of cementitious material.

use quantities::{Mass, OutOfRange, RelativeDensity, Volume};

use crate::{Source, Worked};

/// Volume for a cementitious mass, at millilitres per 100 kg (0 to 10,000).
pub fn volume(ml_per_100_kg: f64, cementitious: Mass) -> Result<Volume, OutOfRange> {
    if !(0.0..=10_000.0).contains(&ml_per_100_kg) {
        let (quantity, unit) = ("admixture dose", "ml per 100 kg");
        return Err(OutOfRange { quantity, value: ml_per_100_kg, unit, least: 0.0, most: 10_000.0 });
    }
    Volume::from_millilitres(ml_per_100_kg * cementitious.kg() / 100.0)
}

/// How its volume came about.
pub fn worked(ml_per_100_kg: f64, cementitious: Mass, volume: Volume) -> Worked {
    Worked {
        what: "admixture".into(),
        formula: "V = dose · cementitious / 100 kg",
        numbers: format!("{ml_per_100_kg} ml · {:.3} kg / 100 kg", cementitious.kg()),
        result: volume.millilitres(),
        unit: "ml",
        source: Source::DEFINITION,
    }
}

/// How its mass came about.
pub fn mass_worked(density: RelativeDensity, volume: Volume) -> Worked {
    Worked {
        what: "its mass".into(),
        formula: "m = ρ V",
        numbers: format!("{} · {:.2} ml", density.number(), volume.millilitres()),
        result: (density.density() * volume).kg(),
        unit: "kg",
        source: Source::DEFINITION,
    }
}
