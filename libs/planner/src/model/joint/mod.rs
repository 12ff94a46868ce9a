//! A bound that looks at all orders together and at sums only: by the evening of a day, what the orders that are whole ask for
//! is no more than what there was, and what moulds, tanks, racks, mixer and hours can have let through until then.
//!
//! It says nothing of the days in between, so it has few rows for each day looked at and is solved in seconds where the window
//! model is not; and an order is whole or not, which is where that model's relaxation is weak.

mod passages;
mod sums;
#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests;

use good_lp::{Expression, Variable};
use workshop::documents::plan::LateFigure;

use super::keys::{Claim, claims};
use super::{Builder, InSolver};
use crate::problem::{DayIx, Problem};
use passages::passages;
use sums::Detail;
pub(super) use sums::minutes_of_litre;

/// Columns of whole orders for which there is time in a second, and the least and most of them: with fewer than there are, fewer
/// days are looked at.
const COLUMNS_A_SECOND: f64 = 2500.0;
const COLUMNS: (f64, f64) = (4000.0, 60_000.0);

/// The row families, each a section of `MODEL.md`.
pub const SUM_FAMILIES: [&str; 7] = ["kept", "panels", "moulds", "tanks", "racks", "hours", "mixer"];

/// Builds the relaxation:
///
/// min Σ_c weight_c · (late_c(from_c) + Σ_j (late_c(t_j + 1) − late_c(t_{j−1} + 1)) · (1 − met_{c,j}))
/// over days t_1 < t_2 < …: a claim met after t_{j−1} and by t_j is as late as on the day after t_{j−1} at least.
///
/// # Errors
/// Where the solver refuses it.
pub(crate) fn joint(problem: &Problem, figure: LateFigure, seconds: Option<f64>) -> Result<InSolver, String> {
    let claims = claims(problem, figure);
    let most = seconds.map_or(COLUMNS.1, |seconds| (seconds * COLUMNS_A_SECOND).clamp(COLUMNS.0, COLUMNS.1));
    let days = days(problem, &claims, most as usize);
    let mut to = Builder::new();
    let met: Vec<Vec<(usize, Variable)>> = claims.iter().map(|claim| met(claim, &days, &mut to)).collect();
    let objective = lateness(problem, &claims, &days, &met);
    let detail = if to.columns() as f64 <= COLUMNS.0 { Detail::EachDay } else { Detail::LastDay };
    for (at, day) in days.iter().enumerate() {
        let passages = passages(problem, *day, &mut to);
        let met = |claim: usize| met[claim].iter().find(|met| met.0 == at).map(|met| met.1);
        sums::panels(problem, *day, &claims, met, &passages, &mut to);
        sums::moulds(problem, &passages, detail, &mut to);
        sums::tanks(problem, &passages, detail, &mut to);
        sums::racks(problem, *day, &passages, &mut to);
        sums::hours(problem, &passages, detail, &mut to);
        sums::mixer(problem, &passages, detail, &mut to);
    }
    to.into_solver(objective)
}

/// The days looked at: all, or every so many, and the last.
fn days(problem: &Problem, claims: &[Claim], most: usize) -> Vec<DayIx> {
    let all: usize = claims.iter().map(|claim| problem.len() - claim.from.min(problem.len())).sum();
    let every = all.div_ceil(most).max(1);
    let mut days: Vec<DayIx> = (0..problem.len()).rev().step_by(every).collect();
    days.reverse();
    days
}

/// Whether a claim is met by each day looked at from its first on: met_{c,j} ≤ met_{c,j+1}.
fn met(claim: &Claim, days: &[DayIx], to: &mut Builder) -> Vec<(usize, Variable)> {
    let late = days.iter().enumerate().filter(|(_, day)| **day >= claim.from);
    let met: Vec<_> = late.map(|(at, _)| (at, to.column(0.0, 1.0, claim.whole))).collect();
    for pair in met.windows(2) {
        to.row("kept", (Expression::from(pair[0].1) - pair[1].1).leq(0.0));
    }
    met
}

fn lateness(problem: &Problem, claims: &[Claim], days: &[DayIx], met: &[Vec<(usize, Variable)>]) -> Expression {
    let mut sum = Expression::default();
    for (claim, met) in claims.iter().zip(met) {
        let late = |day: DayIx| claim.weight * problem.days_late(&problem.orders[claim.order], day) as f64;
        let mut before = late(claim.from);
        sum += before;
        for (at, column) in met {
            let after = late(days[*at] + 1);
            sum += after - before;
            sum.add_mul(before - after, *column);
            before = after;
        }
    }
    sum
}
