//! What it means that a ticket was mixed, or is not to count after all: the draws, the lots and the closed ticket that
//! follow. Pure: whoever has read the ticket decides here and writes everything in one transaction.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDate as Day, Utc};
use quantities::Millilitres;

use crate::catalogue::Amount;
use crate::checks::found::Found;
use crate::fault::Fault;
use crate::ids::StockEntryId;
use crate::lots::{Lot, NewLot, Stage};
use crate::shared::{begun_by, finished_by, named, whole_panels};
use crate::stock::{EntryKind, NewStockEntry, StockEntry};
use crate::tickets::{Mixing, Ticket, TicketState};

/// Wet densities a scale and a measure can show, kg/m³.
const DENSITIES_KG_M3: core::ops::RangeInclusive<f64> = 100.0..=3_500.0;
/// Air temperatures a thermometer in a workshop shows, °C.
const AIR_C: core::ops::RangeInclusive<f64> = -40.0..=60.0;
/// Temperatures of a mix as it leaves the mixer, °C.
const MIX_C: core::ops::RangeInclusive<f64> = -10.0..=80.0;
/// Least temperature of concrete as placed in sections thinner than 12 in (300 mm), °C: 55 °F in American Concrete Institute,
/// Guide to Cold Weather Concreting (ACI 306R), table of recommended concrete temperatures (from memory; read again in
/// Concrete Construction, "Cold-weather correction"). It is no limit of the air temperature.
const LEAST_MIX_C: f64 = 13.0;

/// What a person says of a ticket that was mixed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Given {
    /// What really went in, by the line's position, in the material's own unit; the target where a line is not named.
    pub actual: BTreeMap<i64, Amount>,
    /// Wet density measured, kg/m³.
    pub measured_wet_density_kg_m3: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
    /// What else was noted at the mixer; under whose name is for the records to say.
    pub mixing: Mixing,
}

/// What follows from it.
#[derive(Clone, Debug, PartialEq)]
pub enum Completion {
    /// The ticket is mixed now.
    New(Box<Mixed>),
    /// It had been completed with the same content before: nothing more follows; what the person should know.
    SameAgain(Vec<String>),
    /// It cannot be completed like this; why.
    NotNow(String),
}

/// Everything to write for a ticket that was mixed.
#[derive(Clone, Debug, PartialEq)]
pub struct Mixed {
    /// The ticket, closed.
    pub ticket: Ticket,
    /// What it drew.
    pub draws: Vec<NewStockEntry>,
    /// The panels it finished, in their moulds.
    pub lots: Vec<NewLot>,
    /// What the person should know.
    pub warnings: Vec<String>,
}

/// Decides what completing `ticket` with `given` on `day` means. `tickets` are all of the ticket's own day: a panel that
/// one of them was to begin and did not is not whole.
///
/// # Errors
/// Every fault of what was given: lines that are not on the ticket, amounts below nothing, densities no concrete has.
pub fn complete(
    ticket: &Ticket,
    tickets: &[Ticket],
    given: &Given,
    at: DateTime<Utc>,
    day: Day,
) -> Result<Completion, Vec<Fault>> {
    let faults = faults(ticket, given, at);
    if !faults.is_empty() {
        return Err(faults);
    }
    let closed = closed(ticket, given, at);
    Ok(match ticket.state {
        TicketState::Issued => Completion::New(Box::new(Mixed {
            draws: draws(&closed, day),
            lots: lots(&closed, tickets),
            warnings: warnings(&closed, tickets),
            ticket: closed,
        })),
        TicketState::Mixed if says_the_same(ticket, &closed) => Completion::SameAgain(warnings(ticket, tickets)),
        TicketState::Mixed => Completion::NotNow(
            "has been completed with other amounts or notes: void it, or correct the stock by an entry".into(),
        ),
        TicketState::Void => Completion::NotNow("is void: it cannot be completed any more".into()),
    })
}

fn faults(ticket: &Ticket, given: &Given, at: DateTime<Utc>) -> Vec<Fault> {
    let positions: BTreeSet<i64> = ticket.lines.iter().map(|l| l.position).collect();
    let mut faults = Vec::new();
    for (position, amount) in &given.actual {
        if !positions.contains(position) {
            let detail = format!("ticket {} has no line {position}: it has 1 to {}", ticket.number, positions.len());
            faults.push(Fault::at(format!("/lines/{position}"), detail));
        }
        if *amount < Amount::ZERO {
            let detail = format!("line {position} cannot have used less than nothing: give 0 or more");
            faults.push(Fault::at(format!("/lines/{position}"), detail));
        }
    }
    if let Some(density) = given.measured_wet_density_kg_m3.filter(|d| !DENSITIES_KG_M3.contains(d)) {
        let (least, most) = (DENSITIES_KG_M3.start(), DENSITIES_KG_M3.end());
        let detail = format!("{density} kg/m³ is no wet density of concrete: give {least} to {most}");
        faults.push(Fault::at("/measured_wet_density_kg_m3", detail));
    }
    faults.extend(mixing_faults(&given.mixing, ticket.batch + ticket.washout, at));
    faults
}

/// Every fault of what was noted at the mixer, at a moment, of a load of so much.
fn mixing_faults(mixing: &Mixing, load: Millilitres, at: DateTime<Utc>) -> Vec<Fault> {
    let mut found = Found::new();
    for (pointer, value, range) in [("/air_c", mixing.air_c, AIR_C), ("/mix_c", mixing.mix_c, MIX_C)] {
        if let Some(value) = value {
            found.number(pointer, value, range);
        }
    }
    for (pointer, value) in [("/water_added_ml", mixing.water_added), ("/left_over_ml", mixing.left_over)] {
        if let Some(value) = value {
            found.whole(pointer, value.get(), 0..=load.get().saturating_mul(2).max(1));
        }
    }
    let left_over = mixing.left_over.is_some_and(|ml| ml > Millilitres::ZERO);
    let said_where = mixing.left_over_to.as_deref().is_some_and(|to| !to.trim().is_empty());
    found.ensure(said_where || !left_over, "/left_over_to", || {
        "is missing: say where the concrete that was left over went".to_owned()
    });
    found.ensure(left_over || mixing.left_over_to.is_none(), "/left_over_ml", || {
        "is missing: say how much was left over".to_owned()
    });
    if let Some(to) = &mixing.left_over_to {
        found.name("/left_over_to", to);
    }
    for (pointer, moment) in [("/began_at", mixing.began_at), ("/ended_at", mixing.ended_at)] {
        if let Some(moment) = moment {
            found.ensure(moment <= at, pointer, || format!("{moment} has not come yet: it is {at}"));
        }
    }
    if let Some((began, ended)) = mixing.began_at.zip(mixing.ended_at) {
        found.ensure(began <= ended, "/ended_at", || format!("{ended} is before it began, {began}: give a later time"));
    }
    found.all()
}

fn closed(ticket: &Ticket, given: &Given, at: DateTime<Utc>) -> Ticket {
    let mut closed = ticket.clone();
    for line in &mut closed.lines {
        line.actual = Some(given.actual.get(&line.position).copied().unwrap_or(line.target));
    }
    closed.state = TicketState::Mixed;
    closed.closed_at = Some(at);
    closed.measured_wet_density_kg_m3 = given.measured_wet_density_kg_m3;
    closed.note.clone_from(&given.note);
    closed.mixing = given.mixing.clone();
    closed
}

fn says_the_same(before: &Ticket, now: &Ticket) -> bool {
    let said = |t: &Ticket| {
        let actual: Vec<Option<Amount>> = t.lines.iter().map(|l| l.actual).collect();
        (actual, t.measured_wet_density_kg_m3, t.note.clone(), Mixing { by: None, ..t.mixing.clone() })
    };
    said(before) == said(now)
}

fn draws(ticket: &Ticket, day: Day) -> Vec<NewStockEntry> {
    let used = ticket.lines.iter().filter(|l| l.counted).filter_map(|l| Some((l, l.actual?)));
    let draw = |(line, actual): (&crate::tickets::TicketLine, Amount)| NewStockEntry {
        material: line.material.clone(),
        day,
        kind: EntryKind::Drawn,
        amount: -actual,
        counted: None,
        ticket: Some(ticket.number),
        delivery: None,
        counters: None,
        note: None,
    };
    used.filter(|(_, actual)| *actual != Amount::ZERO).map(draw).collect()
}

fn lots(ticket: &Ticket, tickets: &[Ticket]) -> Vec<NewLot> {
    let whole = ticket.fills.iter().map(|fill| (fill, whole_panels(ticket, fill, tickets)));
    let lot = |(fill, quantity): (&crate::tickets::Fill, i64)| NewLot {
        panel: fill.panel.clone(),
        revision: ticket.revision.clone(),
        poured_on: ticket.number.day,
        ticket: Some(ticket.number),
        stage: Stage::InMould,
        since: ticket.number.day,
        quantity,
        tank: None,
        rack: None,
        row: None,
    };
    whole.filter(|(_, quantity)| *quantity > 0).map(lot).collect()
}

fn warnings(ticket: &Ticket, tickets: &[Ticket]) -> Vec<String> {
    let (low, high) = (ticket.wet_density_low_kg_m3, ticket.wet_density_high_kg_m3);
    let outside = ticket.measured_wet_density_kg_m3.filter(|d| !(low..=high).contains(d));
    let say = |density: f64| {
        format!("the wet density of {density} kg/m³ is outside {low} to {high} kg/m³: mark these panels and test them")
    };
    let half_filled = ticket.fills.iter().filter_map(|fill| {
        let void: Vec<&Ticket> = begun_by(ticket, &fill.panel, tickets);
        let void: Vec<&Ticket> = void.into_iter().filter(|t| t.state == TicketState::Void).collect();
        (!void.is_empty()).then(|| {
            format!("one {} that {} was to begin is not whole: take it out of its mould", fill.panel, named(&void))
        })
    });
    outside.map(say).into_iter().chain(at_the_mixer(&ticket.mixing)).chain(half_filled).collect()
}

/// What to do about what was noted at the mixer.
fn at_the_mixer(mixing: &Mixing) -> Vec<String> {
    let cold = mixing.mix_c.filter(|c| *c < LEAST_MIX_C).map(|c| {
        format!(
            "the mix left the mixer at {c} °C, below {LEAST_MIX_C} °C for thin sections: keep these panels warm, and hold them longer before stripping"
        )
    });
    let watered = mixing.water_added.filter(|ml| *ml > Millilitres::ZERO).map(|ml| {
        format!(
            "{:.1} L of water were added beyond the ticket's: weigh the load again; strength falls with every litre",
            ml.get() as f64 / 1000.0
        )
    });
    cold.into_iter().chain(watered).collect()
}

/// Everything to write for a ticket that is not to count.
#[derive(Clone, Debug, PartialEq)]
pub struct Voided {
    /// The ticket, void.
    pub ticket: Ticket,
    /// The opposites of what it drew.
    pub counters: Vec<NewStockEntry>,
    /// The lots it made, to be taken back.
    pub lots: Vec<Lot>,
    /// Lots of other tickets, one panel of each of which it was to begin: that one is not whole.
    pub not_whole: Vec<Lot>,
}

/// What follows from voiding a ticket.
#[derive(Clone, Debug, PartialEq)]
pub enum Voiding {
    /// The ticket is void now.
    New(Box<Voided>),
    /// It was void already.
    SameAgain,
    /// It cannot be voided any more; why.
    NotNow(String),
}

/// Decides what voiding `ticket` on `day` means. `entries` are the ledger's lines of the ticket, `lots` those present of
/// any of `tickets`, which are all of the ticket's own day.
///
/// A mixed ticket can be voided as long as all its panels are where it put them, and any ticket as long as the panels it
/// was to begin are still in their moulds.
pub fn void(
    ticket: &Ticket,
    tickets: &[Ticket],
    entries: &[StockEntry],
    lots: &[Lot],
    reason: &str,
    at: DateTime<Utc>,
    day: Day,
) -> Voiding {
    if ticket.state == TicketState::Void {
        return Voiding::SameAgain;
    }
    let mut void = ticket.clone();
    void.state = TicketState::Void;
    void.closed_at = Some(at);
    void.note = Some(reason.to_owned());
    let made: Vec<Lot> = lots.iter().filter(|l| l.ticket == Some(ticket.number)).cloned().collect();
    if ticket.state == TicketState::Mixed {
        let untouched = |l: &&Lot| l.stage == Stage::InMould && l.since == l.poured_on;
        let there: i64 = made.iter().filter(untouched).map(|l| l.quantity).sum();
        let poured: i64 = ticket.fills.iter().map(|f| whole_panels(ticket, f, tickets)).sum();
        if there != poured {
            return Voiding::NotNow(format!(
                "poured {poured} panels, of which {there} are still untouched in their moulds: only all of them together can be taken back"
            ));
        }
    }
    match not_whole(ticket, tickets, lots) {
        Ok(not_whole) => {
            let counters = counters(entries, day, reason);
            Voiding::New(Box::new(Voided { ticket: void, counters, lots: made, not_whole }))
        }
        Err(why) => Voiding::NotNow(why),
    }
}

/// The lots, one panel of each of which `ticket` was to begin and another ticket, mixed already, finished.
fn not_whole(ticket: &Ticket, tickets: &[Ticket], lots: &[Lot]) -> Result<Vec<Lot>, String> {
    let mut found = Vec::new();
    for (finisher, panel) in finished_by(ticket, tickets) {
        let before = begun_by(finisher, &panel, tickets);
        if finisher.state != TicketState::Mixed || before.iter().any(|t| t.state == TicketState::Void) {
            continue;
        }
        let stands = |l: &&Lot| l.ticket == Some(finisher.number) && l.panel == panel && l.stage == Stage::InMould;
        let lot = lots.iter().find(|l| stands(l) && l.quantity > 0);
        found.push(lot.cloned().ok_or_else(|| {
            format!("began a {panel} that {} finished, and none of those is in its mould any more", finisher.number)
        })?);
    }
    Ok(found)
}

fn counters(entries: &[StockEntry], day: Day, reason: &str) -> Vec<NewStockEntry> {
    let countered: BTreeSet<StockEntryId> = entries.iter().filter_map(|e| e.entry.counters).collect();
    let drawn = entries.iter().filter(|e| e.entry.kind == EntryKind::Drawn && !countered.contains(&e.id));
    let counter = |drawn: &StockEntry| NewStockEntry {
        day,
        kind: EntryKind::Countered,
        amount: -drawn.entry.amount,
        counters: Some(drawn.id),
        note: Some(reason.to_owned()),
        ..drawn.entry.clone()
    };
    drawn.map(counter).collect()
}

#[cfg(test)]
mod tests;
