//! Amounts as people write them: a number and a unit that says one thing only.
//!
//! `15 lb`, `2.5 US gal`, `15 US fl oz`, `25 kg`, `960 kg/m³`, `41 °F`. Capitals, dots and spaces do not matter. A unit with
//! two meanings ("gal", "oz", "ton", "bag", "%", "°") is refused with the choices: a guess here would be a wrong batch later.

use crate::state::State;
use crate::{Celsius, Density, Length, Mass, Unclear, Volume};

const MASS_UNITS: &str = "g, kg, t (1000 kg), lb, oz av, US ton (2000 lb)";
const VOLUME_UNITS: &str = "ml, L, m³, US gal, US fl oz, imp gal, imp fl oz, ft³, yd³";
const LENGTH_UNITS: &str = "mm, cm, m, in, ft";
const DENSITY_UNITS: &str = "kg/m³, g/L, lb/ft³";
const TEMPERATURE_UNITS: &str = "°C, °F";

/// Reads a mass.
pub fn mass(written: &str) -> Result<Mass, Unclear> {
    let (number, unit) = split(written)?;
    Ok(match unit.as_str() {
        "g" => Mass::from_grams(number),
        "kg" => Mass::from_kg(number),
        "t" | "tonne" | "tonnes" => Mass::from_tonnes(number),
        "lb" | "lbs" => Mass::from_pounds(number),
        "oz av" => Mass::from_ounces(number),
        "us ton" | "us tons" => Mass::from_us_tons(number),
        _ => return Err(unknown(unit, "a mass", MASS_UNITS)),
    }?)
}

/// Reads a volume.
pub fn volume(written: &str) -> Result<Volume, Unclear> {
    let (number, unit) = split(written)?;
    Ok(match unit.as_str() {
        "ml" => Volume::from_millilitres(number),
        "l" | "litre" | "litres" => Volume::from_litres(number),
        "m3" | "m³" => Volume::from_m3(number),
        "us gal" => Volume::from_us_gallons(number),
        "us fl oz" => Volume::from_us_fluid_ounces(number),
        "imp gal" => Volume::from_imperial_gallons(number),
        "imp fl oz" => Volume::from_imperial_fluid_ounces(number),
        "ft3" | "ft³" => Volume::from_cubic_feet(number),
        "yd3" | "yd³" => Volume::from_cubic_yards(number),
        _ => return Err(unknown(unit, "a volume", VOLUME_UNITS)),
    }?)
}

/// Reads a length.
pub fn length(written: &str) -> Result<Length, Unclear> {
    let (number, unit) = split(written)?;
    Ok(match unit.as_str() {
        "mm" => Length::from_mm(number),
        "cm" => Length::from_mm(number * 10.0),
        "m" => Length::from_mm(number * 1000.0),
        "in" => Length::from_inches(number),
        "ft" => Length::from_inches(number * 12.0),
        _ => return Err(unknown(unit, "a length", LENGTH_UNITS)),
    }?)
}

/// Reads a density; its state is the caller's to know.
pub fn density<S: State>(written: &str) -> Result<Density<S>, Unclear> {
    let (number, unit) = split(written)?;
    // A dot or a space may stand around the stroke.
    Ok(match unit.replace(' ', "").as_str() {
        "kg/m3" | "kg/m³" | "g/l" => Density::from_kg_m3(number),
        "lb/ft3" | "lb/ft³" => Density::from_lb_ft3(number),
        _ => return Err(unknown(unit, "a density", DENSITY_UNITS)),
    }?)
}

/// Reads a temperature.
pub fn temperature(written: &str) -> Result<Celsius, Unclear> {
    let (number, unit) = split(written)?;
    Ok(match unit.replace(' ', "").as_str() {
        "°c" | "c" => Celsius::from_celsius(number),
        "°f" | "f" => Celsius::from_fahrenheit(number),
        _ => return Err(unknown(unit, "a temperature", TEMPERATURE_UNITS)),
    }?)
}

/// The number, and the unit in lower case with single spaces.
fn split(written: &str) -> Result<(f64, String), Unclear> {
    let text = written.trim();
    let end = text.find(|c: char| !(c.is_ascii_digit() || ".+-".contains(c))).unwrap_or(text.len());
    let number = text[..end].parse().map_err(|_| Unclear::NoNumber { written: written.to_owned() })?;
    let unit = text[end..].to_lowercase().replace('.', " ");
    Ok((number, unit.split_whitespace().collect::<Vec<_>>().join(" ")))
}

fn unknown(unit: String, quantity: &'static str, choices: &'static str) -> Unclear {
    let choices_of = match unit.as_str() {
        "gal" | "gallon" | "gallons" => "US gal or imp gal",
        "fl oz" => "US fl oz or imp fl oz",
        "oz" | "ounce" | "ounces" => "oz av (mass), US fl oz or imp fl oz (volume)",
        "ton" | "tons" => "t (1000 kg) or US ton (2000 lb)",
        "bag" | "bags" | "sack" | "sacks" => "the bag's mass, such as 25 kg or 94 lb, and how many",
        "%" | "per cent" | "percent" => "% of cementitious or % of mix",
        "°" | "deg" | "degrees" => "°C or °F",
        "" => "a unit after the number",
        _ => return Unclear::UnknownUnit { unit, quantity, choices },
    };
    Unclear::Ambiguous { unit, choices: choices_of }
}
