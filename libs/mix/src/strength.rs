//! Strength estimates: published relations, each with the range it was found in. An estimate is never a promise; only
//! tests of the workshop's own panels are.

use quantities::{Celsius, Density, Fresh, Hours, Length, Pressure, Ratio};

use crate::{Cement, Fault, Source, Worked};

/// An estimate with where it comes from and what speaks against it.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// The estimate.
    pub strength: Pressure,
    /// The relation's source.
    pub source: Source,
    /// Warnings: outside the range it was found in, and what it was found on.
    pub warnings: Vec<String>,
}

const ACI_STRENGTH: Source = Source("ACI 211.1-91, table 6.3.4 (partly from memory)");
const KEARSLEY: Source =
    Source("E. P. Kearsley and P. J. Wainwright, Cement and Concrete Research 32, 2002, 233-239 (from memory)");

/// 28-day strength of ordinary concrete by water/cement ratio: (w/c, psi), without and with entrained air.
const PLAIN: [(f64, f64); 5] = [(0.41, 6000.0), (0.48, 5000.0), (0.57, 4000.0), (0.68, 3000.0), (0.82, 2000.0)];
const ENTRAINED: [(f64, f64); 4] = [(0.40, 5000.0), (0.48, 4000.0), (0.59, 3000.0), (0.74, 2000.0)];

/// 28-day strength of ordinary aggregate concrete from its water/cement ratio, by straight lines between the table's
/// points. Not for foamed concrete, where at one density strength may even rise with water/cement.
pub fn ordinary(water_cement: Ratio, air_entrained: bool) -> Result<Estimate, Fault> {
    let table: &[(f64, f64)] = if air_entrained { &ENTRAINED } else { &PLAIN };
    let x = water_cement.number();
    let (least, most) = (table[0].0, table[table.len() - 1].0);
    let between = table.windows(2).find(|pair| pair[0].0 <= x && x <= pair[1].0);
    let Some([a, b]) = between else {
        let what = format!("the table holds for w/c {least} to {most}, not {x:.2}");
        return Err(Fault::new("/water_cement", what, "make a trial and test it"));
    };
    let psi = a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0);
    Ok(Estimate { strength: pressure_psi(psi)?, source: ACI_STRENGTH, warnings: Vec::new() })
}

/// Portland cements by their speed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Speed {
    /// General use (type I).
    Ordinary,
    /// High early strength (type III).
    HighEarly,
}

/// Strength at an age over that at 28 days, moist-cured at about 21 °C: t / (a + b t), t in days. (ACI 209, as given by
/// MacGregor.) Portland cement only; refused for rapid-setting cement.
pub fn gain(age: Hours, cement: Cement, speed: Speed) -> Result<Ratio, Fault> {
    if cement == Cement::RapidSettingCsa {
        let what = "Portland cement's gain with age does not hold for calcium sulfoaluminate";
        return Err(Fault::new("/cement", what, "test trial specimens at the ages that matter"));
    }
    let (a, b) = match speed {
        Speed::Ordinary => (4.0, 0.85),
        Speed::HighEarly => (2.3, 0.92),
    };
    Ratio::from_number(age.days() / (a + b * age.days())).map_err(|error| Fault::out_of_range("/age", error))
}

/// How the strength at an age came about; `what` names it.
pub fn gain_worked(what: String, at_28: Pressure, share: Ratio) -> Worked {
    Worked {
        what,
        formula: "f = f28 · t / (a + b t)",
        numbers: format!("{:.2} MPa · {:.3}", at_28.mpa(), share.number()),
        result: at_28.mpa() * share.number(),
        unit: "MPa",
        source: Source::STRENGTH_GAIN,
    }
}

/// How [`ordinary`] came about; `what` names it.
pub fn ordinary_worked(what: String, water_cement: Ratio, estimate: &Estimate) -> Worked {
    Worked {
        what,
        formula: "between the table's points",
        numbers: format!("w/c = {:.3}", water_cement.number()),
        result: estimate.strength.mpa(),
        unit: "MPa",
        source: estimate.source,
    }
}

/// How [`foamed_paste`] came about; `what` names it.
pub fn foamed_paste_worked(what: String, porosity: Ratio, age: Hours, estimate: &Estimate) -> Worked {
    Worked {
        what,
        formula: "f = 39.6 (ln t)^1.174 (1 - p)^3.6",
        numbers: format!("39.6 (ln {:.1})^1.174 (1 - {:.3})^3.6", age.days(), porosity.number()),
        result: estimate.strength.mpa(),
        unit: "MPa",
        source: estimate.source,
    }
}

/// Compressive strength of foamed cement paste from its porosity p and age t in days: 39.6 (ln t)^1.174 (1 - p)^3.6,
/// MPa. Found on well-cured cement and ash pastes cast at 1000 to 1500 kg/m³.
pub fn foamed_paste(porosity: Ratio, age: Hours, wet: Density<Fresh>) -> Result<Estimate, Fault> {
    if porosity > Ratio::ONE {
        let what = format!("a porosity of {:.0} % leaves nothing", porosity.per_cent());
        return Err(Fault::new("/porosity", what, "give a share from 0 to 1"));
    }
    if age.days() < 1.0 {
        return Err(Fault::new("/age", "the relation begins at one day", "test early strengths on trial specimens"));
    }
    let mpa = 39.6 * age.days().ln().powf(1.174) * porosity.rest().number().powf(3.6);
    let strength = Pressure::from_mpa(mpa).map_err(|error| Fault::out_of_range("/age", error))?;
    let mut warnings = vec!["found on well-cured pastes; weak foams made in the field fall short of it".to_owned()];
    if !(1000.0..=1500.0).contains(&wet.kg_m3()) {
        warnings.push(format!("{wet} wet is outside the 1000 to 1500 kg/m³ it was found in"));
    }
    Ok(Estimate { strength, source: KEARSLEY, warnings })
}

/// Porosity of foamed neat cement paste at full use of its bound water: 1 - d (1 + 0.2 G) / ((1 + k) G ρw), with the
/// fresh density d, k = w/c and G = 3.15. (G. C. Hoff, 1972, from memory; identical with the volume balance.)
pub fn porosity(wet: Density<Fresh>, water_cement: Ratio) -> Result<Ratio, Fault> {
    let g = quantities::RelativeDensity::PORTLAND.number();
    let solids = wet.kg_m3() * (1.0 + 0.2 * g) / ((1.0 + water_cement.number()) * g * 1000.0);
    Ratio::from_number(1.0 - solids).map_err(|_| {
        let what = format!("{wet} is denser than the paste itself");
        Fault::new("/wet", what, "check wet density and water/cement")
    })
}

/// Least temperature of the concrete (not of the air) as placed, by the thickness of the piece; garden panels are always
/// of the first row. (ACI 306R; the first row from Concrete Construction, Cold weather correction; the rest from memory.)
pub fn least_placing_temperature(thickness: Length) -> Result<Celsius, Fault> {
    let fahrenheit = match thickness.inches() {
        inches if inches < 12.0 => 55.0,
        inches if inches < 36.0 => 50.0,
        inches if inches <= 72.0 => 45.0,
        _ => 40.0,
    };
    Celsius::from_fahrenheit(fahrenheit).map_err(|error| Fault::out_of_range("/thickness", error))
}

/// Strength below which concrete must not freeze, MPa (500 psi; ACI 306R, from memory).
pub const FROST_SAFE_MPA: f64 = 3.5;

fn pressure_psi(psi: f64) -> Result<Pressure, Fault> {
    Pressure::from_psi(psi).map_err(|error| Fault::out_of_range("/strength", error))
}
