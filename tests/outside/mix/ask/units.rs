//! Units: amounts in writing, and constructors by name with the getter that undoes them.

use quantities::{Celsius, Content, Density, Hours, Length, Mass, OfMaterial, Pressure, Volume, written};
use serde_json::{Value, json};

use super::{Answer, number, said, text};

/// `quantity`: mass, volume or length; `written`: the amount. Answers kilograms, litres or millimetres.
pub fn read(question: &Value) -> Answer {
    let written = text(question, "written")?;
    let value = match text(question, "quantity")? {
        "mass" => written::mass(written).map_err(said)?.kg(),
        "volume" => written::volume(written).map_err(said)?.litres(),
        "length" => written::length(written).map_err(said)?.mm(),
        other => return Err(format!("no quantity {other} is read")),
    };
    Ok(json!({ "value": value }))
}

/// `from`: a unit that has a constructor; `value`: the number. Answers the number in the library's own unit and back.
pub fn convert(question: &Value) -> Answer {
    let value = number(question, "value")?;
    let (own, back) = match text(question, "from")? {
        "lb" => Mass::from_pounds(value).map(|m| (m.kg(), m.pounds())),
        "US ton" => Mass::from_us_tons(value).map(|m| (m.kg(), m.us_tons())),
        "US gal" => Volume::from_us_gallons(value).map(|v| (v.litres(), v.us_gallons())),
        "US fl oz" => Volume::from_us_fluid_ounces(value).map(|v| (v.litres(), v.us_fluid_ounces())),
        "ft³" => Volume::from_cubic_feet(value).map(|v| (v.litres(), v.cubic_feet())),
        "yd³" => Volume::from_cubic_yards(value).map(|v| (v.litres(), v.cubic_yards())),
        "in" => Length::from_inches(value).map(|l| (l.mm(), l.inches())),
        "lb/ft³" => Density::<OfMaterial>::from_lb_ft3(value).map(|d| (d.kg_m3(), d.lb_ft3())),
        "lb/yd³" => Content::from_lb_yd3(value).map(|c| (c.kg_m3(), c.lb_yd3())),
        "psi" => Pressure::from_psi(value).map(|p| (p.mpa(), p.psi())),
        "°F" => Celsius::from_fahrenheit(value).map(|t| (t.celsius(), t.fahrenheit())),
        "K" => Celsius::from_celsius(value - 273.15).map(|t| (t.celsius(), t.kelvin())),
        "d" => Hours::from_days(value).map(|h| (h.hours(), h.days())),
        other => return Err(format!("no unit {other} is converted")),
    }
    .map_err(said)?;
    Ok(json!({ "value": own, "back": back }))
}
