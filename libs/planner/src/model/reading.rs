//! The solver's numbers as a schedule.

use super::{Numbers, Variables};
use crate::plan::{Lifted, Schedule, Served, Stripped, serve};
use crate::problem::{DayIx, Problem};

/// The schedule of a solution and the days orders are whole. Whole numbers come back as 29.999999: they are rounded to the
/// nearest here, and the checker decides whether the plan is one.
pub(crate) fn read(
    problem: &Problem,
    variables: &Variables,
    numbers: &Numbers,
    columns: &[f64],
) -> (Schedule, Vec<DayIx>) {
    let whole = |column| numbers.whole(column, columns);
    let mut schedule = Schedule::empty(problem.len());
    for (make, days) in variables.pour.iter().enumerate() {
        for (day, pour) in days.iter().enumerate() {
            let quantity = pour.map_or(0, whole);
            if quantity > 0 {
                schedule.pours[day].push((make, quantity));
            }
        }
    }
    for (key, days) in &variables.strip {
        for (day, strip) in days.iter().enumerate().filter(|(_, strip)| whole(**strip) > 0) {
            schedule.strips[day].push(Stripped { make: key.make, tank: key.tank, quantity: whole(*strip) });
        }
    }
    for (key, days) in &variables.lift {
        for (day, lift) in days.iter().enumerate().filter(|(_, lift)| whole(**lift) > 0) {
            let (tank, rack) = (key.tank, key.rack);
            schedule.lifts[day].push(Lifted { make: key.make, tank, rack, quantity: whole(*lift) });
        }
    }
    let sequence = sequence(problem, variables, |column| numbers.value(column, columns));
    let mut served = Served::default();
    serve(problem, &sequence, &mut schedule.supply(problem), &mut served);
    (schedule, served.ready)
}

/// Orders by the day the solution meets them: served in that sequence none is whole later than in the solution.
fn sequence(problem: &Problem, variables: &Variables, value: impl Fn(good_lp::Variable) -> f64) -> Vec<usize> {
    let mut day = vec![problem.len(); problem.orders.len()];
    for (claim, days) in &variables.met {
        let met = days.iter().position(|met| value(*met) > 0.5);
        let met = met.map_or(problem.len(), |at| claim.from + at);
        day[claim.order] = if day[claim.order] == problem.len() { met } else { day[claim.order].max(met) };
    }
    let mut sequence: Vec<usize> = (0..problem.orders.len()).collect();
    sequence.sort_by_key(|order| (day[*order], problem.orders[*order].due, *order));
    sequence
}
