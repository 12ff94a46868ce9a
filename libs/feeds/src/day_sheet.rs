//! A day sheet as a table: one row for each task, in the order of the day.

use workshop::day_sheet::{DaySheet, PlannedPour};
use workshop::planning::tasks::Task;
use workshop::said::{Progress, Said};
use workshop::upkeep::Place;

use crate::table::{Cell, Table};
use crate::words;

const COLUMNS: [&str; 17] = [
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
    "labour_min",
    "progress",
    "said_by",
    "said_at_utc",
    "measured",
    "measured_unit",
];

/// The sheet from arrivals to orders that can go out.
pub fn table(sheet: &DaySheet) -> Table {
    let mut rows = Rows { day: sheet.day, table: Table::new("day_sheet", &COLUMNS) };
    for arrival in &sheet.arrivals {
        let remark = match (arrival.delivery, arrival.overdue_since) {
            (Some(_), Some(day)) => format!("overdue since {day}"),
            (Some(_), None) if arrival.received.is_some() => "here".to_owned(),
            (Some(_), None) => "on its way".to_owned(),
            (None, _) => "to order".to_owned(),
        };
        rows.add("delivery", &arrival.material, |r| {
            r.packs = Cell::Whole(arrival.packs);
            r.remark = Cell::text(remark);
            r.went(arrival.progress, std::slice::from_ref(&arrival.said));
        });
    }
    rows.tasks("ready", &sheet.ready, sheet.over);
    rows.tasks("lift", &sheet.lifts, sheet.over);
    for slow in &sheet.slow {
        rows.add("soak", slow.panel.as_str(), |r| {
            r.mix = Cell::id(&slow.revision);
            r.quantity = Cell::Whole(slow.quantity);
            r.tank = Cell::id(&slow.tank);
            r.remark = Cell::text(format!("cold water: lifted from {} on instead of {}", slow.until, slow.usual));
            r.measured = Cell::Decimal(slow.water_c, 3);
            r.unit = Cell::text("°C");
        });
    }
    rows.tasks("strip", &sheet.strips, sheet.over);
    for upkeep in &sheet.upkeep {
        rows.add("upkeep", upkeep.task.id.as_str(), |r| {
            match &upkeep.task.place {
                Place::Tank(tank) => r.tank = Cell::id(tank),
                Place::Rack(rack) => r.rack = Cell::id(rack),
                Place::Workshop => {}
            }
            r.remark = Cell::text(upkeep.remark.as_ref().unwrap_or(&upkeep.task.name));
            r.minutes = Cell::Whole(upkeep.task.minutes.get());
            let said = upkeep.report.iter().map(|report| report.said.clone()).collect::<Vec<_>>();
            r.went(upkeep.progress, &said);
            r.measured = Cell::maybe(upkeep.report.as_ref().and_then(|report| report.value), |v| Cell::Decimal(v, 3));
            r.unit = Cell::maybe(upkeep.task.measures.as_ref(), |measure| Cell::text(&measure.unit));
        });
    }
    for PlannedPour { pour, minutes } in &sheet.pours {
        rows.add("pour", &pour.panel, |r| {
            r.mix = Cell::id(&pour.mix);
            r.quantity = Cell::Whole(pour.quantity);
            r.minutes = Cell::Decimal(*minutes, 1);
        });
    }
    for ticket in &sheet.tickets {
        rows.add("ticket", &ticket.number.to_string(), |r| {
            r.mix = Cell::id(&ticket.revision);
            r.litres = Cell::Decimal(ticket.batch.get() as f64 / 1000.0, 3);
            r.remark = Cell::text(format!("{}: {}", words::ticket_state(ticket.state), words::fills(&ticket.fills)));
            r.minutes = Cell::Whole(ticket.labour.get());
            r.went(sheet.ticket_progress(ticket), &[Said { by: ticket.mixing.by.clone(), at: ticket.closed_at }]);
        });
    }
    for dispatch in &sheet.dispatches {
        rows.add("order", &dispatch.order, |r| {
            let waits = matches!(dispatch.progress, Progress::ToDo | Progress::NotDone);
            r.remark = Cell::text(match (waits, dispatch.whole) {
                (true, _) => "whole, can go out",
                (false, true) => "sent out in part, the rest can go",
                (false, false) => "sent out",
            });
            r.done = if waits { Cell::Empty } else { Cell::Whole(dispatch.panels) };
            r.went(dispatch.progress, &dispatch.said);
        });
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
    minutes: Cell,
    progress: Cell,
    by: Cell,
    at: Cell,
    measured: Cell,
    unit: Cell,
}

impl Row {
    /// How far it has come, by whom, and when the last was written down.
    fn went(&mut self, progress: Progress, said: &[Said]) {
        self.progress = Cell::text(words::progress(progress));
        let names: Vec<&str> = said.iter().filter_map(|s| s.by.as_deref()).collect();
        self.by = Cell::maybe((!names.is_empty()).then(|| names.join(", ")), Cell::text);
        self.at = Cell::maybe(said.iter().filter_map(|s| s.at).max(), Cell::Moment);
    }
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
            minutes: none(),
            progress: none(),
            by: none(),
            at: none(),
            measured: none(),
            unit: none(),
        };
        fill(&mut r);
        let Row { mix, quantity, done, packs, litres, tank, rack, remark, minutes, progress, by, at, measured, unit } =
            r;
        let first = [Cell::Day(self.day), Cell::text(task), Cell::id(what)];
        let others =
            [mix, quantity, done, packs, litres, tank, rack, remark, minutes, progress, by, at, measured, unit];
        self.table.row(first.into_iter().chain(others).collect());
    }

    fn tasks(&mut self, name: &str, tasks: &[Task], over: bool) {
        for task in tasks {
            self.add(name, task.panel.as_str(), |r| {
                r.mix = Cell::id(&task.revision);
                r.quantity = Cell::Whole(task.quantity);
                r.done = Cell::Whole(task.done);
                r.tank = Cell::maybe(task.tank.as_ref(), Cell::id);
                r.rack = Cell::maybe(task.rack.as_ref(), Cell::id);
                r.minutes = Cell::Decimal(task.minutes, 1);
                r.went(task.progress(over), &task.said);
            });
        }
    }
}
