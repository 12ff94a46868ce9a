//! A schedule written as a plan document.

use std::collections::BTreeMap;

use workshop::documents::plan::{Batches, Delivery, Figures, LateFigure, Lift, Met, OrderResult, Plan, Pour, Strip};

use super::{Schedule, drawn, hand_out, keep_price, order_packs, panel_days_late, put_off_price, washout_price};
use crate::Short;
use crate::problem::{DayIx, Problem};

/// Writes the plan: deliveries are ordered, panels handed out for the figure that leads, figures computed. `ready`: when orders are whole
/// where whole orders lead.
///
/// # Errors
/// Where a material cannot be there in time for what the schedule draws.
pub(crate) fn write_plan(
    problem: &Problem,
    schedule: &Schedule,
    ready: &[DayIx],
    figure: LateFigure,
) -> Result<Plan, Short> {
    let day = |at: DayIx| problem.calendar.day(at);
    let (deliveries, bought) = deliveries(problem, schedule)?;
    let rows = hand_out(problem, schedule.supply(problem), ready, figure);
    let (orders, order_days_late) = orders(problem, &rows);
    let panel_days_late = panel_days_late(problem, &rows);
    let material_cost = bought + washout_price(problem, schedule) + keep_price(problem, schedule, &rows);
    let material_cost = material_cost.round() as i64;
    let names = |make: usize| (problem.panel_of(make).id.clone(), problem.mix_of(make).id.clone());
    let mut plan = Plan { deliveries, orders, ..Plan::default() };
    for at in 0..problem.len() {
        for ((panel, mix), quantity) in summed(&schedule.pours[at]).into_iter().map(|(make, q)| (names(make), q)) {
            plan.pours.push(Pour { day: day(at), panel, mix, quantity });
        }
        for ((make, tank), quantity) in summed_by(&schedule.strips[at], |s| ((s.make, s.tank), s.quantity)) {
            let (panel, mix) = names(make);
            let tank = tank.map(|t| problem.tanks[t].id.clone());
            plan.strips.push(Strip { day: day(at), panel, mix, quantity, tank });
        }
        for ((make, tank, rack), quantity) in summed_by(&schedule.lifts[at], |l| ((l.make, l.tank, l.rack), l.quantity))
        {
            let (panel, mix) = names(make);
            let tank = tank.map(|t| problem.tanks[t].id.clone());
            let rack = rack.map(|r| problem.racks[r].id.clone());
            plan.lifts.push(Lift { day: day(at), panel, mix, quantity, tank, rack });
        }
        for (mix, litres) in problem.mixes.iter().zip(schedule.litres(problem, at)) {
            let batching = mix.batching(litres);
            if batching.count > 0 {
                let litres = vec![batching.each; batching.count as usize];
                plan.batches.push(Batches { day: day(at), mix: mix.id.clone(), litres });
            }
        }
    }
    let changes = changes(problem, schedule);
    plan.figures = Figures { order_days_late, panel_days_late, material_cost, changes };
    Ok(plan)
}

fn summed(rows: &[(usize, i64)]) -> BTreeMap<usize, i64> {
    summed_by(rows, |row| *row)
}

fn summed_by<T, K: Ord>(rows: &[T], split: impl Fn(&T) -> (K, i64)) -> BTreeMap<K, i64> {
    let mut sums = BTreeMap::new();
    for row in rows {
        let (key, quantity) = split(row);
        *sums.entry(key).or_insert(0) += quantity;
    }
    sums
}

fn deliveries(problem: &Problem, schedule: &Schedule) -> Result<(Vec<Delivery>, f64), Short> {
    let drawn = drawn(problem, schedule);
    let mut cost = put_off_price(problem, schedule);
    let mut rows = Vec::new();
    for (ix, (material, drawn)) in problem.materials.iter().zip(&drawn).enumerate() {
        let orders =
            order_packs(material, drawn).map_err(|(day, missing)| Short::Material { material: ix, day, missing })?;
        cost += drawn.iter().sum::<f64>() * material.pack_price / material.pack + orders.cost;
        let row = |(day, packs): &(DayIx, i64)| Delivery {
            arrives: problem.calendar.day(*day),
            material: material.id.clone(),
            packs: *packs,
        };
        rows.extend(orders.packs.iter().map(row));
    }
    rows.sort();
    Ok((rows, cost))
}

fn orders(problem: &Problem, rows: &[(usize, usize, DayIx, i64)]) -> (Vec<OrderResult>, f64) {
    let (mut results, mut order_days) = (Vec::new(), 0.0);
    let mut rest = rows;
    for (ix, order) in problem.orders.iter().enumerate() {
        let (mine, after) = rest.split_at(rest.partition_point(|row| row.0 <= ix));
        rest = after;
        let wanted: i64 = order.lines.iter().map(|(_, quantity)| quantity).sum();
        let given: i64 = mine.iter().map(|row| row.3).sum();
        let last = mine.iter().map(|row| row.2).max();
        let whole = if given == wanted { last } else { None };
        let late = |day: DayIx| problem.days_late(order, day) as f64;
        order_days += order.weight * late(whole.unwrap_or(problem.len()));
        let met = |row: &(usize, usize, DayIx, i64)| {
            let kind = &problem.kinds[row.1];
            let (panel, finish) = (problem.panels[kind.panel].id.clone(), kind.finish_name.clone());
            Met { panel, finish, day: problem.calendar.day(row.2), quantity: row.3 }
        };
        results.push(OrderResult {
            id: order.id.clone(),
            ready_on: whole.map(|day| problem.calendar.day(day)),
            met: mine.iter().map(met).collect(),
        });
    }
    (results, order_days)
}

fn changes(problem: &Problem, schedule: &Schedule) -> i64 {
    let Some(published) = &problem.published else { return 0 };
    let mut difference: BTreeMap<(chrono::NaiveDate, usize, usize), i64> = BTreeMap::new();
    for (day, panel, mix, quantity) in published {
        *difference.entry((*day, *panel, *mix)).or_default() -= quantity;
    }
    for (at, pours) in schedule.pours.iter().enumerate().take(problem.steady_days) {
        for (make, quantity) in pours {
            let make = &problem.makes[*make];
            *difference.entry((problem.calendar.day(at), make.panel, make.mix)).or_default() += quantity;
        }
    }
    difference.values().map(|change| change.abs()).sum()
}
