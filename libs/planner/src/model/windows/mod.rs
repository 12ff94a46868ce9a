//! A bound that looks at every day: panels stripped on a day were in their moulds at least since the latest day on which they
//! can have been poured, panels lifted were in the tank at least since the latest day on which they can have been stripped, and
//! on no night is there more of them than there is room. What was poured and mixed is counted by sums from the first day on.
//!
//! It has no columns for pours, batches and washouts, so it is far smaller than the window model and bounds it closely where
//! moulds or tanks are short.

mod claims;
mod columns;
mod rooms;
mod sums;

use good_lp::Expression;
use workshop::documents::plan::LateFigure;

use super::{Builder, InSolver};
use crate::problem::Problem;
use columns::Flow;

/// The row families, each a section of `MODEL.md`.
pub const WINDOW_FAMILIES: [&str; 10] =
    ["lots", "soaking", "moulds", "tanks", "racks", "hours", "mixer", "materials", "supply", "kept"];

/// How closely the way of panels is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Detail {
    /// Whether panels may wait in their tank. Otherwise racks and the minutes of lifting are left out: then nothing is gained by it.
    pub lifts: bool,
}

/// Builds the relaxation: the least lateness of the claims.
///
/// # Errors
/// Where the solver refuses it.
pub(crate) fn windows(problem: &Problem, figure: LateFigure, detail: Detail) -> Result<InSolver, String> {
    let mut to = Builder::new();
    let flow = Flow::new(problem, detail, &mut to);
    let objective = claims::add(problem, figure, &flow, &mut to);
    flow.lots(problem, &mut to);
    rooms::moulds(problem, &flow, &mut to);
    rooms::tanks(problem, &flow, &mut to);
    if detail.lifts {
        flow.soaking(problem, &mut to);
        rooms::racks(problem, &flow, &mut to);
    }
    sums::hours(problem, &flow, &mut to);
    sums::mixer(problem, &flow, &mut to);
    sums::materials(problem, &flow, &mut to);
    to.into_solver(objective)
}

/// A sum for each day.
type ByDay = Vec<Expression>;

fn none(problem: &Problem) -> ByDay {
    vec![Expression::default(); problem.len()]
}

/// Adds to the sum of a day within the horizon.
fn add(sums: &mut ByDay, day: usize, each: f64, column: good_lp::Variable) {
    if let Some(sum) = sums.get_mut(day) {
        sum.add_mul(each, column);
    }
}
