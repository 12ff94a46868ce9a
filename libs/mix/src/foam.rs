//! Preformed foam: how much of it brings a slurry to a wet density, and what it is made from.
//!
//! Symbols: D wet density, ρf foam density, ρw water's (kg/m³); M mass and V absolute volume of the other ingredients
//! as written (kg, m³); a the share of other air; Vf foam volume (m³); D' = D / (1 - a).

use quantities::products::WATER_KG_M3;
use quantities::{Content, Density, Fresh, Mass, OfMaterial, Ratio, RelativeDensity, Volume};

use crate::{Fault, Faults, Source, Worked};

/// Foam as a recipe is written down with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoamDraft {
    /// Density of the foam: usually 32 to 64 kg/m³.
    pub density: Density<OfMaterial>,
    /// Whether w/c counts the foam's water. Then the water written down is all water, and the mixing water is less by the
    /// foam's (but see [`FoamAmount::Filling`]).
    pub water_counted: bool,
    /// How much foam.
    pub amount: FoamAmount,
    /// How the foam solution is made, where it is known.
    pub dilution: Option<Dilution>,
}

/// How much foam a making gets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FoamAmount {
    /// As much as brings it to the target wet density.
    ToTarget,
    /// What the other ingredients and the air leave of the claimed yield, of a cubic metre where none is claimed. For
    /// recipes on record at their own yield: the water written is then what is weighed, whether or not the w/c counts
    /// the foam's.
    Filling,
    /// This mass.
    Mass(Mass),
    /// This volume.
    Volume(Volume),
}

/// Foaming concentrate and water in a foam solution, by volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dilution {
    /// Volume of concentrate.
    pub concentrate: Volume,
    /// Volume of water it goes into.
    pub water: Volume,
    /// Relative density of the concentrate.
    pub concentrate_relative_density: RelativeDensity,
}

/// The two liquids of a foam solution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoamSolution {
    /// Foaming concentrate.
    pub concentrate: Volume,
    /// Water.
    pub water: Mass,
}

impl FoamDraft {
    /// Whether the water written down holds the foam's.
    pub(crate) fn water_includes_foam(&self) -> bool {
        self.water_counted && self.amount != FoamAmount::Filling
    }
}

impl Dilution {
    /// Parts of water to one of concentrate, by volume; an error where there is no concentrate.
    pub fn parts_of_water(&self) -> Result<Ratio, Faults> {
        self.water.over(self.concentrate).map_err(|error| Fault::out_of_range("/dilution/concentrate", error).into())
    }

    /// The concentrate's share of the solution by volume, 0 to 1; an error where there is no solution.
    pub fn concentrate_share(&self) -> Result<Ratio, Faults> {
        let solution = self.concentrate + self.water;
        self.concentrate.over(solution).map_err(|error| Fault::out_of_range("/dilution", error).into())
    }

    /// What a mass of solution (or of foam, which weighs the same) is made from. No solution at all is all water.
    pub fn solution(&self, mass: Mass) -> FoamSolution {
        let concentrate = self.concentrate_relative_density.density() * self.concentrate;
        let water = RelativeDensity::WATER.density() * self.water;
        let share = concentrate.over(concentrate + water).unwrap_or(Ratio::ZERO);
        let concentrate = mass * share;
        FoamSolution {
            concentrate: concentrate / self.concentrate_relative_density.density(),
            water: mass.checked_sub(concentrate).unwrap_or(Mass::ZERO),
        }
    }
}

/// Foam in a cubic metre of concrete.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoamShare {
    /// Density of the foam.
    pub density: Density<OfMaterial>,
    /// Volume of foam over that of the concrete.
    pub volume: Ratio,
    /// Mass of foam in the concrete.
    pub content: Content,
    /// Whether its water is counted in the recipe's w/c.
    pub water_counted: bool,
    /// How its solution is made.
    pub dilution: Option<Dilution>,
}

impl FoamShare {
    /// The air in the foam over the volume of the concrete: the foam less its liquid.
    pub fn air(&self) -> f64 {
        self.volume.number() * (1.0 - self.density.kg_m3() / WATER_KG_M3).max(0.0)
    }
}

/// Seconds a generator runs for a volume of foam, at the output measured today (litres to the minute).
pub fn generator_seconds(foam: Volume, litres_per_minute: f64) -> Result<f64, Faults> {
    let seconds = foam.litres() / litres_per_minute * 60.0;
    if litres_per_minute > 0.0 && litres_per_minute.is_finite() && seconds.is_finite() {
        return Ok(seconds);
    }
    let what = format!("an output of {litres_per_minute} L/min fills nothing");
    Err(Fault::new("/litres_per_minute", what, "measure it: litres of foam caught, over minutes").into())
}

/// How the seconds of a generator came about: `seconds` is what [`generator_seconds`] gave for the same input.
pub fn generator_worked(foam: Volume, litres_per_minute: f64, seconds: f64) -> Worked {
    let numbers = format!("{:.3} L / {litres_per_minute} L/min · 60", foam.litres());
    generator_step("generator", "t = V / output", numbers, seconds, "s")
}

/// A generator's output in litres to the minute, from foam caught by the clock.
pub fn generator_output(caught: Volume, seconds: f64) -> Result<f64, Faults> {
    let output = caught.litres() / seconds * 60.0;
    if seconds > 0.0 && seconds.is_finite() && output > 0.0 && output.is_finite() {
        return Ok(output);
    }
    let what = format!("{:.2} caught in {seconds} s is no output", caught);
    Err(Fault::new("/caught", what, "catch some foam, and count the seconds it takes").into())
}

/// How a generator's output came about: `output` is what [`generator_output`] gave for the same input.
pub fn output_worked(caught: Volume, seconds: f64, output: f64) -> Worked {
    let numbers = format!("{:.3} L / {seconds} s · 60", caught.litres());
    generator_step("output of the generator", "V / t", numbers, output, "L/min")
}

fn generator_step(what: &str, formula: &'static str, numbers: String, result: f64, unit: &'static str) -> Worked {
    Worked { what: what.to_owned(), formula, numbers, result, unit, source: Source::DEFINITION }
}

/// The everyday band of preformed foam, kg/m³ (2 to 4 lb/ft³; from memory, the maker's data sheet governs).
pub const USUAL_FOAM_KG_M3: core::ops::RangeInclusive<f64> = 32.0..=64.1;

/// Checks foam weighed today against its band before it goes in: the workshop's own or [`USUAL_FOAM_KG_M3`].
pub fn check_foam(measured: Density<OfMaterial>, band: &core::ops::RangeInclusive<f64>) -> Result<(), Fault> {
    let (kg_m3, least, most) = (measured.kg_m3(), band.start(), band.end());
    let remedy = if kg_m3 < *least {
        "the foam is dry or breaking: check the concentrate's dose and the air, and run the hose clear"
    } else if kg_m3 > *most {
        "the foam is wet: check the air pressure and the nozzle, and run the hose clear"
    } else {
        return Ok(());
    };
    Err(Fault::new("/foam/density", format!("foam of {kg_m3:.1} g/L is outside {least} to {most} g/L"), remedy))
}

/// Refuses foam at a field that holds no air.
pub(crate) fn lighter_than_water(at: &str, foam: Density<OfMaterial>) -> Result<(), Fault> {
    let kg_m3 = foam.kg_m3();
    if kg_m3 < WATER_KG_M3 {
        return Ok(());
    }
    let what = format!("foam of {kg_m3} kg/m³ is no lighter than water");
    Err(Fault::new(at, what, "weigh a full pail of foam: usual foam is 32 to 64 kg/m³"))
}

/// The other ingredients of a making, as the foam meets them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slurry {
    /// Mass of all ingredients as written, kg.
    pub mass: f64,
    /// Their absolute volume, m³.
    pub volume: f64,
    /// Mass of mixing water as written, kg.
    pub water: f64,
    /// Share of air that is not the foam's.
    pub air: f64,
    /// Yield to fill, m³.
    pub to_fill: f64,
}

/// Foam volume and yield of a making.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Foamed {
    /// Foam volume, m³.
    pub foam: f64,
    /// Mass of foam, kg.
    pub foam_mass: f64,
    /// Yield, m³.
    pub made: f64,
}

/// Solves the two balances for a draft.
pub(crate) fn solve(slurry: Slurry, draft: &FoamDraft, target: Option<Density<Fresh>>) -> Result<Foamed, Fault> {
    lighter_than_water("/foam/density", draft.density)?;
    let rf = draft.density.kg_m3();
    let foam = match (draft.amount, target) {
        (FoamAmount::Mass(mass), _) => mass.kg() / rf,
        (FoamAmount::Volume(volume), _) => volume.m3(),
        (FoamAmount::Filling, _) => filling(slurry)?,
        (FoamAmount::ToTarget, Some(target)) => to_target(slurry, rf, draft.water_counted, target.kg_m3())?,
        (FoamAmount::ToTarget, None) => {
            let what = "the foam is to reach a target wet density, and there is none";
            return Err(Fault::new("/target", what, "give the target wet density, or the foam's mass or volume"));
        }
    };
    let foam_mass = foam * rf;
    let counted = if draft.water_includes_foam() { foam_mass } else { 0.0 };
    if counted > slurry.water {
        let what = format!("the foam brings {counted:.2} kg of water, more than the {:.2} kg written", slurry.water);
        return Err(Fault::new("/foam", what, "give more water, a drier foam or a higher target wet density"));
    }
    let made = (slurry.volume - counted / WATER_KG_M3 + foam) / (1.0 - slurry.air);
    Ok(Foamed { foam, foam_mass, made })
}

/// Foam volume (m³) that fills the yield.
fn filling(slurry: Slurry) -> Result<f64, Fault> {
    let room = slurry.to_fill * (1.0 - slurry.air) - slurry.volume;
    if room > 0.0 {
        return Ok(room);
    }
    let what = format!("the ingredients and the air take {:.1} L too much for any foam", -room * 1000.0);
    Err(Fault::new("/foam", what, "lower the masses, or leave the foam out"))
}

/// Foam volume (m³) for a wet density.
///
/// - foam water not counted: D'(V + Vf) = M + ρf Vf, so Vf = (M - D' V) / (D' - ρf)
/// - counted: D'(V - ρf Vf / ρw + Vf) = M, so Vf = (M / D' - V) / (1 - ρf / ρw)
fn to_target(slurry: Slurry, rf: f64, counted: bool, target: f64) -> Result<f64, Fault> {
    let d = target / (1.0 - slurry.air);
    let bare = slurry.mass / slurry.volume;
    if d > bare {
        let what =
            format!("{target:.0} kg/m³ is above the {:.0} kg/m³ of the mix without foam", bare * (1.0 - slurry.air));
        return Err(Fault::new("/target/wet", what, "lower the target, or take less water or light aggregate"));
    }
    if d <= rf {
        let what = format!("{target:.0} kg/m³ is not above the foam's own {rf:.0} kg/m³");
        return Err(Fault::new("/target/wet", what, "raise the target: foam alone is not concrete"));
    }
    Ok(if counted {
        (slurry.mass / d - slurry.volume) / (1.0 - rf / WATER_KG_M3)
    } else {
        (slurry.mass - d * slurry.volume) / (d - rf)
    })
}
