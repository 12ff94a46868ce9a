//! Ordinary proportioning: coarse aggregate by its bulk volume, fine aggregate by difference.

use mix::fill::{by_difference_worked, coarse_aggregate, coarse_share, coarse_worked};
use quantities::{Density, Mass, OfMaterial, Ratio, RelativeDensity, Volume};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is};
use crate::wire::calculations::fill::{AggregatesFound, AskedFill, CoarseWanted};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedFill);

/// A coarse aggregate as read.
struct Coarse {
    share: Ratio,
    bulk: Density<OfMaterial>,
    relative_density: RelativeDensity,
}

impl Calculation for AskedFill {
    type Found = AggregatesFound;

    fn work_out(&self, _: &Known) -> Result<AggregatesFound, Vec<Fault>> {
        let mut reading = Reading::default();
        let concrete = reading.volume("/concrete", &self.concrete);
        let others = reading.each("/others", &self.others, |reading, at, one| {
            let mass = reading.mass(&format!("{at}/mass"), &one.mass);
            Some((mass?, reading.relative_density(&format!("{at}/relative_density"), one.relative_density)?))
        });
        let air = reading.percent("/air_percent", self.air_percent);
        let coarse = reading.perhaps(self.coarse.as_ref(), |reading, coarse| coarse.read(reading));
        let filler = reading.relative_density("/relative_density", self.relative_density);
        let read = concrete.zip(others).zip(air).zip(coarse).zip(filler);
        let ((((concrete, mut others), air), coarse), filler) = reading.done(read)?;
        let mut worked: Vec<WorkedLine> = Vec::new();
        let coarse_kg = coarse.as_ref().map(|coarse| {
            let mass = coarse_aggregate(coarse.share, coarse.bulk, concrete);
            worked.push(coarse_worked(coarse.share, coarse.bulk, concrete).into());
            others.push((mass, coarse.relative_density));
            mass.kg()
        });
        let [taken, left, fine] = steps(concrete, &others, air, filler)?;
        let found = AggregatesFound {
            coarse_kg,
            coarse_share_percent: coarse.map(|coarse| coarse.share.per_cent()),
            left_l: left.result,
            fine_kg: fine.result,
            worked: worked.into_iter().chain([taken, left, fine]).collect(),
        };
        Ok(found)
    }
}

fn steps(
    concrete: Volume,
    others: &[(Mass, RelativeDensity)],
    air: Ratio,
    filler: RelativeDensity,
) -> Result<[WorkedLine; 3], Vec<Fault>> {
    let worked = by_difference_worked(concrete, others, air, filler).map_err(|faults| all_at("/others", &faults))?;
    Ok(worked.map(WorkedLine::from))
}

impl CoarseWanted {
    fn read(&self, reading: &mut Reading) -> Option<Coarse> {
        let share = match (self.largest, self.fineness_modulus, self.share_percent) {
            (Some(largest), Some(modulus), None) => {
                let share = coarse_share(largest.into(), modulus);
                reading.keep(share.map_err(|faults| all_at("/coarse/fineness_modulus", &faults)))
            }
            (None, None, Some(percent)) => reading.percent("/coarse/share_percent", percent),
            _ => {
                let detail = "give largest with fineness_modulus for the table's share, or share_percent alone: one of the two ways";
                reading.push("/coarse/share_percent", detail);
                None
            }
        };
        let bulk = reading.density::<OfMaterial>("/coarse/bulk_density", &self.bulk_density);
        let relative_density = reading.relative_density("/coarse/relative_density", self.relative_density);
        Some(Coarse { share: share?, bulk: bulk?, relative_density: relative_density? })
    }
}
