//! Weighings of tickets' loads with their answers, and what was done then: only added.

use std::collections::BTreeMap;

use quantities::{Grams, Millilitres};
use sea_orm::{ColumnTrait as _, EntityTrait as _, QueryFilter as _, QueryOrder as _};
use workshop::corrections::{Correction, Did, Done, LoadAnswer, WeighedAt};
use workshop::ids::TicketNumber;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::parts;
use crate::table::table;
use crate::tx::Tx;
use crate::words::{Word as _, moment, ticket_number};

table!(ticket_correction, "ticket_correction", {
    #[sea_orm(primary_key, auto_increment = false)]
    ticket: String,
    #[sea_orm(primary_key, auto_increment = false)]
    sequence: i64,
    at: DateTimeUtc,
    weighed_by: String,
    place: String,
    #[sea_orm(column_type = "Double")]
    measured_wet_density_kg_m3: f64,
    volume_ml: i64,
    #[sea_orm(column_type = "Double")]
    minutes_since_foaming: f64,
    #[sea_orm(column_type = "Double", nullable)]
    foam_density_kg_m3: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    slurry_density_kg_m3: Option<f64>,
    mixer_most_ml: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    generator_l_per_minute: Option<f64>,
    answer: String,
    sentence: String,
    added_ml: Option<i64>,
    added_g: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    generator_seconds: Option<f64>,
    volume_then_ml: i64,
    panels_then: Option<i64>,
    #[sea_orm(column_type = "Double", nullable)]
    rise_percent: Option<f64>,
    note: Option<String>,
});

table!(ticket_correction_done, "ticket_correction_done", {
    #[sea_orm(primary_key, auto_increment = false)]
    ticket: String,
    #[sea_orm(primary_key, auto_increment = false)]
    sequence: i64,
    at: DateTimeUtc,
    done_by: String,
    did: String,
    added_ml: Option<i64>,
    note: Option<String>,
});

const NOUN: &str = "correction";

/// Tickets asked for at a time.
const AT_ONCE: usize = 500;

/// All corrections of a ticket, in the order they were made.
pub async fn of_ticket(tx: &Tx, ticket: TicketNumber) -> Result<Vec<Correction>> {
    Ok(of_tickets(tx, &[ticket]).await?.remove(&ticket).unwrap_or_default())
}

/// All corrections of some tickets, those of each in the order they were made; nothing of a ticket that has none.
pub async fn of_tickets(tx: &Tx, tickets: &[TicketNumber]) -> Result<BTreeMap<TicketNumber, Vec<Correction>>> {
    let mut all: BTreeMap<TicketNumber, Vec<Correction>> = BTreeMap::new();
    for some in tickets.chunks(AT_ONCE) {
        let attempted = || format!("read the corrections of {} tickets", some.len());
        let numbers: Vec<String> = some.iter().map(ToString::to_string).collect();
        let rows = ticket_correction::Entity::find()
            .filter(ticket_correction::Column::Ticket.is_in(numbers.clone()))
            .order_by_asc(ticket_correction::Column::Ticket)
            .order_by_asc(ticket_correction::Column::Sequence)
            .all(tx.reads())
            .await
            .attempted(attempted)?;
        let done = ticket_correction_done::Entity::find()
            .filter(ticket_correction_done::Column::Ticket.is_in(numbers))
            .all(tx.reads())
            .await
            .attempted(attempted)?;
        let mut done: BTreeMap<(String, i64), _> =
            done.into_iter().map(|one| ((one.ticket.clone(), one.sequence), one)).collect();
        for row in rows {
            let done = done.remove(&(row.ticket.clone(), row.sequence));
            let found = value(row, done)?;
            all.entry(found.ticket).or_default().push(found);
        }
    }
    Ok(all)
}

/// Writes a weighing and its answer as the next of its ticket, and gives it back with the number it got.
pub async fn append(tx: &Tx, new: &Correction) -> Result<Correction> {
    tx.writes()?;
    if crate::tickets::find(tx, new.ticket).await?.is_none() {
        return Err(StoreError::not_found("ticket", new.ticket));
    }
    let last = of_ticket(tx, new.ticket).await?.last().map_or(0, |last| last.sequence);
    let kept = Correction { sequence: last + 1, at: moment(new.at), done: None, ..new.clone() };
    parts::put(tx, vec![row(&kept)]).await?;
    Ok(kept)
}

/// Writes what was done after a correction. [`StoreError::NotFound`] where there is none of that number,
/// [`StoreError::NotNow`] where it was said before.
pub async fn append_done(tx: &Tx, ticket: TicketNumber, sequence: i64, done: &Done) -> Result<Correction> {
    tx.writes()?;
    let id = || format!("{sequence} of ticket {ticket}");
    let found = of_ticket(tx, ticket).await?.into_iter().find(|one| one.sequence == sequence);
    let mut found = found.ok_or_else(|| StoreError::not_found(NOUN, id()))?;
    if found.done.is_some() {
        let why = "says already what was done: weigh the load again for anything more".to_owned();
        return Err(StoreError::NotNow { noun: NOUN, id: id(), why });
    }
    let row = ticket_correction_done::Model {
        ticket: ticket.to_string(),
        sequence,
        at: moment(done.at),
        done_by: done.by.clone(),
        did: done.did.word(),
        added_ml: done.added.map(Millilitres::get),
        note: done.note.clone(),
    };
    parts::put(tx, vec![row]).await?;
    found.done = Some(Done { at: moment(done.at), ..done.clone() });
    Ok(found)
}

fn row(c: &Correction) -> ticket_correction::Model {
    ticket_correction::Model {
        ticket: c.ticket.to_string(),
        sequence: c.sequence,
        at: c.at,
        weighed_by: c.by.clone(),
        place: c.place.word(),
        measured_wet_density_kg_m3: c.measured_wet_density_kg_m3,
        volume_ml: c.volume.get(),
        minutes_since_foaming: c.minutes_since_foaming,
        foam_density_kg_m3: c.foam_density_kg_m3,
        slurry_density_kg_m3: c.slurry_density_kg_m3,
        mixer_most_ml: c.mixer_most.map(Millilitres::get),
        generator_l_per_minute: c.generator_l_per_minute,
        answer: c.answer.word(),
        sentence: c.sentence.clone(),
        added_ml: c.added.map(Millilitres::get),
        added_g: c.added_mass.map(Grams::get),
        generator_seconds: c.generator_seconds,
        volume_then_ml: c.volume_then.get(),
        panels_then: c.panels_then,
        rise_percent: c.rise_percent,
        note: c.note.clone(),
    }
}

fn value(row: ticket_correction::Model, done: Option<ticket_correction_done::Model>) -> Result<Correction> {
    let done_of = |d: ticket_correction_done::Model| {
        let (did, added) = (Did::of(&d.did)?, d.added_ml.map(Millilitres::new));
        Ok(Done { at: d.at, by: d.done_by, did, added, note: d.note })
    };
    Ok(Correction {
        ticket: ticket_number(&row.ticket)?,
        sequence: row.sequence,
        at: row.at,
        by: row.weighed_by,
        place: WeighedAt::of(&row.place)?,
        measured_wet_density_kg_m3: row.measured_wet_density_kg_m3,
        volume: Millilitres::new(row.volume_ml),
        minutes_since_foaming: row.minutes_since_foaming,
        foam_density_kg_m3: row.foam_density_kg_m3,
        slurry_density_kg_m3: row.slurry_density_kg_m3,
        mixer_most: row.mixer_most_ml.map(Millilitres::new),
        generator_l_per_minute: row.generator_l_per_minute,
        answer: LoadAnswer::of(&row.answer)?,
        sentence: row.sentence,
        added: row.added_ml.map(Millilitres::new),
        added_mass: row.added_g.map(Grams::new),
        generator_seconds: row.generator_seconds,
        volume_then: Millilitres::new(row.volume_then_ml),
        panels_then: row.panels_then,
        rise_percent: row.rise_percent,
        note: row.note,
        done: done.map(done_of).transpose()?,
    })
}
