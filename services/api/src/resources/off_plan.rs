//! Marks the plan as out of date where the day went otherwise than it has it.

use chrono::NaiveDate as Day;
use store::{Record as _, Tx, lots, marks, runs, site, tickets};
use workshop::catalogue::{Amount, Material};
use workshop::completion::Mixed;
use workshop::lots::{Lot, LotMove};
use workshop::off_plan::{falls_short, fewer_poured, unplanned};
use workshop::planning::WorkCalendar;
use workshop::projection::unit_sign;
use workshop::site::CalendarDay;
use workshop::tickets::TicketLine;

use super::plan::plan_of;
use super::projection::known;
use crate::http::problem::Problem;

/// Looks at a move that is written already, of a lot as it was before.
///
/// # Errors
/// Those of the database, and a plan document that cannot be read.
pub async fn moved(tx: &Tx, today: Day, step: &LotMove, lot: &Lot) -> Result<(), Problem> {
    let run = match tickets::issued_from(tx, step.day).await? {
        Some(run) => Some(run),
        None => runs::in_force(tx).await?.map(|(run, ..)| run),
    };
    let Some(run) = run else { return Ok(()) };
    let plan = plan_of(run, runs::documents(tx, run).await?.plan.as_deref())?;
    let moves = lots::moves_on(tx, step.day).await?;
    if let Some(why) = unplanned(&plan, today, &(step.clone(), lot.panel.clone(), lot.revision.clone()), &moves) {
        marks::mark(tx, "move", &why).await?;
    }
    Ok(())
}

/// Looks at a completion that is written already: panels it did not finish, and materials of which it drew so much more that
/// a later day is short.
///
/// # Errors
/// Those of the database, and documents that cannot be read.
pub async fn mixed(tx: &Tx, today: Day, mixed: &Mixed) -> Result<(), Problem> {
    if let Some(why) = fewer_poured(mixed) {
        marks::mark(tx, "ticket", &why).await?;
    }
    let more: Vec<(&TicketLine, Amount)> = mixed.ticket.lines.iter().filter_map(drawn_more).collect();
    let Some(site) = site::get(tx).await?.filter(|_| !more.is_empty()) else { return Ok(()) };
    let ((known, last_day), days) = (known(tx, today).await?, CalendarDay::all(tx).await?);
    let calendar = WorkCalendar::new(&site.value, &days);
    for (line, more) in more {
        let Some(material) = Material::find(tx, &line.material).await?.map(|found| found.value) else { continue };
        let outlook = known.outlook(&material);
        if let Some(day) = falls_short(&material, &outlook, more, &calendar, today, last_day) {
            let (number, id) = (mixed.ticket.number, &material.id);
            let amount = format!("{} {}", more.get(), unit_sign(material.unit));
            let why = format!("ticket {number} drew {amount} of {id} more than planned: it is short on {day}");
            marks::mark(tx, "ticket", &why).await?;
        }
    }
    Ok(())
}

/// What a line drew of stock beyond its target, if anything.
fn drawn_more(line: &TicketLine) -> Option<(&TicketLine, Amount)> {
    let more = line.actual? - line.target;
    (line.counted && more > Amount::ZERO).then_some((line, more))
}
