//! The pour plan as a table: one row for each pour, strip and lift, by day.

use chrono::NaiveDate as Day;
use workshop::documents::Plan;

use crate::table::{Cell, Table};

const COLUMNS: [&str; 7] = ["day", "task", "panel", "mix", "quantity_panels", "tank", "rack"];

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
    let mut table = Table::new(&COLUMNS);
    for (day, task, panel, mix, quantity, tank, rack) in rows {
        let task = ["lift", "strip", "pour"][usize::from(task)];
        table.row(vec![
            Cell::Day(day),
            Cell::text(task),
            Cell::text(panel),
            Cell::text(mix),
            Cell::Whole(quantity),
            Cell::maybe(tank, Cell::text),
            Cell::maybe(rack, Cell::text),
        ]);
    }
    table
}
