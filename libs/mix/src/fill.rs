//! The ingredient that fills what is left: fine aggregate by difference, as ordinary mixes are proportioned.

use quantities::{Mass, Ratio, RelativeDensity, Volume};

use crate::{Fault, Faults, Source, Worked};

/// Fineness moduli of the columns of [`coarse_share`].
const FINENESS: [f64; 4] = [2.4, 2.6, 2.8, 3.0];

/// Largest aggregates of the rows of [`coarse_share`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Largest {
    /// 3/8 in, about 10 mm.
    ThreeEighthsInch,
    /// 3/4 in, about 20 mm.
    ThreeQuartersInch,
}

/// Bulk volume of dry-rodded coarse aggregate in a unit volume of concrete by the fineness modulus of the sand, 2.4 to 3.0,
/// by straight lines between the columns. (ACI 211.1-91, table 6.3.6; the larger row from memory.)
pub fn coarse_share(largest: Largest, fineness_modulus: f64) -> Result<Ratio, Faults> {
    let row = match largest {
        Largest::ThreeEighthsInch => [0.50, 0.48, 0.46, 0.44],
        Largest::ThreeQuartersInch => [0.66, 0.64, 0.62, 0.60],
    };
    let column = (0..3).find(|i| (FINENESS[*i]..=FINENESS[i + 1]).contains(&fineness_modulus));
    let Some(i) = column else {
        let what = format!("a fineness modulus of {fineness_modulus} is outside 2.4 to 3.0");
        return Err(Fault::new("/fineness_modulus", what, "take another sand, or proportion by trial").into());
    };
    let along = (fineness_modulus - FINENESS[i]) / (FINENESS[i + 1] - FINENESS[i]);
    let share = row[i] + (row[i + 1] - row[i]) * along;
    Ratio::from_number(share).map_err(|error| Fault::out_of_range("/fineness_modulus", error).into())
}

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
    Ok(filler.density() * left_free(concrete, others, air)?)
}

/// What the absolute volumes of the others and the air leave free of a volume of concrete.
fn left_free(concrete: Volume, others: &[(Mass, RelativeDensity)], air: Ratio) -> Result<Volume, Faults> {
    let taken = solids(others) + concrete * air;
    concrete.checked_sub(taken).ok_or_else(|| {
        let what = format!("the other ingredients and the air take {:.2} of {:.2}", taken, concrete);
        Fault::new("/others", what, "take less of them, or make more concrete").into()
    })
}

fn solids(others: &[(Mass, RelativeDensity)]) -> Volume {
    others.iter().map(|(mass, relative_density)| *mass / relative_density.density()).sum()
}

/// How the filler's mass came about, of an input for which [`by_difference`] gave one.
pub fn by_difference_worked(
    concrete: Volume,
    others: &[(Mass, RelativeDensity)],
    air: Ratio,
    filler: RelativeDensity,
) -> Result<[Worked; 3], Faults> {
    let (all, solids, left) = (concrete.litres(), solids(others).litres(), left_free(concrete, others, air)?);
    let each = others.iter().map(|(mass, density)| format!("{:.2} kg / {}", mass.kg(), density.number()));
    let line = |what: &str, formula, numbers, result, unit| Worked {
        what: what.to_owned(),
        formula,
        numbers,
        result,
        unit,
        source: Source::ABSOLUTE_VOLUME,
    };
    let room = format!("{all:.3} L - {solids:.3} L - {:.4} · {all:.3} L", air.number());
    let mass = filler.density() * left;
    Ok([
        line("volume of the others", "Σ M / (G ρw)", each.collect::<Vec<_>>().join(" + "), solids, "L"),
        line("left to fill", "V - Σ - a V", room, left.litres(), "L"),
        line("fill", "M = G ρw V", format!("{} · {:.3} L", filler.number(), left.litres()), mass.kg(), "kg"),
    ])
}

/// How a mass of coarse aggregate by its bulk volume came about.
pub fn coarse_worked(share: Ratio, bulk: quantities::Density<quantities::OfMaterial>, concrete: Volume) -> Worked {
    Worked {
        what: "coarse aggregate by its bulk volume".into(),
        formula: "M = share · V · bulk density",
        numbers: format!("{:.3} · {:.3} L · {:.1} kg/m³", share.number(), concrete.litres(), bulk.kg_m3()),
        result: coarse_aggregate(share, bulk, concrete).kg(),
        unit: "kg",
        source: Source::BULK_VOLUME,
    }
}
