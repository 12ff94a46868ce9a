//! What a scale can tell apart, and how far a mass may be out.

use quantities::{Grams, Mass, Ratio};

use crate::{Fault, Faults, Role};

/// Accuracy asked of a scale at a load: the greater of 0.15 % of its capacity and 0.4 % of the load. (ASTM C94/C94M-15a.)
pub fn scale_accuracy(capacity: Mass, load: Mass) -> Mass {
    share(capacity, 0.0015).max(share(load, 0.004))
}

/// The band a cement mass must fall into: within 1 % above 30 % of the scale's capacity, else none under and up to 4 %
/// over. (ASTM C94/C94M, section 9, from memory.)
pub fn cement_band(target: Mass, capacity: Mass) -> (Mass, Mass) {
    if target > share(capacity, 0.3) {
        (share(target, 0.99), share(target, 1.01))
    } else {
        (target, share(target, 1.04))
    }
}

/// Editions of ASTM C94/C94M that put the tolerance on water differently.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WaterRule {
    /// Before 2021: added water within 1 % of all mixing water, all mixing water within 3 %. Still widely quoted.
    Before2021,
    /// From C94/C94M-21a: the batch water within 1.5 % of its target.
    From2021,
}

/// The band mixing water must fall into: the added (weighed or metered) water, and all of it with what the aggregates
/// bring. (ASTM C94/C94M, as reported by a ready-mixed concrete association, 2021.)
pub fn water_band(rule: WaterRule, added: Mass, all: Mass) -> WaterBand {
    let (added_share, all_share) = match rule {
        WaterRule::Before2021 => (share(all, 0.01), share(all, 0.03)),
        WaterRule::From2021 => (share(added, 0.015), share(all, 0.015)),
    };
    WaterBand { added: around(added, added_share), all: around(all, all_share) }
}

/// Least and most of mixing water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterBand {
    /// What is weighed or metered in.
    pub added: (Mass, Mass),
    /// With what the aggregates bring.
    pub all: (Mass, Mass),
}

fn around(middle: Mass, half: Mass) -> (Mass, Mass) {
    (middle.checked_sub(half).unwrap_or(Mass::ZERO), middle + half)
}

/// Whether a scale's steps are fine enough for its capacity: 0.1 % of it or less. (State department of transportation,
/// inspector's notes for concrete plants.) It says nothing on small loads: see [`least_weighable`].
pub fn fine_enough(resolution: Grams, capacity: Mass) -> bool {
    resolution.get() as f64 <= capacity.grams() * 0.001 + 1.0e-9
}

/// Tolerance of an ingredient by EN 206: 3 % for cement, water, aggregates and additions above 5 % of the cement, 5 % for
/// admixtures and smaller additions. (EN 206, batching tolerances, as given by a European concrete handbook.)
pub fn en_206_tolerance(role: Role, of_cement: Ratio) -> Ratio {
    let small = of_cement.per_cent() <= 5.0 + 1.0e-9;
    let per_cent = match role {
        Role::Admixture => 5.0,
        Role::Addition | Role::Pigment | Role::Fibre if small => 5.0,
        _ => 3.0,
    };
    Ratio::from_per_cent(per_cent).unwrap_or(Ratio::ZERO)
}

/// The least mass whose rounding to a scale's resolution (half a step) stays within a tolerance above nothing.
pub fn least_weighable(resolution: Grams, tolerance: Ratio) -> Result<Mass, Faults> {
    let grams = resolution.get() as f64 / 2.0 / tolerance.number();
    Mass::from_grams(grams).map_err(|error| Fault::out_of_range("/tolerance", error).into())
}

/// A share of a mass by one of the constants above.
fn share(mass: Mass, share: f64) -> Mass {
    mass * Ratio::from_number(share).unwrap_or(Ratio::ZERO)
}
