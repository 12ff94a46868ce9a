//! Who is given what is ready. Orders are taken one after another; each reserves its panels as late as does it no harm, so
//! that sooner ones stay free for others. For a given sequence that is exact: reservations by the days T can be kept if and
//! only if on every day t no more than what is ready by t is reserved for days up to t.

use workshop::documents::plan::LateFigure;

use super::shelf::{Shelf, coming};
use crate::problem::{DayIx, KindIx, Problem};

/// When each order is whole.
#[derive(Clone, Debug, Default)]
pub(crate) struct Served {
    /// By order: the day it is whole; past the horizon where it is not.
    pub ready: Vec<DayIx>,
    /// Σ weight × days late.
    pub order_days: f64,
    /// Σ weight × panels × days late of each line by itself: falls while whole orders do not yet.
    pub line_days: f64,
}

/// Serves the orders in `sequence` from `free`, panels by kind that can be given by each day; what is reserved is taken off
/// `free`.
pub(crate) fn serve(problem: &Problem, sequence: &[usize], free: &mut [Vec<i64>], served: &mut Served) {
    let days = problem.len();
    served.ready.clear();
    served.ready.resize(problem.orders.len(), days);
    (served.order_days, served.line_days) = (0.0, 0.0);
    for &ix in sequence {
        let order = &problem.orders[ix];
        let mut whole = order.due_ix;
        for (kind, quantity) in &order.lines {
            let line = free_from(&free[*kind], *quantity);
            whole = whole.max(line);
            served.line_days += order.weight * *quantity as f64 * problem.days_late(order, line) as f64;
        }
        served.order_days += order.weight * problem.days_late(order, whole) as f64;
        served.ready[ix] = whole;
        if whole < days {
            for (kind, quantity) in &order.lines {
                reserve(&mut free[*kind], whole, *quantity);
            }
        }
    }
}

/// First day from which on so many are free for good.
pub(crate) fn free_from(free: &[i64], quantity: i64) -> DayIx {
    free.iter().rposition(|level| *level < quantity).map_or(0, |short| short + 1)
}

/// Takes so many off what is free from a day on.
pub(crate) fn reserve(free: &mut [i64], from: DayIx, quantity: i64) {
    free.iter_mut().skip(from).for_each(|level| *level -= quantity);
}

/// Σ weight × days late of panels one by one, those never given among them.
pub(crate) fn panel_days_late(problem: &Problem, rows: &[Row]) -> f64 {
    let late = |order: usize, day: DayIx| {
        let order = &problem.orders[order];
        order.weight * problem.days_late(order, day) as f64
    };
    let never = problem.len();
    let wanted = |order: usize| problem.orders[order].lines.iter().map(|line| line.1 as f64).sum::<f64>();
    let all: f64 = (0..problem.orders.len()).map(|order| late(order, never) * wanted(order)).sum();
    let saved = rows.iter().map(|row| row.3 as f64 * (late(row.0, never) - late(row.0, row.2)));
    all - saved.sum::<f64>()
}

/// Panels given to an order: order, kind, day, how many.
pub(crate) type Row = (usize, KindIx, DayIx, i64);

/// Hands the panels out for the figure that leads: to orders whole by `ready`, or so that panels by themselves are the fewest days late.
/// Gives the rows sorted.
pub(crate) fn hand_out(problem: &Problem, supply: Vec<Vec<i64>>, ready: &[DayIx], figure: LateFigure) -> Vec<Row> {
    match figure {
        LateFigure::OrderDaysLate => to_orders(problem, supply, ready),
        LateFigure::PanelDaysLate => one_by_one(problem, supply, ready),
    }
}

/// By order: the day by which it has been given all; past the horizon where it never has.
pub(crate) fn whole_by(problem: &Problem, rows: &[Row]) -> Vec<DayIx> {
    let wanted = |order: &crate::problem::Order| order.lines.iter().map(|line| line.1).sum::<i64>();
    let mut left: Vec<i64> = problem.orders.iter().map(wanted).collect();
    let mut last = vec![0; left.len()];
    for (order, _, day, quantity) in rows {
        left[*order] -= quantity;
        last[*order] = last[*order].max(*day);
    }
    left.into_iter().zip(last).map(|(left, last)| if left > 0 { problem.len() } else { last }).collect()
}

fn one_by_one(problem: &Problem, supply: Vec<Vec<i64>>, ready: &[DayIx]) -> Vec<Row> {
    let shelf = Shelf::of(problem);
    let as_orders = to_orders(problem, supply.clone(), ready);
    let mut rows = Vec::new();
    for (kind, there_by) in supply.iter().enumerate() {
        let also = as_orders.iter().filter(|row| row.1 == kind).map(|row| (row.0, row.2, row.3)).collect();
        let given = shelf.share(problem, kind, &coming(there_by), also);
        rows.extend(given.into_iter().map(|(order, day, quantity)| (order, kind, day, quantity)));
    }
    rows.sort_unstable();
    rows.dedup_by(|row, kept| {
        let again = (row.0, row.1, row.2) == (kept.0, kept.1, kept.2);
        kept.3 += if again { row.3 } else { 0 };
        again
    });
    rows
}

/// Each whole order by its day, but as soon as may be where that lowers panel-days late, then what is left to those that are not whole.
fn to_orders(problem: &Problem, supply: Vec<Vec<i64>>, ready: &[DayIx]) -> Vec<Row> {
    let days = problem.len();
    let mut free = supply;
    let mut rows = Vec::new();
    for (ix, order) in problem.orders.iter().enumerate().filter(|(ix, _)| ready[*ix] < days) {
        for (kind, quantity) in &order.lines {
            reserve(&mut free[*kind], ready[ix], *quantity);
        }
    }
    let mut turns: Vec<usize> = (0..problem.orders.len()).collect();
    turns.sort_by(|a, b| {
        let (x, y) = (&problem.orders[*a], &problem.orders[*b]);
        let whole = |ix: usize| ready[ix] == days;
        (whole(*a), -x.weight, x.due)
            .partial_cmp(&(whole(*b), -y.weight, y.due))
            .expect("weights are finite")
            .then(a.cmp(b))
    });
    for ix in turns {
        let order = &problem.orders[ix];
        for (kind, quantity) in &order.lines {
            let mut left = *quantity;
            let free = &mut free[*kind];
            for day in order.due_ix..ready[ix] {
                if free[day] <= 0 {
                    continue;
                }
                let can = free[day..ready[ix]].iter().copied().min().unwrap_or(0).clamp(0, left);
                if can > 0 {
                    free[day..ready[ix]].iter_mut().for_each(|level| *level -= can);
                    rows.push((ix, *kind, day, can));
                    left -= can;
                }
                if left == 0 {
                    break;
                }
            }
            if left > 0 && ready[ix] < days {
                rows.push((ix, *kind, ready[ix], left));
            }
        }
    }
    rows.sort_unstable();
    rows
}
