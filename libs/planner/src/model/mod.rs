//! The window model: the problem as a mixed-integer programme (see `MODEL.md`, which uses the same names).
//!
//! It is exact but for two generous spots, so its bounds hold for every plan: where lots alone overfill moulds or tanks, as
//! much again is allowed for as long as the run lasts; and a store's limit is left to the deliveries made afterwards.

mod joint;
mod keys;
mod objective;
mod reading;
mod rows;
mod start;
mod variables;
mod windows;

use std::collections::HashMap;

use good_lp::{Constraint, Expression, IntoAffineExpression, ProblemVariables, SolverModel, Variable, variable};
use workshop::documents::plan::LateFigure;

use crate::problem::Problem;

pub use joint::SUM_FAMILIES;
pub(crate) use joint::joint;
pub(crate) use keys::{LiftKey, StripKey, columns};
pub(crate) use objective::{Aim, grain};
pub(crate) use reading::read;
pub(crate) use start::start;
pub(crate) use variables::Variables;
pub use windows::WINDOW_FAMILIES;
pub(crate) use windows::{Detail, windows};

/// The row families, each a file of `rows/` and a section of `MODEL.md`.
pub const ROW_FAMILIES: [&str; 13] = [
    "waiting",
    "soaking",
    "moulds",
    "tanks",
    "racks",
    "batches",
    "openings",
    "mixer",
    "labour",
    "materials",
    "supply",
    "orders",
    "shares",
];

/// A model being built: columns, rows by family, and how each level follows from what comes before it.
pub(crate) struct Builder {
    columns: ProblemVariables,
    /// Whether some column is whole.
    whole: bool,
    rows: Vec<(&'static str, Constraint)>,
    /// A level and what it equals, in a sequence in which each can be worked out.
    levels: Vec<(Variable, Expression)>,
    numbers: Numbers,
}

/// The columns' numbers in the solver: they are numbered in the sequence in which they are added.
#[derive(Debug, Default)]
pub(crate) struct Numbers(HashMap<Variable, usize>);

impl Numbers {
    /// The value of a column.
    pub fn value(&self, column: Variable, values: &[f64]) -> f64 {
        values[self.0[&column]]
    }

    /// The value of a column, rounded to the nearest whole number.
    pub fn whole(&self, column: Variable, values: &[f64]) -> i64 {
        self.value(column, values).round() as i64
    }
}

impl Builder {
    pub fn new() -> Self {
        let (rows, levels, numbers) = (Vec::new(), Vec::new(), Numbers::default());
        Builder { columns: ProblemVariables::new(), whole: false, rows, levels, numbers }
    }

    /// A column from `least` to `most`.
    pub fn column(&mut self, least: f64, most: f64, whole: bool) -> Variable {
        let definition = variable().min(least).max(most);
        self.whole |= whole;
        let column = self.columns.add(if whole { definition.integer() } else { definition });
        let number = self.numbers.0.len();
        self.numbers.0.insert(column, number);
        column
    }

    /// A row of a family.
    pub fn row(&mut self, family: &'static str, row: Constraint) {
        self.rows.push((family, row));
    }

    /// How many columns there are.
    pub fn columns(&self) -> usize {
        self.numbers.0.len()
    }

    /// Hands columns and rows to the solver.
    ///
    /// # Errors
    /// Where the solver refuses them.
    pub fn into_solver(self, objective: Expression) -> Result<InSolver, String> {
        let constant = objective.constant();
        let mut solver = self.columns.minimise(objective).using(good_lp::highs);
        for (_, row) in self.rows {
            solver.add_constraint(row);
        }
        let model = solver.try_into_inner().map_err(|error| format!("the solver refused the model: {error}"))?;
        Ok(InSolver { model, whole: self.whole, numbers: self.numbers, constant })
    }

    /// A level from 0 to `most` that equals `what`, as a row of a family.
    pub fn level(&mut self, family: &'static str, most: f64, what: Expression) -> Variable {
        let level = self.column(0.0, most, false);
        self.rows.push((family, (what.clone() - level).eq(0.0)));
        self.levels.push((level, what));
        level
    }
}

/// A built model.
pub(crate) struct Model {
    pub builder: Builder,
    pub variables: Variables,
    objective: Expression,
}

/// A model in the solver's hands.
pub(crate) struct InSolver {
    pub model: highs::Model,
    /// Whether some column is whole; otherwise it is a linear programme.
    pub whole: bool,
    pub numbers: Numbers,
    /// The constant of the objective, which the solver is not told.
    pub constant: f64,
}

impl Model {
    /// Builds the model of a problem with an aim.
    pub fn new(problem: &Problem, figure: LateFigure, aim: Aim) -> Self {
        let mut builder = Builder::new();
        let variables = Variables::new(problem, figure, aim, &mut builder);
        rows::add(problem, &variables, figure, aim, &mut builder);
        let objective = objective::add(problem, &variables, aim, &mut builder);
        Model { builder, variables, objective }
    }

    /// How many columns there are.
    pub fn columns(&self) -> usize {
        self.builder.columns()
    }

    /// The columns' numbers.
    pub fn numbers(&self) -> &Numbers {
        &self.builder.numbers
    }

    /// Hands the model to the solver.
    ///
    /// # Errors
    /// Where the solver refuses it.
    pub fn into_solver(self) -> Result<(InSolver, Variables), String> {
        Ok((self.builder.into_solver(self.objective)?, self.variables))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// The families are those of the code, of the mathematics, and each has its file.
    #[test]
    fn row_families_are_those_of_the_mathematics() {
        let mathematics = include_str!("../../MODEL.md");
        let told: BTreeSet<&str> =
            mathematics.lines().filter_map(|line| line.strip_prefix("### rows: ")).map(str::trim).collect();
        let coded: BTreeSet<&str> = ROW_FAMILIES.into_iter().collect();
        assert_eq!(told, coded);
        assert_eq!(rows::FILES.map(|(name, _)| name), ROW_FAMILIES);
        for (name, source) in rows::FILES {
            assert!(source.contains(&format!("\"{name}\"")), "rows/{name}.rs adds no row of its family");
        }
    }
}
