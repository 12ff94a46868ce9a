//! At the mixer: a load is weighed, and accepted, corrected with foam or slurry, or refused.
//!
//! With V the load's volume, D its measured and T the target wet density, ρf the foam's and s the slurry's:
//! foam to add x = V (D - T) / (T - ρf), slurry to add y = V (T - D) / (s - T).

use quantities::{Density, Fresh, Mass, OfMaterial, Volume};

use crate::{Fault, Faults, Source, Target, Worked};

/// Wet density at the mould over that at the mixer may rise by so much, per cent, and the density at the mould may be
/// above the design by as much. (California and Los Angeles building code, 721.2.1, field density of cellular concrete.)
pub const MOST_RISE_PER_CENT: f64 = 5.0;

/// Minutes from foaming within which a load may be corrected and poured, where nobody says otherwise: common practice, no
/// source.
pub const USUAL_MINUTES: f64 = 30.0;

/// A load at the mixer as measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Wet density.
    pub wet: Density<Fresh>,
    /// Volume of the load.
    pub volume: Volume,
    /// Minutes since the foam went in.
    pub minutes_since_foaming: f64,
}

/// What the load may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Wet density aimed at, with its limits.
    pub target: Target,
    /// Most minutes from foaming within which it may still be corrected and poured.
    pub most_minutes: f64,
    /// Most litres the mixer holds.
    pub most: Volume,
    /// Density of the foam at hand.
    pub foam: Density<OfMaterial>,
    /// Density of the slurry without foam.
    pub slurry: Density<Fresh>,
}

/// What to do with a load.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Pour it.
    Accept,
    /// Fold in foam, weigh again.
    AddFoam {
        /// Volume of foam.
        foam: Volume,
        /// Its mass.
        mass: Mass,
        /// The load after it.
        volume: Volume,
    },
    /// Mix in slurry without foam, weigh again.
    AddSlurry {
        /// Volume of slurry.
        slurry: Volume,
        /// Its mass.
        mass: Mass,
        /// The load after it.
        volume: Volume,
    },
    /// Do not pour it.
    Reject {
        /// Why.
        why: String,
    },
}

/// What to do with a load measured at the mixer.
pub fn at_the_mixer(measured: Measured, bounds: &Bounds) -> Result<Verdict, Faults> {
    let Bounds { target, foam, slurry, .. } = *bounds;
    let (d, t) = (measured.wet.kg_m3(), target.wet.kg_m3());
    let mut found = Vec::new();
    if !(foam.kg_m3() < t && t < slurry.kg_m3()) {
        let what = format!("{} is not between foam of {:.0} and slurry of {}", target.wet, foam.kg_m3(), slurry);
        found.push(Fault::new("/target", what, "check the densities of foam and slurry"));
    }
    let minutes = measured.minutes_since_foaming;
    if !(minutes >= 0.0 && minutes.is_finite()) {
        let what = format!("{minutes} minutes since foaming");
        found.push(Fault::new("/minutes_since_foaming", what, "give minutes of 0 or more"));
    }
    Faults::none_of(found)?;
    if minutes > bounds.most_minutes {
        let why = format!("{minutes:.0} minutes since foaming are more than {:.0}", bounds.most_minutes);
        return Ok(Verdict::Reject { why });
    }
    if target.accepts(measured.wet) {
        return Ok(Verdict::Accept);
    }
    let (adding_foam, litres) = if d > t {
        (true, measured.volume.litres() * (d - t) / (t - foam.kg_m3()))
    } else {
        (false, measured.volume.litres() * (t - d) / (slurry.kg_m3() - t))
    };
    let added = Volume::from_litres(litres).map_err(|error| Fault::out_of_range("/wet", error))?;
    let volume = measured.volume + added;
    if volume > bounds.most {
        let why = format!("corrected it would be {volume:.1}, more than the {:.1} the mixer holds", bounds.most);
        return Ok(Verdict::Reject { why });
    }
    let density = if adding_foam { foam.kg_m3() } else { slurry.kg_m3() };
    let mass = Mass::from_kg(density * added.m3()).map_err(|error| Fault::out_of_range("/wet", error))?;
    Ok(if adding_foam {
        Verdict::AddFoam { foam: added, mass, volume }
    } else {
        Verdict::AddSlurry { slurry: added, mass, volume }
    })
}

/// What to do with a load weighed again at the mould: it may have lost some foam on the way, not more than 5 % of its
/// density at the mixer, and must still be within its limits.
pub fn at_the_mould(at_mixer: Density<Fresh>, at_mould: Density<Fresh>, target: &Target) -> Verdict {
    let rise = rise(at_mixer, at_mould);
    let design = (at_mould.kg_m3() / target.wet.kg_m3() - 1.0) * 100.0;
    let why = if rise > MOST_RISE_PER_CENT + 1.0e-9 {
        format!("the wet density rose by {rise:.1} % from the mixer to the mould; the foam breaks down")
    } else if design > MOST_RISE_PER_CENT + 1.0e-9 {
        format!("{at_mould} is {design:.1} % above the design of {}", target.wet)
    } else if !target.accepts(at_mould) {
        format!("{at_mould} is outside {:.0} to {}", target.lower.kg_m3(), target.upper)
    } else {
        return Verdict::Accept;
    };
    Verdict::Reject { why }
}

/// By how many per cent the wet density at the mould is above that at the mixer; below nothing where it is less.
pub fn rise(at_mixer: Density<Fresh>, at_mould: Density<Fresh>) -> f64 {
    (at_mould.kg_m3() / at_mixer.kg_m3() - 1.0) * 100.0
}

/// How the rise came about.
pub fn rise_worked(at_mixer: Density<Fresh>, at_mould: Density<Fresh>) -> Worked {
    Worked {
        what: "rise from mixer to mould".into(),
        formula: "Dmould / Dmixer - 1, at most 5 %",
        numbers: format!("{:.1} / {:.1} - 1", at_mould.kg_m3(), at_mixer.kg_m3()),
        result: rise(at_mixer, at_mould),
        unit: "%",
        source: Source::FIELD_DENSITY,
    }
}

/// How what is to be added came about; nothing where nothing is. `verdict` is what [`at_the_mixer`] gave for the same input.
pub fn worked(measured: Measured, bounds: &Bounds, verdict: &Verdict) -> Option<Worked> {
    let (v, d, t) = (measured.volume.litres(), measured.wet.kg_m3(), bounds.target.wet.kg_m3());
    let (what, formula, numbers, added) = match verdict {
        Verdict::AddFoam { foam, .. } => {
            let numbers = format!("{v:.3} L · ({d:.1} - {t:.1}) / ({t:.1} - {:.1})", bounds.foam.kg_m3());
            ("foam to add", "x = V (D - T) / (T - ρf)", numbers, foam)
        }
        Verdict::AddSlurry { slurry, .. } => {
            let numbers = format!("{v:.3} L · ({t:.1} - {d:.1}) / ({:.1} - {t:.1})", bounds.slurry.kg_m3());
            ("slurry to add", "y = V (T - D) / (s - T)", numbers, slurry)
        }
        Verdict::Accept | Verdict::Reject { .. } => return None,
    };
    let (what, result) = (what.to_owned(), added.litres());
    Some(Worked { what, formula, numbers, result, unit: "L", source: Source::BALANCE })
}

/// How the whole panels of a load came about: `panels` is what [`panels_filled`] gave for the same input.
pub fn panels_worked(load: Volume, panel: Volume, panels: i64) -> Worked {
    Worked {
        what: "whole panels".into(),
        formula: "V / panel",
        numbers: format!("{:.3} L / {:.3} L, downwards", load.litres(), panel.litres()),
        result: panels as f64,
        unit: "",
        source: Source::DEFINITION,
    }
}

/// Whole panels a load fills; none for a panel of no volume.
pub fn panels_filled(load: Volume, panel: Volume) -> i64 {
    if panel == Volume::ZERO { 0 } else { (load.litres() / panel.litres() + 1.0e-9).floor() as i64 }
}
