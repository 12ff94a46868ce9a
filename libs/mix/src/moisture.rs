//! Wet aggregates: what to weigh today, and the water they bring.

use quantities::{Density, Mass, OfMaterial, Ratio, Volume};

use crate::{Fault, Faults, Source, Worked};

/// How an aggregate's mass in the recipe is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Dry in the oven: its grains will take up their absorption from the mixing water.
    OvenDry,
    /// Saturated and surface-dry: grains full, surface dry.
    SaturatedSurfaceDry,
}

/// Moisture of an aggregate as tested today.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moisture {
    /// Free water on its surface over its saturated, surface-dry mass.
    FreeSurface(Ratio),
    /// All water over its dry mass, and the absorption over its dry mass.
    Total {
        /// All water.
        moisture: Ratio,
        /// Water its grains hold.
        absorption: Ratio,
    },
}

/// What a moist aggregate means for a load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistAggregate {
    /// What to weigh of it as it lies.
    pub weigh: Mass,
    /// Free water in kilograms it brings; below zero where its dry grains drink from the mixing water.
    pub free_water_kg: f64,
}

impl MoistAggregate {
    /// How it came about: `mass` is the recipe's.
    pub fn worked(&self, name: &str, mass: Mass) -> Worked {
        Worked {
            what: format!("{name} as it lies"),
            formula: "dry mass · (1 + moisture)",
            numbers: format!("recipe {:.3} kg, free water {:+.3} kg", mass.kg(), self.free_water_kg),
            result: self.weigh.kg(),
            unit: "kg",
            source: Source::DEFINITION,
        }
    }
}

/// What to weigh of an aggregate as it lies, and the free water in it.
///
/// With [`Moisture::FreeSurface`] the recipe's mass must be saturated and surface-dry. With [`Moisture::Total`] either
/// basis does: dry mass = mass / (1 + absorption) where it is given surface-dry.
pub fn moist(mass: Mass, basis: Basis, moisture: Moisture) -> Result<MoistAggregate, Faults> {
    match (basis, moisture) {
        (Basis::OvenDry, Moisture::FreeSurface(_)) => {
            let what = "free surface moisture says nothing on an oven-dry mass";
            Err(Fault::new("/moisture", what, "give total moisture and absorption").into())
        }
        (Basis::SaturatedSurfaceDry, Moisture::FreeSurface(free)) => {
            let water = mass * free;
            Ok(MoistAggregate { weigh: mass + water, free_water_kg: water.kg() })
        }
        (_, Moisture::Total { moisture, absorption }) => {
            let grains = if basis == Basis::OvenDry { 1.0 } else { 1.0 + absorption.number() };
            let dry = mass.kg() / grains;
            let weigh = Mass::from_kg(dry * (1.0 + moisture.number()));
            Ok(MoistAggregate {
                weigh: weigh.map_err(|error| Fault::out_of_range("/mass", error))?,
                free_water_kg: dry * (moisture.number() - absorption.number()),
            })
        }
    }
}

/// Mixing water left to add when the aggregates bring theirs. More free water than the mix may have is a fault.
pub fn water_to_add(designed: Mass, aggregates: &[MoistAggregate]) -> Result<Mass, Faults> {
    let free: f64 = aggregates.iter().map(|aggregate| aggregate.free_water_kg).sum();
    Mass::from_kg(designed.kg() - free).map_err(|_| {
        let what = format!("the aggregates bring {free:.1} kg of free water, the mix may have {:.1} kg", designed.kg());
        Fault::new("/moisture", what, "drain or dry the aggregates before batching").into()
    })
}

/// How the mixing water left to add came about.
pub fn water_worked(designed: Mass, aggregates: &[MoistAggregate], left: Mass) -> Worked {
    let free: f64 = aggregates.iter().map(|aggregate| aggregate.free_water_kg).sum();
    Worked {
        what: "water to add".into(),
        formula: "W - Σ free water",
        numbers: format!("{:.3} - {free:.3} kg", designed.kg()),
        result: left.kg(),
        unit: "kg",
        source: Source::BALANCE,
    }
}

/// Mass of moist sand measured by volume: bulking makes a measure of moist sand hold less sand, so
/// dry sand = loose volume · dry bulk density / (1 + bulking).
pub fn bulked_sand(loose: Volume, dry_bulk: Density<OfMaterial>, bulking: Ratio) -> Result<Mass, Faults> {
    let mass = (dry_bulk * loose).kg() / (1.0 + bulking.number());
    Mass::from_kg(mass).map_err(|error| Fault::out_of_range("/loose", error).into())
}

/// How the dry sand in a measure of moist sand came about.
pub fn bulked_worked(loose: Volume, dry_bulk: Density<OfMaterial>, bulking: Ratio, dry: Mass) -> Worked {
    let (litres, kg_m3) = (loose.litres(), dry_bulk.kg_m3());
    Worked {
        what: "dry sand in the measure".into(),
        formula: "m = V ρb / (1 + bulking)",
        numbers: format!("{litres:.3} L · {kg_m3:.1} kg/m³ / (1 + {:.3})", bulking.number()),
        result: dry.kg(),
        unit: "kg",
        source: Source::DEFINITION,
    }
}
