//! The ingredient that fills what is left: fine aggregate by difference, as ordinary mixes are proportioned.

use quantities::{Mass, Ratio, RelativeDensity, Volume};

use crate::{Fault, Faults};

/// Coarse aggregate by its bulk volume: share of the concrete's volume times the dry-rodded density (ACI 211.1-91).
pub fn coarse_aggregate(share: Ratio, bulk: quantities::Density<quantities::OfMaterial>, concrete: Volume) -> Mass {
    bulk * (concrete * share)
}

/// Mass of the ingredient that fills a volume of concrete beside the others and the air: what the absolute volumes leave
/// free, times its own density. (ACI 211.1-91, absolute volume method.)
pub fn by_difference(
    concrete: Volume,
    others: &[(Mass, RelativeDensity)],
    air: Ratio,
    filler: RelativeDensity,
) -> Result<Mass, Faults> {
    let solids: Volume = others.iter().map(|(mass, relative_density)| *mass / relative_density.density()).sum();
    let taken = solids + concrete * air;
    let Some(left) = concrete.checked_sub(taken) else {
        let what = format!("the other ingredients and the air take {:.2} of {:.2}", taken, concrete);
        return Err(Fault::new("/others", what, "take less of them, or make more concrete").into());
    };
    Ok(filler.density() * left)
}
