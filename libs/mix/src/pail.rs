//! The fill mark in a mixing pail, from its inside diameters, and back.
//!
//! A pail is a frustum: radius r0 at the bottom, growing by the slope s to height h. V = π h (r0² + r0 r + r²) / 3.

use core::f64::consts::PI;

use quantities::{Length, Volume};

use crate::{Fault, Faults, Source, Worked};

/// A pail, or any round vessel with straight sides, by its inside measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pail {
    bottom: Length,
    top: Length,
    height: Length,
}

impl Pail {
    /// From inside diameters at the bottom and at `height` above it. All above nothing.
    pub fn new(bottom: Length, top: Length, height: Length) -> Result<Self, Faults> {
        let measured = [("bottom", bottom), ("top", top), ("height", height)];
        let faults = measured.iter().filter(|(_, length)| *length == Length::ZERO).map(|(field, _)| {
            Fault::new(
                format!("/{field}"),
                "the pail has no such measure",
                "measure it inside, in millimetres or inches",
            )
        });
        Faults::none_of(faults.collect())?;
        Ok(Self { bottom, top, height })
    }

    /// Volume up to a mark above the bottom, at most to the measured height.
    pub fn volume_to(&self, mark: Length) -> Result<Volume, Faults> {
        if mark > self.height {
            let what = format!("a mark at {:.1} is above the pail's {:.1}", mark, self.height);
            return Err(Fault::new("/mark", what, "give a mark inside the pail").into());
        }
        let (r0, h) = (self.bottom.mm() / 2.0, mark.mm());
        let r = r0 + self.slope() * h;
        litres(PI * h * (r0 * r0 + r0 * r + r * r) / 3.0 / 1.0e6)
    }

    /// Volume up to the measured height.
    pub fn brim(&self) -> Result<Volume, Faults> {
        self.volume_to(self.height)
    }

    /// The mark above the bottom at which the pail holds so much.
    ///
    /// With r³ = r0³ + 3 s V / π at the mark, h = (r - r0) / s = (3 V / π) / (r² + r r0 + r0²), which also holds for a
    /// straight pail (s = 0).
    pub fn mark_for(&self, volume: Volume) -> Result<Length, Faults> {
        let brim = self.brim()?;
        if volume.litres() > brim.litres() * (1.0 + 1.0e-12) {
            let what = format!("{:.2} do not fit in {:.2}", volume, brim);
            return Err(Fault::new("/volume", what, "mix a smaller load or take a larger pail").into());
        }
        let (r0, mm3) = (self.bottom.mm() / 2.0, volume.litres() * 1.0e6);
        let r = (r0 * r0 * r0 + 3.0 * self.slope() * mm3 / PI).max(0.0).cbrt();
        Length::from_mm(3.0 * mm3 / PI / (r * r + r * r0 + r0 * r0))
            .map_err(|e| Fault::out_of_range("/volume", e).into())
    }

    /// The worked line of a mark.
    pub fn worked(&self, mark: Length, volume: Volume) -> Worked {
        let (bottom, top) = (self.bottom.mm(), self.bottom.mm() + 2.0 * self.slope() * mark.mm());
        Worked {
            what: "volume to the mark".into(),
            formula: "V = π h (r0² + r0 r + r²) / 3",
            numbers: format!("h = {:.1} mm, r0 = {:.1} mm, r = {:.1} mm", mark.mm(), bottom / 2.0, top / 2.0),
            result: volume.litres(),
            unit: "L",
            source: Source::GEOMETRY,
        }
    }

    fn slope(&self) -> f64 {
        (self.top.mm() - self.bottom.mm()) / 2.0 / self.height.mm()
    }
}

fn litres(litres: f64) -> Result<Volume, Faults> {
    Volume::from_litres(litres).map_err(|error| Fault::out_of_range("/pail", error).into())
}
