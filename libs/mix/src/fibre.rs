//! Fibre: by per cent of the whole mix or by kg/m³, never by per cent of cement, and glass only if it resists alkali.

use quantities::{Content, Mass, Ratio, Volume};

use crate::{Fault, Faults, Source, Worked};

/// Zirconia that makes glass alkali-resistant, per cent by mass (manufacturer's literature on glass-fibre concrete).
pub const LEAST_ZIRCONIA_PER_CENT: f64 = 16.0;

/// What a fibre is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fibre {
    /// Glass with a share of zirconia.
    Glass {
        /// Zirconia by mass.
        zirconia: Ratio,
    },
    /// Polypropylene, polyvinyl alcohol and the like.
    Synthetic,
    /// Steel.
    Steel,
    /// Basalt.
    Basalt,
}

/// Refuses glass that cement eats: less than 16 % zirconia.
pub fn check(fibre: Fibre) -> Result<(), Fault> {
    match fibre {
        Fibre::Glass { zirconia } if zirconia.per_cent() < LEAST_ZIRCONIA_PER_CENT - 1.0e-9 => {
            let what = format!("glass with {:.1} % zirconia is not alkali-resistant", zirconia.per_cent());
            let remedy = "use alkali-resistant glass with at least 16 % zirconia; ordinary glass loses its strength";
            Err(Fault::new("/fibre/zirconia", what, remedy))
        }
        _ => Ok(()),
    }
}

/// Mass of fibre that is a share of the whole mix, itself included: F = s · M / (1 - s), M being the mass of all else.
/// The share must be below a half.
pub fn of_mix(rest: Mass, share: Ratio) -> Result<Mass, Faults> {
    if share.number() >= 0.5 {
        let what = format!("{:.0} % of a mix cannot be fibre", share.per_cent());
        return Err(Fault::new("/fibre/share", what, "give per cent of the whole mix: usually 0.1 to 5").into());
    }
    let mass = rest.kg() * share.number() / (1.0 - share.number());
    Mass::from_kg(mass).map_err(|error| Fault::out_of_range("/fibre", error).into())
}

/// How [`of_mix`] came about.
pub fn of_mix_worked(rest: Mass, share: Ratio, mass: Mass) -> Worked {
    let share = share.number();
    Worked {
        what: "fibre".into(),
        formula: "F = s M / (1 - s)",
        numbers: format!("{share:.4} · {:.3} kg / (1 - {share:.4})", rest.kg()),
        result: mass.kg(),
        unit: "kg",
        source: Source::BALANCE,
    }
}

/// How the mass of fibre given by its content came about.
pub fn by_content_worked(content: Content, load: Volume) -> Worked {
    Worked {
        what: "fibre".into(),
        formula: "F = content · load",
        numbers: format!("{:.2} kg/m³ · {:.4} m³", content.kg_m3(), load.m3()),
        result: (content * load).kg(),
        unit: "kg",
        source: Source::DEFINITION,
    }
}
