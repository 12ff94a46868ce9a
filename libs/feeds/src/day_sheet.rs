//! A day sheet as a table: one row for each task, in the order of the day.

use workshop::day_sheet::DaySheet;
use workshop::planning::tasks::Task;

use crate::table::{Cell, Table};
use crate::words;

const COLUMNS: [&str; 11] = [
    "day",
    "task",
    "what",
    "mix",
    "quantity_panels",
    "done_panels",
    "quantity_packs",
    "batch_volume_l",
    "tank",
    "rack",
    "remark",
];

/// The sheet from arrivals to orders that can go out.
pub fn table(sheet: &DaySheet) -> Table {
    let mut rows = Rows { day: sheet.day, table: Table::new("day_sheet", &COLUMNS) };
    for arrival in &sheet.arrivals {
        let remark = match (arrival.delivery, arrival.overdue_since) {
            (Some(_), Some(day)) => format!("overdue since {day}"),
            (Some(_), None) => "on its way".to_owned(),
            (None, _) => "to order".to_owned(),
        };
        rows.add("delivery", &arrival.material, |r| {
            r.packs = Cell::Whole(arrival.packs);
            r.remark = Cell::text(remark);
        });
    }
    rows.tasks("ready", &sheet.ready);
    rows.tasks("lift", &sheet.lifts);
    rows.tasks("strip", &sheet.strips);
    for pour in &sheet.pours {
        rows.add("pour", &pour.panel, |r| {
            r.mix = Cell::id(&pour.mix);
            r.quantity = Cell::Whole(pour.quantity);
        });
    }
    for ticket in &sheet.tickets {
        rows.add("ticket", &ticket.number.to_string(), |r| {
            r.mix = Cell::id(&ticket.revision);
            r.litres = Cell::Decimal(ticket.batch.get() as f64 / 1000.0, 3);
            r.remark = Cell::text(format!("{}: {}", words::ticket_state(ticket.state), words::fills(&ticket.fills)));
        });
    }
    for order in &sheet.whole {
        rows.add("order", order, |r| r.remark = Cell::text("whole, can go out"));
    }
    rows.table
}

struct Rows {
    day: chrono::NaiveDate,
    table: Table,
}

/// The cells of a row that not every task has.
struct Row {
    mix: Cell,
    quantity: Cell,
    done: Cell,
    packs: Cell,
    litres: Cell,
    tank: Cell,
    rack: Cell,
    remark: Cell,
}

impl Rows {
    fn add(&mut self, task: &str, what: &str, fill: impl FnOnce(&mut Row)) {
        let none = || Cell::Empty;
        let mut r = Row {
            mix: none(),
            quantity: none(),
            done: none(),
            packs: none(),
            litres: none(),
            tank: none(),
            rack: none(),
            remark: none(),
        };
        fill(&mut r);
        let Row { mix, quantity, done, packs, litres, tank, rack, remark } = r;
        let first = [Cell::Day(self.day), Cell::text(task), Cell::id(what)];
        self.table.row(first.into_iter().chain([mix, quantity, done, packs, litres, tank, rack, remark]).collect());
    }

    fn tasks(&mut self, name: &str, tasks: &[Task]) {
        for task in tasks {
            self.add(name, task.panel.as_str(), |r| {
                r.mix = Cell::id(&task.revision);
                r.quantity = Cell::Whole(task.quantity);
                r.done = Cell::Whole(task.done);
                r.tank = Cell::maybe(task.tank.as_ref(), Cell::id);
                r.rack = Cell::maybe(task.rack.as_ref(), Cell::id);
            });
        }
    }
}
