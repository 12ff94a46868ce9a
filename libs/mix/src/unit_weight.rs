//! What the scale says about fresh concrete: density, yield, relative yield and air by weighing.

use quantities::state::State;
use quantities::{Density, Fresh, Mass, Ratio, Volume};

use crate::{Fault, Faults};

/// Density from a measure weighed full and empty: D = (full - tare) / V. (ASTM C138/C138M, for fresh concrete.)
pub fn density<S: State>(full: Mass, tare: Mass, measure: Volume) -> Result<Density<S>, Faults> {
    let Some(net) = full.checked_sub(tare) else {
        let what = format!("the full measure weighs {full}, less than the empty one's {tare}");
        return Err(Fault::new("/full", what, "weigh again: full first, then empty and clean").into());
    };
    Density::from_kg_m3(net.kg() / measure.m3()).map_err(|error| Fault::out_of_range("/measure", error).into())
}

/// Yield of a load: all its masses over its wet density. Y = M / D. (ASTM C138/C138M.)
pub fn yield_of(batched: Mass, density: Density<Fresh>) -> Result<Volume, Faults> {
    Volume::from_m3(batched.kg() / density.kg_m3()).map_err(|error| Fault::out_of_range("/batched", error).into())
}

/// Relative yield: what was made over what was meant. Ry = Y / Yd. (ASTM C138/C138M.)
pub fn relative_yield(made: Volume, designed: Volume) -> Result<Ratio, Faults> {
    made.over(designed).map_err(|error| Fault::out_of_range("/designed", error).into())
}

/// Density the load would have without air: T = M / ΣV of the absolute volumes.
pub fn air_free_density(batched: Mass, absolute: Volume) -> Result<Density<Fresh>, Faults> {
    batched.per(absolute).map_err(|error| Fault::out_of_range("/absolute", error).into())
}

/// Air by weighing: A = (T - D) / T. A density above the air-free one is a fault: something was weighed wrong or a
/// relative density is off. (ASTM C138/C138M.)
pub fn gravimetric_air(air_free: Density<Fresh>, measured: Density<Fresh>) -> Result<Ratio, Faults> {
    Ratio::from_number(1.0 - measured.kg_m3() / air_free.kg_m3()).map_err(|_| {
        let what = format!("{measured} measured is above the {air_free} it would have without any air");
        Fault::new("/measured", what, "weigh again, and check the relative densities").into()
    })
}
