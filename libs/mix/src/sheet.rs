//! The batch sheet: what to weigh for one load, in mixing order.

use quantities::{Density, Fresh, Grams, Mass, Millilitres, Ratio, Volume, rounding};

use crate::moisture::{self, Basis, Moisture};
use crate::{Fault, Faults, Recipe, Role, Source, Target, Worked};

/// One ingredient to weigh.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetLine {
    /// The ingredient.
    pub name: String,
    /// What it is to the mix.
    pub role: Role,
    /// The mass by calculation.
    pub exact: Mass,
    /// The mass to weigh, at the scale's resolution.
    pub weighed: Grams,
    /// Half a step of the scale over the mass: by how much the rounding may miss it. Nothing where there is none of it.
    pub coarseness: Ratio,
}

/// The foam of one load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SheetFoam {
    /// Volume of foam to fold in.
    pub volume: Volume,
    /// The same to whole millilitres.
    pub volume_ml: Millilitres,
    /// Its mass by calculation.
    pub exact: Mass,
    /// Its mass at the scale's resolution.
    pub weighed: Grams,
    /// The density the volume is meant at.
    pub density: Density<quantities::OfMaterial>,
    /// Foaming concentrate in it, where the dilution is known.
    pub concentrate: Option<Millilitres>,
    /// Water in it: all of it where the dilution is not known.
    pub water: Grams,
}

/// What one mixer load is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchSheet {
    /// The load.
    pub litres: Volume,
    /// Ingredients in mixing order; foam goes in last.
    pub lines: Vec<SheetLine>,
    /// Foam.
    pub foam: Option<SheetFoam>,
    /// Wet density of the mix by calculation.
    pub wet_density: Density<Fresh>,
    /// Wet density to aim at, with its limits.
    pub target: Option<Target>,
    /// What the weigher should know: an ingredient finer than the scale.
    pub remarks: Vec<String>,
}

/// Beyond this share of its mass a rounding is worth a remark: the batching tolerance of cement in small loads, 4 %, is
/// used up by half of it. (ASTM C94/C94M, section 9, from memory.)
const COARSE: f64 = 0.02;

/// The sheet of one load: every mass by calculation and rounded to the scale's resolution, a half upwards.
///
/// `litres` above nothing, `resolution` of at least one gram. Masses are in proportion to litres exactly; only
/// `weighed`, `volume_ml` and the solution are rounded.
pub fn batch_sheet(recipe: &Recipe, litres: Volume, resolution: Grams) -> Result<BatchSheet, Faults> {
    batch_sheet_today(recipe, litres, resolution, &Today::default())
}

/// What was measured today and changes today's sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Today {
    /// Density of the foam, weighed before use: foam and all masses are found anew for the same wet density.
    pub foam: Option<Density<quantities::OfMaterial>>,
    /// All water in an aggregate over its dry mass, by the aggregate's name. The recipe knows its absorption; what is
    /// above it is taken off the mixing water, what is below is added.
    pub moisture: Vec<(String, Ratio)>,
}

/// The sheet of one load with what was measured today.
pub fn batch_sheet_today(
    recipe: &Recipe,
    litres: Volume,
    resolution: Grams,
    today: &Today,
) -> Result<BatchSheet, Faults> {
    check_load(litres, resolution)?;
    let remade = today.foam.map(|measured| recipe.with_foam_of(measured)).transpose()?;
    let recipe = remade.as_ref().unwrap_or(recipe);
    let masses = masses_today(recipe, litres, &today.moisture)?;
    let lines: Vec<SheetLine> = recipe
        .proportions()
        .iter()
        .zip(masses)
        .map(|(part, mass)| line(&part.written.name, part.written.role, mass, resolution))
        .collect();
    Ok(BatchSheet {
        litres,
        remarks: lines.iter().filter_map(|line| too_fine(line, resolution)).collect(),
        lines,
        foam: foam(recipe, litres, resolution),
        wet_density: recipe.wet_density(),
        target: recipe.target(),
    })
}

/// The masses of a load in mixing order, aggregates as they lie and mixing water less what they bring.
fn masses_today(recipe: &Recipe, litres: Volume, moisture: &[(String, Ratio)]) -> Result<Vec<Mass>, Faults> {
    let mut masses: Vec<Mass> = recipe.proportions().iter().map(|part| part.content * litres).collect();
    let mut wet = Vec::new();
    for (at, moisture) in tested_aggregates(recipe, moisture)? {
        let absorption = recipe.proportions()[at].written.absorption;
        let tested = Moisture::Total { moisture, absorption };
        let moist = moisture::moist(masses[at], Basis::SaturatedSurfaceDry, tested)?;
        masses[at] = moist.weigh;
        wet.push(moist);
    }
    if wet.is_empty() {
        return Ok(masses);
    }
    let is_water = |i: usize| recipe.proportions()[i].written.role == Role::Water;
    let water: Mass = masses.iter().enumerate().filter(|(i, _)| is_water(*i)).map(|(_, mass)| *mass).sum();
    let left = moisture::water_to_add(water, &wet)?;
    let share = left.over(water).map_err(|_| {
        let what = "all water of this mix comes with its foam, so none can be taken off or added for its aggregates";
        Fault::new("/moisture", what, "use aggregates at their absorption, or a drier foam")
    })?;
    Ok(masses.iter().enumerate().map(|(i, mass)| if is_water(i) { *mass * share } else { *mass }).collect())
}

/// Where in the recipe the tested aggregates stand, each once.
fn tested_aggregates(recipe: &Recipe, moisture: &[(String, Ratio)]) -> Result<Vec<(usize, Ratio)>, Faults> {
    let mut found = Vec::new();
    let mut tested: Vec<(usize, Ratio)> = Vec::new();
    for (i, (name, moisture)) in moisture.iter().enumerate() {
        let named = |part: &crate::Proportion| part.written.name == *name && part.written.role.is_aggregate();
        match recipe.proportions().iter().position(named) {
            None => {
                let what = format!("{name} is no aggregate of this mix");
                found.push(Fault::new(format!("/moisture/{i}"), what, "name an aggregate as the recipe does"));
            }
            Some(at) if tested.iter().any(|(earlier, _)| *earlier == at) => {
                let what = format!("{name} is given twice");
                found.push(Fault::new(format!("/moisture/{i}"), what, "give one moisture for each aggregate"));
            }
            Some(at) => tested.push((at, *moisture)),
        }
    }
    Faults::none_of(found)?;
    Ok(tested)
}

fn check_load(litres: Volume, resolution: Grams) -> Result<(), Faults> {
    let mut found = Vec::new();
    if litres == Volume::ZERO {
        found.push(Fault::new("/litres", "a load of nothing has no sheet", "give the litres of the load"));
    }
    if resolution < Grams::new(1) {
        let what = format!("a scale that shows steps of {resolution} does not exist");
        found.push(Fault::new("/resolution", what, "give the scale's step in whole grams, 1 or more"));
    }
    Faults::none_of(found)
}

impl BatchSheet {
    /// How each mass came about: content times litres (as it lies today), and the foam's volume.
    pub fn worked(&self) -> Vec<Worked> {
        let load = self.litres.m3();
        let mut lines: Vec<Worked> = self.lines.iter().map(|line| mass_line(line, load)).collect();
        if let Some(foam) = &self.foam {
            lines.push(Worked {
                what: "foam".into(),
                formula: "V = M / ρf",
                numbers: format!("{:.3} kg / {:.1} kg/m³", foam.exact.kg(), foam.density.kg_m3()),
                result: foam.volume.litres(),
                unit: "L",
                source: Source::DEFINITION,
            });
        }
        lines
    }
}

fn mass_line(line: &SheetLine, load: f64) -> Worked {
    Worked {
        what: format!("mass of {}", line.name),
        formula: "m = content · load, to the scale's step, a half upwards",
        numbers: format!("{:.2} kg/m³ · {load:.4} m³ = {:.1} g", line.exact.kg() / load, line.exact.grams()),
        result: line.weighed.get() as f64,
        unit: "g",
        source: Source::DEFINITION,
    }
}

fn line(name: &str, role: Role, exact: Mass, resolution: Grams) -> SheetLine {
    let half_step = resolution.get() as f64 / 2.0;
    let coarseness = if exact == Mass::ZERO { 0.0 } else { (half_step / exact.grams()).min(Ratio::MOST) };
    SheetLine {
        name: name.to_owned(),
        role,
        exact,
        weighed: rounding::to_resolution_half_up(exact, resolution),
        coarseness: Ratio::from_number(coarseness).unwrap_or(Ratio::ZERO),
    }
}

fn too_fine(line: &SheetLine, resolution: Grams) -> Option<String> {
    (line.coarseness.number() > COARSE).then(|| {
        format!(
            "{}: {:.1} g on a scale of {resolution} steps may be {:.0} % out; weigh it on a finer scale",
            line.name,
            line.exact.grams(),
            line.coarseness.per_cent()
        )
    })
}

fn foam(recipe: &Recipe, litres: Volume, resolution: Grams) -> Option<SheetFoam> {
    let share = recipe.foam()?;
    let exact = share.content * litres;
    let volume = litres * share.volume;
    let solution = share.dilution.map(|dilution| dilution.solution(exact));
    Some(SheetFoam {
        volume,
        volume_ml: rounding::to_millilitres_half_even(volume),
        exact,
        weighed: rounding::to_resolution_half_up(exact, resolution),
        density: share.density,
        concentrate: solution.map(|solution| rounding::to_millilitres_half_even(solution.concentrate)),
        water: rounding::to_grams_half_even(solution.map_or(exact, |solution| solution.water)),
    })
}

/// What a litre of the mix draws from stock, for plans and projections: unrounded.
#[derive(Clone, Debug, PartialEq)]
pub struct PerLitre {
    /// Ingredients by name, in mixing order, in grams to the litre.
    pub grams: Vec<(String, f64)>,
    /// Water in the foam, grams to the litre (all of the foam's mass where the dilution is not known).
    pub foam_water_g: f64,
    /// Foaming concentrate, millilitres to the litre; nothing where there is no foam or no dilution.
    pub concentrate_ml: f64,
}

impl Recipe {
    /// What a litre of the mix draws from stock.
    pub fn per_litre(&self) -> PerLitre {
        let foam = self.foam().map(|foam| foam.content.kg_m3()).unwrap_or_default();
        let foam_mass = Mass::from_grams(foam).unwrap_or(Mass::ZERO);
        let solution = self.foam().and_then(|foam| foam.dilution).map(|dilution| dilution.solution(foam_mass));
        PerLitre {
            // Kilograms to the cubic metre are grams to the litre.
            grams: self.proportions().iter().map(|p| (p.written.name.clone(), p.content.kg_m3())).collect(),
            foam_water_g: solution.map_or(foam, |solution| solution.water.grams()),
            concentrate_ml: solution.map_or(0.0, |solution| solution.concentrate.millilitres()),
        }
    }
}
