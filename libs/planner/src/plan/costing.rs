//! What is drawn and what it costs.

use super::{Row, Schedule};
use crate::problem::Problem;

/// Material drawn by material and working day.
pub(crate) type Drawn = Vec<Vec<f64>>;

/// What a schedule draws: per litre mixed and washed out, and per panel poured.
pub(crate) fn drawn(problem: &Problem, schedule: &Schedule) -> Drawn {
    let mut drawn = vec![vec![0.0; problem.len()]; problem.materials.len()];
    for (day, pours) in schedule.pours.iter().enumerate() {
        for (mix, litres) in problem.mixes.iter().zip(schedule.litres(problem, day)) {
            let batching = mix.batching(litres);
            if batching.count > 0 {
                for (material, quantity) in &mix.per_litre {
                    drawn[*material][day] += quantity * (batching.litres() + mix.washout_litres);
                }
            }
        }
        for (make, panels) in pours {
            for (material, quantity) in &problem.panel_of(*make).per_panel {
                drawn[*material][day] += quantity * *panels as f64;
            }
        }
    }
    drawn
}

/// Minor units of material in the panels put off: ordered beyond stock, lots and pours.
pub(crate) fn put_off_price(problem: &Problem, schedule: &Schedule) -> f64 {
    let mut have: Vec<i64> = problem.kinds.iter().map(|kind| kind.stock).collect();
    problem.lots.iter().for_each(|lot| have[problem.makes[lot.make].kind] += lot.quantity);
    for (make, panels) in schedule.pours.iter().flatten() {
        have[problem.makes[*make].kind] += panels;
    }
    let price = |(kind, have): (&crate::problem::Kind, &i64)| {
        let dearest = kind.makes.iter().map(|make| problem.make_price(*make)).reduce(f64::max);
        (kind.ordered - have).max(0) as f64 * dearest.unwrap_or(0.0)
    };
    problem.kinds.iter().zip(&have).map(price).sum()
}

/// Minor units of the washouts, beside what material they take.
pub(crate) fn washout_price(problem: &Problem, schedule: &Schedule) -> f64 {
    let of_day = |day: usize| {
        let litres = schedule.litres(problem, day);
        problem
            .mixes
            .iter()
            .zip(litres)
            .filter(|(_, litres)| *litres > 0.0)
            .map(|(mix, _)| mix.washout_price[day])
            .sum::<f64>()
    };
    let priced = problem.mixes.iter().any(|mix| mix.washout_price.iter().any(|price| *price > 0.0));
    if priced { (0..problem.len()).map(of_day).sum() } else { 0.0 }
}

/// Minor units to keep panels: each from the day it could be ready, wherever it waits, until it is given and its order is due, or to the last
/// day.
pub(crate) fn keep_price(problem: &Problem, schedule: &Schedule, rows: &[Row]) -> f64 {
    if !problem.keeps() {
        return 0.0;
    }
    let poured = schedule.pours.iter().enumerate().flat_map(|(day, pours)| pours.iter().map(move |pour| (day, pour)));
    let poured: f64 = poured.map(|(day, (make, panels))| *panels as f64 * problem.keep_from_pour(*make, day)).sum();
    let given = |(order, kind, day, panels): &Row| {
        *panels as f64 * problem.kept_no_longer(&problem.orders[*order], *kind, *day)
    };
    problem.keep_from_start() + poured - rows.iter().map(given).sum::<f64>()
}
