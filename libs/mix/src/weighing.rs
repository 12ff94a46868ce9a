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
