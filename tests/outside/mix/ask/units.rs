//! Units: amounts in writing, and constructors by name with the getter that undoes them.

use quantities::{
    Area, Celsius, Content, Density, Hours, Length, Mass, OfMaterial, OutOfRange, Pressure, Ratio, Volume, written,
};
use serde_json::{Value, json};

use super::{Answer, number, said, text};

/// `quantity`: mass, volume, length, density or temperature; `written`: the amount. Answers kilograms, litres, millimetres,
/// kilograms to the cubic metre or degrees Celsius.
pub fn read(question: &Value) -> Answer {
    let written = text(question, "written")?;
    let value = match text(question, "quantity")? {
        "mass" => written::mass(written).map_err(said)?.kg(),
        "volume" => written::volume(written).map_err(said)?.litres(),
        "length" => written::length(written).map_err(said)?.mm(),
        "density" => written::density::<OfMaterial>(written).map_err(said)?.kg_m3(),
        "temperature" => written::temperature(written).map_err(said)?.celsius(),
        other => return Err(format!("no quantity {other} is read")),
    };
    Ok(json!({ "value": value }))
}

/// `by`: a constructor, as `Mass::from_pounds`; `value`: the number. Answers the number in the quantity's own unit (kg,
/// kg/m³, L, mm, mm², MPa, °C, h, a plain ratio) and, where there is a getter of the constructor's unit, `back` in it.
pub fn convert(question: &Value) -> Answer {
    let value = number(question, "value")?;
    let by = text(question, "by")?;
    let made = match by.split_once("::").ok_or("a constructor is named as Mass::from_kg")? {
        ("Mass", unit) => mass(unit, value),
        ("Content", unit) => content(unit, value),
        ("Volume", unit) => volume(unit, value),
        ("Length", unit) => length(unit, value),
        ("Area", "from_mm2") => Some(Area::from_mm2(value).map(|a| (a.mm2(), None))),
        ("Density", unit) => density(unit, value),
        ("Pressure", unit) => pressure(unit, value),
        ("Celsius", unit) => celsius(unit, value),
        ("Hours", unit) => hours(unit, value),
        ("Ratio", unit) => ratio(unit, value),
        _ => None,
    };
    let (own, back) = made.ok_or_else(|| format!("no {by} is asked here"))?.map_err(said)?;
    Ok(json!({ "value": own, "back": back }))
}

/// A number in the quantity's own unit and back in the constructor's; nothing for a constructor that is not known here.
type Made = Option<Result<(f64, Option<f64>), OutOfRange>>;

fn mass(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_kg" => Mass::from_kg(value).map(|m| (m.kg(), None)),
        "from_grams" => Mass::from_grams(value).map(|m| (m.kg(), Some(m.grams()))),
        "from_pounds" => Mass::from_pounds(value).map(|m| (m.kg(), Some(m.pounds()))),
        "from_ounces" => Mass::from_ounces(value).map(|m| (m.kg(), None)),
        "from_us_tons" => Mass::from_us_tons(value).map(|m| (m.kg(), Some(m.us_tons()))),
        "from_tonnes" => Mass::from_tonnes(value).map(|m| (m.kg(), None)),
        _ => return None,
    })
}

fn content(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_kg_m3" => Content::from_kg_m3(value).map(|c| (c.kg_m3(), None)),
        "from_lb_yd3" => Content::from_lb_yd3(value).map(|c| (c.kg_m3(), Some(c.lb_yd3()))),
        _ => return None,
    })
}

fn volume(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_litres" => Volume::from_litres(value).map(|v| (v.litres(), None)),
        "from_millilitres" => Volume::from_millilitres(value).map(|v| (v.litres(), Some(v.millilitres()))),
        "from_m3" => Volume::from_m3(value).map(|v| (v.litres(), Some(v.m3()))),
        "from_us_gallons" => Volume::from_us_gallons(value).map(|v| (v.litres(), Some(v.us_gallons()))),
        "from_us_fluid_ounces" => Volume::from_us_fluid_ounces(value).map(|v| (v.litres(), Some(v.us_fluid_ounces()))),
        "from_imperial_gallons" => Volume::from_imperial_gallons(value).map(|v| (v.litres(), None)),
        "from_imperial_fluid_ounces" => Volume::from_imperial_fluid_ounces(value).map(|v| (v.litres(), None)),
        "from_cubic_feet" => Volume::from_cubic_feet(value).map(|v| (v.litres(), Some(v.cubic_feet()))),
        "from_cubic_yards" => Volume::from_cubic_yards(value).map(|v| (v.litres(), Some(v.cubic_yards()))),
        _ => return None,
    })
}

fn length(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_mm" => Length::from_mm(value).map(|l| (l.mm(), None)),
        "from_inches" => Length::from_inches(value).map(|l| (l.mm(), Some(l.inches()))),
        _ => return None,
    })
}

fn density(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_kg_m3" => Density::<OfMaterial>::from_kg_m3(value).map(|d| (d.kg_m3(), None)),
        "from_lb_ft3" => Density::<OfMaterial>::from_lb_ft3(value).map(|d| (d.kg_m3(), Some(d.lb_ft3()))),
        _ => return None,
    })
}

fn pressure(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_mpa" => Pressure::from_mpa(value).map(|p| (p.mpa(), None)),
        "from_psi" => Pressure::from_psi(value).map(|p| (p.mpa(), Some(p.psi()))),
        _ => return None,
    })
}

fn celsius(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_celsius" => Celsius::from_celsius(value).map(|t| (t.celsius(), Some(t.kelvin() - 273.15))),
        "from_fahrenheit" => Celsius::from_fahrenheit(value).map(|t| (t.celsius(), Some(t.fahrenheit()))),
        _ => return None,
    })
}

fn hours(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_hours" => Hours::from_hours(value).map(|h| (h.hours(), None)),
        "from_days" => Hours::from_days(value).map(|h| (h.hours(), Some(h.days()))),
        _ => return None,
    })
}

fn ratio(unit: &str, value: f64) -> Made {
    Some(match unit {
        "from_number" => Ratio::from_number(value).map(|r| (r.number(), None)),
        "from_per_cent" => Ratio::from_per_cent(value).map(|r| (r.number(), Some(r.per_cent()))),
        _ => return None,
    })
}
