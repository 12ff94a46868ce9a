//! What goes into a mix, apart from foam.

use quantities::{Mass, Ratio, RelativeDensity, Volume};

/// The kinds of cement, kept apart because Portland's rules do not carry over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cement {
    /// Portland cement.
    Portland,
    /// Rapid-setting calcium sulfoaluminate cement: minutes to set, other hydration water, its own trial values.
    RapidSettingCsa,
    /// Portland cement blended with slag, ash or limestone; `portland` is its Portland share by mass, 0 to 1.
    Blended {
        /// The Portland share by mass.
        portland: Ratio,
    },
}

impl Cement {
    /// The share that is Portland cement, 0 to 1.
    pub fn portland_share(self) -> Ratio {
        match self {
            Self::Portland => Ratio::ONE,
            Self::RapidSettingCsa => Ratio::ZERO,
            Self::Blended { portland } => portland,
        }
    }
}

/// What an ingredient is to the mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Role {
    /// A cement: counted in w/c.
    Cement(Cement),
    /// Ash, slag or silica fume added at the mixer: counted in water/cementitious, not in w/c.
    Addition,
    /// Mixing water.
    Water,
    /// Sand, gravel, crushed stone.
    Aggregate,
    /// Perlite, pumice, expanded clay.
    LightweightAggregate,
    /// Dry or liquid colour.
    Pigment,
    /// Fibre.
    Fibre,
    /// Any other admixture.
    Admixture,
}

impl Role {
    /// Whether it counts as cementitious.
    pub fn is_cementitious(self) -> bool {
        matches!(self, Self::Cement(_) | Self::Addition)
    }

    /// The share of it that is Portland cement, 0 to 1; nothing of anything but a cement.
    pub(crate) fn portland_share(self) -> Ratio {
        match self {
            Self::Cement(cement) => cement.portland_share(),
            _ => Ratio::ZERO,
        }
    }

    /// Whether it is an aggregate.
    pub fn is_aggregate(self) -> bool {
        matches!(self, Self::Aggregate | Self::LightweightAggregate)
    }
}

/// An ingredient as written down, in mixing order, for one making of any size.
#[derive(Clone, Debug, PartialEq)]
pub struct Ingredient {
    /// The material, by whatever name or key the caller knows it.
    pub name: String,
    /// What it is to the mix.
    pub role: Role,
    /// Its mass in the making. Aggregates saturated and surface-dry unless `absorption` is nothing.
    pub mass: Mass,
    /// Relative density in the condition it is weighed in.
    pub relative_density: RelativeDensity,
    /// The share of its mass that is water which wets the cement (liquid colour, admixture); 0 to 1. Mixing water is
    /// water by its role, whatever is said here.
    pub water_share: Ratio,
    /// Water held inside an aggregate's grains over its dry mass, 0 to 1; it takes no part in w/c and leaves in the oven.
    pub absorption: Ratio,
}

impl Ingredient {
    /// An ingredient with no water of its own.
    pub fn new(name: impl Into<String>, role: Role, mass: Mass, relative_density: RelativeDensity) -> Self {
        let name = name.into();
        Self { name, role, mass, relative_density, water_share: Ratio::ZERO, absorption: Ratio::ZERO }
    }

    /// Mixing water.
    pub fn water(name: impl Into<String>, mass: Mass) -> Self {
        Self::new(name, Role::Water, mass, RelativeDensity::WATER)
    }

    /// The volume of the ingredient itself, without any voids between its grains.
    pub fn absolute_volume(&self) -> Volume {
        self.mass / self.relative_density.density()
    }

    /// The share of the mass that is water for the cement.
    pub fn free_water(&self) -> Ratio {
        if self.role == Role::Water { Ratio::ONE } else { self.water_share }
    }

    /// The share of the mass that a dose over cementitious material counts: a pigment's solids, the whole of anything else.
    pub(crate) fn dosed_share(&self) -> Ratio {
        if self.role == Role::Pigment { self.free_water().rest() } else { Ratio::ONE }
    }

    /// The share of the mass that stays when all water that is not bound to cement has gone.
    pub(crate) fn dry_share(&self) -> f64 {
        self.free_water().rest().number() / (1.0 + self.absorption.number())
    }
}
