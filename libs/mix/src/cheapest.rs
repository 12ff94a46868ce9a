//! Cheapest proportions: the least cost of a cubic metre that satisfies a [`Wish`], by a linear programme.
//!
//! Columns are the contents xᵢ of a cubic metre (kg/m³, mixing water as weighed) and the foam v (L/m³). The programme is
//!
//! ```text
//! least   Σ pᵢ xᵢ + p_f v                          minor units to the cubic metre
//! where   Σ xᵢ / Gᵢ + v = 1000 (1 - a)             litres: the parts fill the cubic metre beside the air
//!         n·x ≥ b d·x   or   n·x ≤ b d·x           one row for each limit b on a measure n / d (see `columns`)
//!         x, v ≥ 0
//! ```
//!
//! What a limit costs is not left at the solver's marginal figure: each limit that binds is relaxed by a step and the
//! programme solved again. Where nothing satisfies the wish, the limits that exclude each other are found and each is
//! told how near it could be met. This is the one file of the crate that knows the solver.

use good_lp::solvers::highs::HighsPresolveType;
use good_lp::{Constraint, Expression, ProblemVariables, ResolutionError, Solution, SolverModel, Variable, variable};

use crate::{Fault, Faults, FoamAmount, FoamDraft, Recipe, RecipeDraft, Role, Worked};
use quantities::{Mass, Ratio, Volume};

mod binding;
mod columns;
mod conflict;
mod limit;
mod programme;
mod steps;
mod wish;

pub use binding::{Binding, Relaxed};
pub use conflict::{Conflict, Reach};
pub use limit::{End, Limit, Measured};
pub use wish::{Band, Choice, Dosing, FoamChoice, Price, Wish};

use programme::Programme;

/// How far from a limit, in its unit, a solution still counts as on it, and by how much rounding may pass it.
const NOISE: f64 = 1.0e-6;

/// Least cement of a mix, kg/m³: a filling with less keeps every dose and every ratio, and is no concrete.
const SOME_CEMENT: f64 = 1.0;

/// The cheapest mix that satisfies a wish.
#[derive(Clone, Debug, PartialEq)]
pub struct Cheapest {
    /// The mix at its own yield.
    pub recipe: Recipe,
    /// Material cost of a cubic metre, minor units.
    pub cost_per_m3: f64,
    /// What each part has in it, in the order of the wish, foam last.
    pub parts: Vec<PartCost>,
    /// The limits that hold the cost up, the dearest first.
    pub binding: Vec<Binding>,
    /// How the cost and the limited measures came about.
    pub worked: Vec<Worked>,
}

/// A part of the cost.
#[derive(Clone, Debug, PartialEq)]
pub struct PartCost {
    /// The material; `foam` for the foam.
    pub name: String,
    /// Its mass in a cubic metre, kg.
    pub content_kg_m3: f64,
    /// Its price, minor units to the kilogram.
    pub price_per_kg: f64,
    /// Its cost in a cubic metre, minor units.
    pub cost_per_m3: f64,
}

/// Why there is no cheapest mix.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoMix {
    /// The wish itself is faulty.
    #[error("{0}")]
    Faulty(Faults),
    /// Its limits exclude each other.
    #[error("{}", .0.sentence)]
    Conflict(Conflict),
}

impl From<Faults> for NoMix {
    fn from(faults: Faults) -> Self {
        Self::Faulty(faults)
    }
}

impl From<Fault> for NoMix {
    fn from(fault: Fault) -> Self {
        Self::Faulty(fault.into())
    }
}

/// Finds the cheapest mix that satisfies a wish, or says everything that is wrong with the wish, or which of its limits
/// cannot be met together.
pub fn cheapest(wish: &Wish) -> Result<Cheapest, NoMix> {
    let programme = Programme::of(wish)?;
    let solved = match programme.cheapest() {
        Ok(solved) => solved,
        Err(Unsolved::Infeasible) => return Err(NoMix::Conflict(conflict::explain(&programme)?)),
        Err(other) => return Err(other.fault().into()),
    };
    programme.holds(&solved.x)?;
    needed(wish, &programme, &solved)?;
    let recipe = Recipe::new(&draft(wish, &solved)?)?;
    let binding = binding::all(&programme, &solved)?;
    let parts = parts(wish, &programme, &solved);
    let worked = steps::worked(&programme, &solved, &parts);
    Ok(Cheapest { recipe, cost_per_m3: solved.cost, parts, binding, worked })
}

/// A mix without cement or water is cheap, but no concrete: the wish forgot to ask for it.
fn needed(wish: &Wish, programme: &Programme, solved: &Solved) -> Result<(), Faults> {
    let mut found = Vec::new();
    let no_cement = programme.cement_in(&solved.x) < SOME_CEMENT;
    if no_cement {
        // No ratio helps: each is kept by a filling without cement.
        let what = "nothing asks for cement, and the cheapest mix has next to none";
        found.push(Fault::new("/cement", what, "give a least cement content"));
    }
    let water = wish.materials.iter().zip(&solved.x).filter(|(choice, _)| choice.role == Role::Water);
    // A ratio ties water to cement: whether water is lacking shows only where there is cement.
    let tied = wish.water_cement != Band::default() || wish.water_cementitious != Band::default();
    if water.map(|(_, kg)| kg).sum::<f64>() <= 0.0 && !(no_cement && tied) {
        found.push(no_water(wish));
    }
    Faults::none_of(found)
}

/// A least ratio helps only where none but the mixing water can meet it.
fn no_water(wish: &Wish) -> Fault {
    let brings = |choice: &Choice| choice.role != Role::Water && choice.water_share > Ratio::ZERO;
    if wish.foam.is_none_or(|foam| !foam.water_counted) && !wish.materials.iter().any(brings) {
        let what = "nothing asks for mixing water, and the cheapest mix has none";
        return Fault::new("/water_cement", what, "give a least water/cement ratio");
    }
    let what =
        "nothing asks for mixing water beside what foam, colour or admixtures bring, and the cheapest mix has none";
    let at = wish.materials.iter().position(|choice| choice.role == Role::Water).unwrap_or_default();
    Fault::new(format!("/materials/{at}/content"), what, "give the mixing water a least content")
}

/// The solution as a recipe of one cubic metre: contents as masses, foam filling what they leave. A trace of foam or of a material is rounding noise and left out.
fn draft(wish: &Wish, solved: &Solved) -> Result<RecipeDraft, Faults> {
    let mut ingredients = Vec::new();
    for (i, (choice, kg)) in wish.materials.iter().zip(&solved.x).enumerate() {
        if *kg > 0.0 {
            let mass = Mass::from_kg(*kg).map_err(|e| Fault::out_of_range(format!("/materials/{i}"), e))?;
            ingredients.push(choice.ingredient(mass));
        }
    }
    let foamed = solved.x.get(wish.materials.len()).is_some_and(|litres| *litres > 0.0);
    let foam = wish.foam.as_ref().filter(|_| foamed).map(|foam| FoamDraft {
        density: foam.density,
        water_counted: foam.water_counted,
        amount: FoamAmount::Filling,
        dilution: Some(foam.dilution),
    });
    let claimed_yield = Some(Volume::CUBIC_METRE);
    Ok(RecipeDraft { ingredients, air: wish.air, foam, target: None, claimed_yield })
}

fn parts(wish: &Wish, programme: &Programme, solved: &Solved) -> Vec<PartCost> {
    let materials = wish.materials.iter().map(|choice| (choice.name.as_str(), 1.0));
    let foam = wish.foam.iter().map(|foam| ("foam", foam.density.kg_m3() / 1000.0));
    let priced = solved.x.iter().zip(&programme.cost);
    let part = |((name, kg), (x, cost)): ((&str, f64), (&f64, &f64))| PartCost {
        name: name.to_owned(),
        content_kg_m3: x * kg,
        price_per_kg: cost / kg,
        cost_per_m3: x * cost,
    };
    materials.chain(foam).zip(priced).map(part).collect()
}

/// Which way a row goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sense {
    AtLeast,
    AtMost,
    Equal,
}

/// One row of a linear programme: coefficients, sense, right-hand side.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    of: Vec<f64>,
    sense: Sense,
    right: f64,
}

/// A linear programme over columns that are nothing or more: least cost.
#[derive(Clone, Debug)]
pub(crate) struct Linear {
    cost: Vec<f64>,
    rows: Vec<Row>,
}

/// An optimum: columns and cost.
#[derive(Clone, Debug)]
pub(crate) struct Solved {
    x: Vec<f64>,
    cost: f64,
}

/// No optimum.
#[derive(Clone, Debug)]
pub(crate) enum Unsolved {
    Infeasible,
    Unbounded,
    Other(String),
}

impl Unsolved {
    fn fault(self) -> Fault {
        let why = match self {
            Self::Infeasible => "no mix keeps its limits".to_owned(),
            Self::Unbounded => "nothing bounds it".to_owned(),
            Self::Other(why) => why,
        };
        Fault::new("", format!("the programme was not solved: {why}"), "make the limits less extreme")
    }
}

impl Linear {
    /// Solves it. Coefficients must be numbers: the solver takes a NaN for an optimum, so they are looked at first.
    fn solve(&self) -> Result<Solved, Unsolved> {
        let numbers = self.rows.iter().flat_map(|row| row.of.iter().chain([&row.right])).chain(&self.cost);
        if !numbers.into_iter().all(|number| number.is_finite()) {
            return Err(Unsolved::Other("a coefficient is not a number".to_owned()));
        }
        // Presolve costs more than it saves on a dozen rows; now and then it is what settles that nothing keeps them.
        match self.solve_with(HighsPresolveType::Off) {
            Err(Unsolved::Other(_)) => self.solve_with(HighsPresolveType::On),
            settled => settled,
        }
    }

    fn solve_with(&self, presolve: HighsPresolveType) -> Result<Solved, Unsolved> {
        let mut columns = ProblemVariables::new();
        let x: Vec<Variable> = self.cost.iter().map(|_| columns.add(variable().min(0.0))).collect();
        let model = columns.minimise(sum(&self.cost, &x)).using(good_lp::highs);
        let mut model = model.set_threads(1).set_presolve(presolve);
        for row in &self.rows {
            model.add_constraint(row.constraint(&x));
        }
        let solution = model.solve().map_err(|error| match error {
            ResolutionError::Infeasible => Unsolved::Infeasible,
            ResolutionError::Unbounded => Unsolved::Unbounded,
            other => Unsolved::Other(other.to_string()),
        })?;
        // A rounding above or below nothing is nothing.
        let snapped = |value: f64| if value < NOISE { 0.0 } else { value };
        let values: Vec<f64> = x.iter().map(|column| snapped(solution.value(*column))).collect();
        let cost = values.iter().zip(&self.cost).map(|(x, cost)| x * cost).sum();
        Ok(Solved { x: values, cost })
    }
}

impl Row {
    /// The row of a mix scaled by a last column: its right-hand side goes with the scale.
    fn scaled(self) -> Self {
        let of = self.of.into_iter().chain([-self.right]).collect();
        Self { of, sense: self.sense, right: 0.0 }
    }

    fn constraint(&self, x: &[Variable]) -> Constraint {
        let sum = sum(&self.of, x);
        match self.sense {
            Sense::AtLeast => sum.geq(self.right),
            Sense::AtMost => sum.leq(self.right),
            Sense::Equal => sum.eq(self.right),
        }
    }
}

fn sum(of: &[f64], x: &[Variable]) -> Expression {
    of.iter().zip(x).filter(|(factor, _)| **factor != 0.0).map(|(factor, column)| *factor * *column).sum()
}
