//! The pour plan as tables: all that happens to panels in one, and each kind of row in one of its own.

use chrono::{Days, NaiveDate as Day};
use workshop::documents::Plan;

use crate::table::{Cell, Table};

const COLUMNS: [&str; 7] = ["day", "task", "panel", "mix", "quantity_panels", "tank", "rack"];
const POURS: [&str; 4] = ["day", "panel", "mix", "quantity_panels"];
const STRIPS: [&str; 5] = ["day", "panel", "mix", "quantity_panels", "tank"];
const LIFTS: [&str; 6] = ["day", "panel", "mix", "quantity_panels", "tank", "rack"];
const BATCHES: [&str; 4] = ["day", "mix", "batch", "batch_volume_l"];
const DELIVERIES: [&str; 4] = ["arrives_on", "material", "quantity_packs", "order_by"];
const ORDERS: [&str; 6] = ["order", "ready_on", "given_on", "panel", "finish", "quantity_panels"];

/// A row before it is sorted: tasks of a day stand in the order they are done.
type Row<'a> = (Day, u8, &'a str, &'a str, i64, Option<&'a str>, Option<&'a str>);

/// Everything that happens to panels, in the order it is done: by day lifts, strips, pours.
pub fn table(plan: &Plan) -> Table {
    let lifts = plan
        .lifts
        .iter()
        .map(|l| -> Row { (l.day, 0, &l.panel, &l.mix, l.quantity, l.tank.as_deref(), l.rack.as_deref()) });
    let strips =
        plan.strips.iter().map(|s| -> Row { (s.day, 1, &s.panel, &s.mix, s.quantity, s.tank.as_deref(), None) });
    let pours = plan.pours.iter().map(|p| -> Row { (p.day, 2, &p.panel, &p.mix, p.quantity, None, None) });
    let mut rows: Vec<Row> = lifts.chain(strips).chain(pours).collect();
    rows.sort();
    let mut table = Table::new("plan", &COLUMNS);
    for (day, task, panel, mix, quantity, tank, rack) in rows {
        let task = ["lift", "strip", "pour"][usize::from(task)];
        let mut cells = vec![Cell::Day(day), Cell::text(task)];
        cells.extend(panels(panel, mix, quantity));
        cells.extend([Cell::maybe(tank, Cell::id), Cell::maybe(rack, Cell::id)]);
        table.row(cells);
    }
    table
}

fn panels(panel: &str, mix: &str, quantity: i64) -> [Cell; 3] {
    [Cell::id(panel), Cell::id(mix), Cell::Whole(quantity)]
}

/// What is poured, by day.
pub fn pours(plan: &Plan) -> Table {
    let mut rows: Vec<_> = plan.pours.iter().map(|p| (p.day, &p.panel, &p.mix, p.quantity)).collect();
    rows.sort();
    let mut table = Table::new("plan_pours", &POURS);
    for (day, panel, mix, quantity) in rows {
        table.row([Cell::Day(day)].into_iter().chain(panels(panel, mix, quantity)).collect());
    }
    table
}

/// What is taken out of moulds, by day.
pub fn strips(plan: &Plan) -> Table {
    let mut rows: Vec<_> = plan.strips.iter().collect();
    rows.sort();
    let mut table = Table::new("plan_strips", &STRIPS);
    for strip in rows {
        let tank = Cell::maybe(strip.tank.as_ref(), Cell::id);
        let row = [Cell::Day(strip.day)].into_iter().chain(panels(&strip.panel, &strip.mix, strip.quantity));
        table.row(row.chain([tank]).collect());
    }
    table
}

/// What is taken out of tanks, by day.
pub fn lifts(plan: &Plan) -> Table {
    let mut rows: Vec<_> = plan.lifts.iter().collect();
    rows.sort();
    let mut table = Table::new("plan_lifts", &LIFTS);
    for lift in rows {
        let places = [Cell::maybe(lift.tank.as_ref(), Cell::id), Cell::maybe(lift.rack.as_ref(), Cell::id)];
        let row = [Cell::Day(lift.day)].into_iter().chain(panels(&lift.panel, &lift.mix, lift.quantity));
        table.row(row.chain(places).collect());
    }
    table
}

/// What is mixed, one row for each batch, by day.
pub fn batches(plan: &Plan) -> Table {
    let mut rows: Vec<_> = plan.batches.iter().collect();
    rows.sort_by(|a, b| (a.day, &a.mix).cmp(&(b.day, &b.mix)));
    let mut table = Table::new("plan_batches", &BATCHES);
    for batches in rows {
        for (number, litres) in (1..).zip(&batches.litres) {
            let row = [Cell::Day(batches.day), Cell::id(&batches.mix), Cell::Whole(number), Cell::Decimal(*litres, 3)];
            table.row(row.into());
        }
    }
    table
}

/// What is to be ordered, by the day it is to arrive. `lead_days` says how long before that each material is ordered.
pub fn deliveries(plan: &Plan, lead_days: impl Fn(&str) -> Option<u64>) -> Table {
    let mut rows: Vec<_> = plan.deliveries.iter().collect();
    rows.sort();
    let mut table = Table::new("plan_deliveries", &DELIVERIES);
    for delivery in rows {
        let order_by = lead_days(&delivery.material).map(|days| delivery.arrives - Days::new(days));
        table.row(vec![
            Cell::Day(delivery.arrives),
            Cell::id(&delivery.material),
            Cell::Whole(delivery.packs),
            Cell::maybe(order_by, Cell::Day),
        ]);
    }
    table
}

/// What each order is given and when it is whole; an order that is given nothing has one row.
pub fn orders(plan: &Plan) -> Table {
    let mut table = Table::new("plan_orders", &ORDERS);
    let mut orders: Vec<_> = plan.orders.iter().collect();
    orders.sort_by(|a, b| a.id.cmp(&b.id));
    for order in orders {
        let head = || [Cell::id(&order.id), Cell::maybe(order.ready_on, Cell::Day)];
        let mut met: Vec<_> = order.met.iter().collect();
        met.sort_by(|a, b| (a.day, &a.panel, &a.finish).cmp(&(b.day, &b.panel, &b.finish)));
        for given in &met {
            let rest =
                [Cell::Day(given.day), Cell::id(&given.panel), Cell::id(&given.finish), Cell::Whole(given.quantity)];
            table.row(head().into_iter().chain(rest).collect());
        }
        if met.is_empty() {
            table.row(head().into_iter().chain([Cell::Empty, Cell::Empty, Cell::Empty, Cell::Whole(0)]).collect());
        }
    }
    table
}

/// All of the plan, a table for each kind of row.
pub fn tables(plan: &Plan, lead_days: impl Fn(&str) -> Option<u64>) -> Vec<Table> {
    vec![table(plan), pours(plan), strips(plan), lifts(plan), batches(plan), deliveries(plan, lead_days), orders(plan)]
}
