//! Steel in a panel: the area of wires by spacing.

use quantities::{Area, Length};

use crate::{Fault, Faults};

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
