//! Densities and the states of concrete. A density carries its state in its type, so that a fresh density is never
//! taken from an oven-dry one; where the state is only known at run time (a trial read from a table), [`StatedDensity`]
//! says no instead.

use core::fmt;
use core::marker::PhantomData;

use crate::volume::KG_M3_PER_LB_FT3;
use crate::{OutOfRange, StatesDiffer};

mod sealed {
    pub trait Sealed {}
}

/// A state a density or a mass can be in. Closed: the six below are all there are.
pub trait State: sealed::Sealed + Copy + fmt::Debug + PartialEq + PartialOrd {
    /// The state's name before the quantity: `fresh`, `oven-dry`; empty for a material.
    const NAME: &'static str;
}

/// A state of concrete at which it can also be compared.
pub trait StateOfConcrete: State {
    /// The same state as a value.
    const STATE: ConcreteState;
}

macro_rules! states {
    ($($(#[$doc:meta])* $name:ident $text:literal),+ $(,)?) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
            pub struct $name;
            impl sealed::Sealed for $name {}
            impl State for $name {
                const NAME: &'static str = $text;
            }
            impl StateOfConcrete for $name {
                const STATE: ConcreteState = ConcreteState::$name;
            }
        )+

        /// The states of concrete, where a table or a person names one.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum ConcreteState { $($(#[$doc])* $name,)+ }

        impl fmt::Display for ConcreteState {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(match self { $(Self::$name => $text,)+ })
            }
        }
    };
}

states!(
    /// As mixed, before it sets.
    Fresh "fresh",
    /// Hardened, just out of its mould.
    Demoulded "demoulded",
    /// Hardened and soaked, as lifted.
    FromTheTank "from the tank",
    /// In balance with the workshop's air.
    AirDry "air-dry",
    /// With all free water driven off.
    OvenDry "oven-dry",
);

/// Not concrete: foam, loose sand, a liquid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct OfMaterial;
impl sealed::Sealed for OfMaterial {}
impl State for OfMaterial {
    const NAME: &'static str = "";
}

/// Density in a state, 0.1 to 25,000 kg/m³.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Density<S: State>(f64, PhantomData<S>);

impl<S: State> Density<S> {
    /// The least density accepted, kg/m³.
    pub const LEAST: f64 = 0.1;
    /// The most accepted, kg/m³.
    pub const MOST: f64 = 25_000.0;

    /// From kilograms to the cubic metre, which are also grams to the litre.
    pub fn from_kg_m3(kg_m3: f64) -> Result<Self, OutOfRange> {
        if (Self::LEAST..=Self::MOST).contains(&kg_m3) {
            Ok(Self(kg_m3, PhantomData))
        } else {
            let (quantity, unit) = ("density", "kg/m³");
            Err(OutOfRange { quantity, value: kg_m3, unit, least: Self::LEAST, most: Self::MOST })
        }
    }

    /// From pounds to the cubic foot.
    pub fn from_lb_ft3(lb_ft3: f64) -> Result<Self, OutOfRange> {
        Self::from_kg_m3(lb_ft3 * KG_M3_PER_LB_FT3)
    }

    /// Kilograms to the cubic metre.
    pub fn kg_m3(self) -> f64 {
        self.0
    }

    /// Pounds to the cubic foot.
    pub fn lb_ft3(self) -> f64 {
        self.0 / KG_M3_PER_LB_FT3
    }

    pub(crate) fn computed(kg_m3: f64) -> Self {
        debug_assert!(kg_m3.is_finite() && kg_m3 > 0.0, "density computed as {kg_m3}");
        Self(kg_m3, PhantomData)
    }
}

impl<S: StateOfConcrete> Density<S> {
    /// The same density with its state as a value.
    pub fn stated(self) -> StatedDensity {
        StatedDensity { state: S::STATE, kg_m3: self.0 }
    }
}

impl<S: State> fmt::Display for Density<S> {
    /// Whole kg/m³ unless a precision is asked for.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.*} kg/m³", f.precision().unwrap_or(0), self.0)
    }
}

/// Mass of a piece of concrete in a state, 0 kg and up.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ConcreteMass<S: State>(f64, PhantomData<S>);

impl<S: StateOfConcrete> ConcreteMass<S> {
    /// From kilograms, 0 to 1,000,000.
    pub fn from_kg(kg: f64) -> Result<Self, OutOfRange> {
        if (0.0..=1.0e6).contains(&kg) {
            Ok(Self(kg, PhantomData))
        } else {
            Err(OutOfRange { quantity: "mass of concrete", value: kg, unit: "kg", least: 0.0, most: 1.0e6 })
        }
    }

    /// Kilograms.
    pub fn kg(self) -> f64 {
        self.0
    }

    pub(crate) fn computed(kg: f64) -> Self {
        debug_assert!(kg.is_finite() && kg >= 0.0, "mass of concrete computed as {kg}");
        Self(kg, PhantomData)
    }
}

/// A density of concrete whose state is known only when the programme runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StatedDensity {
    state: ConcreteState,
    kg_m3: f64,
}

impl StatedDensity {
    /// From a state and kilograms to the cubic metre, in the range of [`Density`].
    pub fn from_kg_m3(state: ConcreteState, kg_m3: f64) -> Result<Self, OutOfRange> {
        Density::<OfMaterial>::from_kg_m3(kg_m3).map(|density| Self { state, kg_m3: density.kg_m3() })
    }

    /// The state.
    pub fn state(self) -> ConcreteState {
        self.state
    }

    /// Kilograms to the cubic metre.
    pub fn kg_m3(self) -> f64 {
        self.kg_m3
    }

    /// This less the other in kg/m³ (negative where this is the lighter); an error across states.
    pub fn difference_kg_m3(self, other: Self) -> Result<f64, StatesDiffer> {
        if self.state == other.state {
            Ok(self.kg_m3 - other.kg_m3)
        } else {
            Err(StatesDiffer { left: self.state, right: other.state })
        }
    }

    /// By how many per cent of the reference this is the lighter (negative where heavier); an error across states.
    pub fn per_cent_lighter_than(self, reference: Self) -> Result<f64, StatesDiffer> {
        Ok(reference.difference_kg_m3(self)? / reference.kg_m3 * 100.0)
    }
}
