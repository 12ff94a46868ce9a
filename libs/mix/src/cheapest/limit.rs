//! Limits, and how the trade says them.

use core::fmt;

use super::NOISE;
use crate::Source;

/// What a limit is on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Measured {
    /// Wet density, kg/m³.
    WetDensity,
    /// Oven-dry density, kg/m³.
    OvenDryDensity,
    /// Water over cement.
    WaterCement,
    /// Water over cementitious material.
    WaterCementitious,
    /// Cement of all kinds, kg/m³.
    Cement,
    /// Content of a material by name, kg/m³.
    Content(String),
    /// Dose of a material by name, % of cementitious.
    OfCementitious(String),
    /// Dose of a material by name, % of mix.
    OfMix(String),
    /// Dose of a material by name, ml per 100 kg.
    MlPer100Kg(String),
    /// All pigments together, % of cementitious: a ceiling that is not for the asking.
    Pigments,
    /// Foam, % of the concrete's volume.
    Foam,
}

impl Measured {
    /// The unit limits on it are given in; empty for a ratio.
    pub fn unit(&self) -> &'static str {
        match self {
            Self::WetDensity | Self::OvenDryDensity | Self::Cement | Self::Content(_) => "kg/m³",
            Self::WaterCement | Self::WaterCementitious => "",
            Self::OfCementitious(_) | Self::Pigments => "% of cementitious",
            Self::OfMix(_) => "% of mix",
            Self::MlPer100Kg(_) => "ml per 100 kg",
            Self::Foam => "% of the volume",
        }
    }

    /// What the number of a mix rests on.
    pub fn source(&self) -> Source {
        match self {
            Self::WetDensity => Source::BALANCE,
            Self::OvenDryDensity => Source::OVEN_DRY,
            Self::Pigments => Source::MOST_PIGMENT,
            _ => Source::DEFINITION,
        }
    }

    /// How the number of a mix comes about, all parts being those of a cubic metre.
    pub(super) fn formula(&self) -> &'static str {
        match self {
            Self::WetDensity => "D = Σ M + ρf Vf",
            Self::OvenDryDensity => "O = dry solids + 0.2 · Portland cement",
            Self::WaterCement => "w/c = W / C, W with the foam's water where it is counted",
            Self::WaterCementitious => "W / (C + additions), W with the foam's water where it is counted",
            Self::Cement => "C = Σ M of all cements",
            Self::Content(_) => "M",
            Self::OfCementitious(_) => "100 · M / (C + additions), of a pigment its solids",
            Self::OfMix(_) => "100 · M / Σ M, without the foam",
            Self::MlPer100Kg(_) => "100 · V / (C + additions), V in millilitres",
            Self::Pigments => "100 · Σ solids of pigments / (C + additions)",
            Self::Foam => "100 · Vf",
        }
    }

    /// What a person takes for a small part of a number of it: the whole step or, of small numbers, a tenth of the number.
    fn step_at(&self, value: f64) -> f64 {
        let whole: f64 = match self {
            Self::WaterCement | Self::WaterCementitious => 0.01,
            Self::OfCementitious(_) | Self::OfMix(_) | Self::Pigments | Self::Foam => 0.1,
            _ => 1.0,
        };
        if value.abs() > NOISE { whole.min(value.abs() / 10.0) } else { whole }
    }

    /// Decimals in which a person reads a number of it: one more than its step has.
    pub(super) fn decimals_at(&self, value: f64) -> usize {
        let of_the_step = -self.step_at(value).log10();
        // A power of ten that is not quite one in binary is not worth a further decimal.
        (of_the_step - 1.0e-9).ceil() as usize + 1
    }

    /// A number of it, `amount` being the number with "at least" or "at most" before it, or bare.
    fn phrase(&self, amount: &str) -> String {
        match self {
            Self::WetDensity => format!("{amount} kg/m³ wet"),
            Self::OvenDryDensity => format!("{amount} kg/m³ oven-dry"),
            Self::WaterCement => format!("a water/cement ratio of {amount}"),
            Self::WaterCementitious => format!("a water/cementitious ratio of {amount}"),
            Self::Cement => format!("{amount} kg/m³ of cement"),
            Self::Content(name) => format!("{amount} kg/m³ of {name}"),
            Self::OfCementitious(name) => format!("{amount} % of {name} on the cementitious"),
            Self::OfMix(name) => format!("{amount} % of {name} in the mix"),
            Self::MlPer100Kg(name) => format!("{amount} ml of {name} per 100 kg of cementitious"),
            Self::Pigments => format!("{amount} % of pigments together on the cementitious"),
            Self::Foam => format!("{amount} % of foam by volume"),
        }
    }
}

/// Which end of a band a limit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Not below it.
    Least,
    /// Not above it.
    Most,
}

/// One limit of a wish.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What it is on.
    pub on: Measured,
    /// Which end.
    pub end: End,
    /// The number, in the measure's unit.
    pub value: f64,
}

impl Limit {
    /// By how much it is relaxed to see what it costs: 1 kg/m³, 0.01 of a ratio, 0.1 %, 1 ml per 100 kg; or a tenth of its
    /// number where that is less and the number is not nothing.
    pub fn step(&self) -> f64 {
        self.on.step_at(self.value)
    }

    /// Another number of its measure: `550 kg/m³ of cement`.
    pub(super) fn bare(&self, value: f64) -> String {
        self.on.phrase(&self.number(value))
    }

    /// Another number as an end: `at most 550 kg/m³ of cement`.
    pub(super) fn at(&self, end: End, value: f64) -> String {
        let end = if end == End::Least { "at least" } else { "at most" };
        self.on.phrase(&format!("{end} {}", self.number(value)))
    }

    /// To the decimals of its measure and size, without needless zeros.
    fn number(&self, value: f64) -> String {
        let number = format!("{value:.*}", self.on.decimals_at(value));
        number.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.at(self.end, self.value))
    }
}
