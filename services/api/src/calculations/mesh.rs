//! Steel mesh in a panel.

use mix::mesh;
use quantities::{Area, Length};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is};
use crate::wire::calculations::mesh::{AskedMesh, MeshSteel};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedMesh);

impl Calculation for AskedMesh {
    type Found = MeshSteel;

    fn work_out(&self, _: &Known) -> Result<MeshSteel, Vec<Fault>> {
        let mut reading = Reading::default();
        let wire = self.wire(&mut reading);
        let spacing = reading.length("/spacing", &self.spacing);
        let length = reading.length("/length", &self.length);
        let width = reading.length("/width", &self.width);
        let (((wire, spacing), length), width) = reading.done(wire.zip(spacing).zip(length).zip(width))?;
        let sheet = sheet(length, width)?;
        let across = mesh::steel_in(width, wire, spacing).map_err(|faults| all_at("/spacing", &faults))?;
        let mass = mesh::mass(sheet, wire, spacing).map_err(|faults| all_at("/spacing", &faults))?;
        let worked = mesh::worked(sheet, width, wire, spacing, across, mass).map(WorkedLine::from).to_vec();
        Ok(MeshSteel {
            wire_mm2: wire.mm2(),
            steel_across_mm2: across.mm2(),
            sheet_mm2: sheet.mm2(),
            mass_kg: mass.kg(),
            worked,
        })
    }
}

impl AskedMesh {
    /// Area of a wire, by its diameter or its number.
    fn wire(&self, reading: &mut Reading) -> Option<Area> {
        match (&self.wire_diameter, self.w_number) {
            (Some(text), None) => {
                let area = mesh::area_of_diameter(reading.length("/wire_diameter", text)?);
                reading.keep(area.map_err(|faults| all_at("/wire_diameter", &faults)))
            }
            (None, Some(number)) => {
                reading.keep(mesh::wire_area(number).map_err(|faults| all_at("/w_number", &faults)))
            }
            _ => {
                reading.push("/wire_diameter", "give the wire's diameter or its W number: one of the two");
                None
            }
        }
    }
}

fn sheet(length: Length, width: Length) -> Result<Area, Vec<Fault>> {
    Area::from_mm2(length.mm() * width.mm()).map_err(|error| vec![Fault::at("/length", error.to_string())])
}
