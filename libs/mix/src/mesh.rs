//! Steel in a panel: the area of wires by spacing, and what they weigh.

use quantities::{Area, Length, Mass};

use crate::{Fault, Faults, Source, Worked};

/// Square millimetres of a wire of a W number: hundredths of a square inch.
pub fn wire_area(w_number: f64) -> Result<Area, Faults> {
    Area::from_mm2(w_number / 100.0 * 25.4 * 25.4).map_err(|error| Fault::out_of_range("/w_number", error).into())
}

/// Area of a wire of a diameter: π d² / 4.
pub fn area_of_diameter(diameter: Length) -> Result<Area, Faults> {
    let mm2 = core::f64::consts::PI * diameter.mm() * diameter.mm() / 4.0;
    Area::from_mm2(mm2).map_err(|error| Fault::out_of_range("/diameter", error).into())
}

/// Steel area over a width of panel, mm² in `width`: width / spacing · area of a wire.
pub fn steel_in(width: Length, wire: Area, spacing: Length) -> Result<Area, Faults> {
    if spacing == Length::ZERO {
        return Err(Fault::new("/spacing", "wires without spacing are a plate", "give the spacing of the wires").into());
    }
    Area::from_mm2(width.mm() / spacing.mm() * wire.mm2()).map_err(|error| Fault::out_of_range("/width", error).into())
}

/// Density of steel, kg/m³.
const STEEL_KG_M3: f64 = 7850.0;

/// Mass of a sheet of square mesh by its wires, the same both ways, without overhang: A · 2 a / s · 7850 kg/m³.
pub fn mass(sheet: Area, wire: Area, spacing: Length) -> Result<Mass, Faults> {
    if spacing == Length::ZERO {
        return Err(Fault::new("/spacing", "wires without spacing are a plate", "give the spacing of the wires").into());
    }
    let cubic_mm = sheet.mm2() * 2.0 * wire.mm2() / spacing.mm();
    Mass::from_kg(cubic_mm / 1.0e9 * STEEL_KG_M3).map_err(|error| Fault::out_of_range("/sheet", error).into())
}

/// How the steel of a sheet came about: `across` is what [`steel_in`] gave over the sheet's width, `mass` what [`mass`] gave.
pub fn worked(sheet: Area, width: Length, wire: Area, spacing: Length, across: Area, mass: Mass) -> [Worked; 2] {
    let line = |what: &str, formula, numbers, result, unit| Worked {
        what: what.to_owned(),
        formula,
        numbers,
        result,
        unit,
        source: Source::WIRE,
    };
    let (a, s) = (wire.mm2(), spacing.mm());
    let (square_metres, width) = (sheet.mm2() / 1.0e6, width.mm());
    let whole = format!("{square_metres:.4} m² · 2 · {a:.3} mm² / {s:.1} mm · {STEEL_KG_M3:.0} kg/m³");
    [
        line(
            "steel across the width",
            "As = width / spacing · a",
            format!("{width:.1} mm / {s:.1} mm · {a:.3} mm²"),
            across.mm2(),
            "mm²",
        ),
        line("mass of the sheet", "m = A · 2 a / s · ρ", whole, mass.kg(), "kg"),
    ]
}
