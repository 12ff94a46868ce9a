//! The products and quotients that mean something. What is not here does not exist: no mass times mass, no density plus
//! temperature.
//!
//! Products of quantities in range are finite; quotients that could leave the range are methods and give an error.

use core::ops::{Div, Mul};

use crate::state::{State, StateOfConcrete};
use crate::{
    Area, ConcreteMass, Content, Density, Hours, Length, Mass, OfMaterial, OutOfRange, Ratio, RelativeDensity, Volume,
};

/// Density of water, kg/m³, as proportioning takes it (about 62.4 lb/ft³). Kept in one place: absolute volumes rest on it.
pub const WATER_KG_M3: f64 = 1000.0;

impl RelativeDensity {
    /// The density it stands for: times that of water.
    pub fn density(self) -> Density<OfMaterial> {
        Density::computed(self.number() * WATER_KG_M3)
    }
}

/// Mass of a volume of stuff.
impl Mul<Volume> for Density<OfMaterial> {
    type Output = Mass;
    fn mul(self, volume: Volume) -> Mass {
        Mass::computed(self.kg_m3() * volume.m3())
    }
}

/// Mass of a piece of concrete, in the density's state.
impl<S: StateOfConcrete> Mul<Volume> for Density<S> {
    type Output = ConcreteMass<S>;
    fn mul(self, volume: Volume) -> ConcreteMass<S> {
        ConcreteMass::computed(self.kg_m3() * volume.m3())
    }
}

/// Absolute (or loose, by bulk density) volume of a mass.
impl Div<Density<OfMaterial>> for Mass {
    type Output = Volume;
    fn div(self, density: Density<OfMaterial>) -> Volume {
        Volume::computed(self.kg() / density.kg_m3() * 1000.0)
    }
}

/// Mass of an ingredient in a volume of concrete.
impl Mul<Volume> for Content {
    type Output = Mass;
    fn mul(self, volume: Volume) -> Mass {
        Mass::computed(self.kg_m3() * volume.m3())
    }
}

macro_rules! share_of {
    ($($name:ident $get:ident),+) => {$(
        /// A share of it, or a multiple.
        impl Mul<Ratio> for $name {
            type Output = $name;
            fn mul(self, ratio: Ratio) -> $name {
                $name::computed(self.$get() * ratio.number())
            }
        }
    )+};
}
share_of!(Mass kg, Volume litres, Content kg_m3, Hours hours, Ratio number);

impl Mass {
    /// The mass in a unit volume: a density in the state the caller weighed it in. Nothing in no volume is an error.
    pub fn per<S: State>(self, volume: Volume) -> Result<Density<S>, OutOfRange> {
        Density::from_kg_m3(self.kg() / volume.m3())
    }

    /// The mass of an ingredient in a unit volume of concrete.
    pub fn content_in(self, concrete: Volume) -> Result<Content, OutOfRange> {
        Content::from_kg_m3(self.kg() / concrete.m3())
    }

    /// This over the other; an error where the other is nothing.
    pub fn over(self, other: Self) -> Result<Ratio, OutOfRange> {
        Ratio::from_number(self.kg() / other.kg())
    }
}

impl Volume {
    /// This over the other; an error where the other is nothing.
    pub fn over(self, other: Self) -> Result<Ratio, OutOfRange> {
        Ratio::from_number(self.litres() / other.litres())
    }
}

/// Area of a rectangle.
impl Mul<Length> for Length {
    type Output = Area;
    fn mul(self, other: Length) -> Area {
        Area::computed(self.mm() * other.mm())
    }
}

/// Volume of a prism.
impl Mul<Length> for Area {
    type Output = Volume;
    fn mul(self, height: Length) -> Volume {
        Volume::computed(self.mm2() * height.mm() / 1.0e6)
    }
}
