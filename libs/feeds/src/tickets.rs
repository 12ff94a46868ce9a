//! Tickets as a table: one row for each line of a ticket, what belongs to the whole ticket on every row.

use std::collections::BTreeMap;

use workshop::catalogue::StockUnit;
use workshop::ids::MaterialId;
use workshop::tickets::{Mixing, Ticket, TicketLine};

use crate::table::{Cell, Table};
use crate::words;

/// The columns, each with its unit.
const COLUMNS: [&str; 39] = [
    "ticket",
    "day",
    "state",
    "mix",
    "revision",
    "batch_volume_l",
    "washout_volume_l",
    "foam_volume_l",
    "foam_mass_g",
    "wet_density_kg_m3",
    "wet_density_low_kg_m3",
    "wet_density_high_kg_m3",
    "measured_wet_density_kg_m3",
    "labour_min",
    "moulds_filled",
    "line",
    "kind",
    "material",
    "mass_g",
    "target_g",
    "target_ml",
    "target_mm2",
    "target_pieces",
    "actual_g",
    "actual_ml",
    "actual_mm2",
    "actual_pieces",
    "drawn_from_stock",
    "note",
    "planning_run",
    "cautions",
    "closed_by",
    "air_c",
    "mix_c",
    "water_added_ml",
    "left_over_ml",
    "left_over_to",
    "began_at_utc",
    "ended_at_utc",
];

/// The tickets in their order. `units` says what each material is counted in; cautions stand on a ticket's first row.
pub fn table(tickets: &[Ticket], units: &BTreeMap<MaterialId, StockUnit>) -> Table {
    let mut table = Table::new("tickets", &COLUMNS);
    for ticket in tickets {
        for (at, line) in ticket.lines.iter().enumerate() {
            let cautions = if at == 0 { Cell::text(ticket.cautions.join(" ")) } else { Cell::Empty };
            let mut row = of_ticket(ticket);
            row.extend(of_line(line, units.get(&line.material).copied()));
            row.push(Cell::maybe(ticket.note.as_ref(), Cell::text));
            row.push(Cell::Whole(ticket.run.get()));
            row.push(cautions);
            row.extend(of_mixing(&ticket.mixing));
            table.row(row);
        }
    }
    table
}

fn of_ticket(ticket: &Ticket) -> Vec<Cell> {
    let litres = |ml: quantities::Millilitres| Cell::Decimal(ml.get() as f64 / 1000.0, 3);
    let density = |kg_m3| Cell::Decimal(kg_m3, 1);
    vec![
        Cell::id(ticket.number),
        Cell::Day(ticket.number.day),
        Cell::text(words::ticket_state(ticket.state)),
        Cell::id(&ticket.revision.mix),
        Cell::Whole(i64::from(ticket.revision.number)),
        litres(ticket.batch),
        litres(ticket.washout),
        litres(ticket.foam),
        Cell::Whole(ticket.foam_mass.get()),
        density(ticket.wet_density_kg_m3),
        density(ticket.wet_density_low_kg_m3),
        density(ticket.wet_density_high_kg_m3),
        Cell::maybe(ticket.measured_wet_density_kg_m3, density),
        Cell::Whole(ticket.labour.get()),
        Cell::text(words::fills(&ticket.fills)),
    ]
}

fn of_mixing(mixing: &Mixing) -> [Cell; 8] {
    [
        Cell::maybe(mixing.by.as_ref(), Cell::text),
        Cell::maybe(mixing.air_c, |c| Cell::Decimal(c, 1)),
        Cell::maybe(mixing.mix_c, |c| Cell::Decimal(c, 1)),
        Cell::maybe(mixing.water_added, |ml| Cell::Whole(ml.get())),
        Cell::maybe(mixing.left_over, |ml| Cell::Whole(ml.get())),
        Cell::maybe(mixing.left_over_to.as_ref(), Cell::text),
        Cell::maybe(mixing.began_at, Cell::Moment),
        Cell::maybe(mixing.ended_at, Cell::Moment),
    ]
}

fn of_line(line: &TicketLine, unit: Option<StockUnit>) -> Vec<Cell> {
    let mut cells = vec![
        Cell::Whole(line.position),
        Cell::text(words::line_kind(line.kind)),
        Cell::id(&line.material),
        Cell::maybe(line.mass, |mass| Cell::Whole(mass.get())),
    ];
    cells.extend(words::in_its_column(Some(line.target), unit));
    cells.extend(words::in_its_column(line.actual, unit));
    cells.push(Cell::text(if line.counted { "yes" } else { "no" }));
    cells
}
