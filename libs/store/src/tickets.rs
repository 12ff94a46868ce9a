//! Batch tickets, issued a day at a time and exactly once.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate as Day, Utc};
use quantities::{Grams, Millilitres, Minutes};
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait as _, Condition, EntityTrait as _, QueryFilter as _, QueryOrder as _, QuerySelect as _};
use workshop::catalogue::Amount;
use workshop::ids::{RunId, TicketNumber};
use workshop::notices::{Kind, NewNotice};
use workshop::tickets::{Fill, LineKind, Mixing, Ticket, TicketLine, TicketState};

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::fail_points::reached;
use crate::marks;
use crate::moulds;
use crate::notices;
use crate::parts;
use crate::record::{Versioned, same_version};
use crate::references::{Needs, Thing};
use crate::table::table;
use crate::ticket_changes;
use crate::tx::Tx;
use crate::words::{Word as _, material_id, moment, mould_group_id, panel_id, revision_id, ticket_number};

table!(issued_day, "issued_day", {
    #[sea_orm(primary_key, auto_increment = false)]
    day: Date,
    run: i64,
    at: DateTimeUtc,
    looked_back_at: Option<DateTimeUtc>,
});

table!(ticket, "ticket", {
    #[sea_orm(primary_key, auto_increment = false)]
    id: String,
    version: i64,
    day: Date,
    sequence: i64,
    run: i64,
    revision: String,
    batch_ml: i64,
    washout_ml: i64,
    foam_ml: i64,
    foam_mass_g: i64,
    #[sea_orm(column_type = "Double")]
    wet_density_kg_m3: f64,
    #[sea_orm(column_type = "Double")]
    wet_density_low_kg_m3: f64,
    #[sea_orm(column_type = "Double")]
    wet_density_high_kg_m3: f64,
    labour_minutes: i64,
    state: String,
    issued_at: DateTimeUtc,
    closed_at: Option<DateTimeUtc>,
    #[sea_orm(column_type = "Double", nullable)]
    measured_wet_density_kg_m3: Option<f64>,
    note: Option<String>,
    closed_by: Option<String>,
    #[sea_orm(column_type = "Double", nullable)]
    air_c: Option<f64>,
    #[sea_orm(column_type = "Double", nullable)]
    mix_c: Option<f64>,
    water_added_ml: Option<i64>,
    left_over_ml: Option<i64>,
    left_over_to: Option<String>,
    began_at: Option<DateTimeUtc>,
    ended_at: Option<DateTimeUtc>,
});

table!(ticket_line, "ticket_line", {
    #[sea_orm(primary_key, auto_increment = false)]
    ticket: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    kind: String,
    material: String,
    mass_g: Option<i64>,
    target: i64,
    actual: Option<i64>,
    counted: bool,
});

table!(ticket_fill, "ticket_fill", {
    #[sea_orm(primary_key, auto_increment = false)]
    ticket: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    panel: String,
    mould_group: String,
    finished: i64,
    begun_ml: i64,
    volume_ml: i64,
});

table!(ticket_caution, "ticket_caution", {
    #[sea_orm(primary_key, auto_increment = false)]
    ticket: String,
    #[sea_orm(primary_key, auto_increment = false)]
    position: i64,
    caution: String,
});

const NOUN: &str = "ticket";

/// Issues a day: records it and writes its tickets. [`StoreError::AlreadyIssued`] where it has been; however often and
/// by however many it is tried, a day's tickets are written once.
pub async fn insert_day(tx: &Tx, day: Day, run: RunId, at: DateTime<Utc>, tickets: &[Ticket]) -> Result<()> {
    tx.writes()?;
    if is_issued(tx, day).await? {
        return Err(StoreError::AlreadyIssued { day });
    }
    references(tx, run, tickets).await?;
    parts::put(tx, vec![issued_day::Model { day, run: run.get(), at: moment(at), looked_back_at: None }]).await?;
    reached("issue.day");
    parts::put(tx, tickets.iter().map(|t| row(t, 1)).collect()).await?;
    reached("issue.tickets");
    parts::put(tx, tickets.iter().flat_map(line_rows).collect()).await?;
    parts::put(tx, tickets.iter().flat_map(fill_rows).collect()).await?;
    parts::put(tx, tickets.iter().flat_map(caution_rows).collect()).await?;
    moulds::give(tx, tickets).await?;
    let sentence = match tickets.len() {
        1 => format!("1 ticket is issued for {day}."),
        many => format!("{many} tickets are issued for {day}."),
    };
    notices::write(tx, &NewNotice { kind: Kind::TicketsIssued, subject: day.to_string(), sentence }).await
}

/// The days issued from that one on, each with the run whose plan it was issued from.
pub async fn issued_days(tx: &Tx, from: Day) -> Result<Vec<(Day, RunId)>> {
    let rows = issued_day::Entity::find()
        .filter(issued_day::Column::Day.gte(from))
        .order_by_asc(issued_day::Column::Day)
        .all(tx.reads())
        .await
        .attempted(|| format!("read which days are issued from {from}"))?;
    Ok(rows.into_iter().map(|row| (row.day, RunId::new(row.run))).collect())
}

/// The run whose plan a day was issued from; none where it is not issued.
pub async fn issued_from(tx: &Tx, day: Day) -> Result<Option<RunId>> {
    let row = issued_day::Entity::find_by_id(day).one(tx.reads()).await;
    Ok(row.attempted(|| format!("read what {day} was issued from"))?.map(|row| RunId::new(row.run)))
}

/// The last day issued before `today`, with its run, as long as nobody has looked back on it.
pub async fn not_looked_back(tx: &Tx, today: Day) -> Result<Option<(Day, RunId)>> {
    let last = issued_day::Entity::find()
        .filter(issued_day::Column::Day.lt(today))
        .order_by_desc(issued_day::Column::Day)
        .one(tx.reads())
        .await
        .attempted(|| format!("read which day before {today} was issued last"))?;
    Ok(last.filter(|row| row.looked_back_at.is_none()).map(|row| (row.day, RunId::new(row.run))))
}

/// Notes that a day has been looked back on.
pub async fn looked_back(tx: &Tx, day: Day, at: DateTime<Utc>) -> Result<()> {
    let noted = issued_day::Entity::update_many()
        .col_expr(issued_day::Column::LookedBackAt, Expr::value(moment(at)))
        .filter(issued_day::Column::Day.eq(day))
        .exec(tx.writes()?)
        .await;
    noted.attempted(|| format!("note that {day} has been looked back on"))?;
    Ok(())
}

/// Every day ever issued, each with the run whose plan it was issued from.
pub async fn all_issued_days(tx: &Tx) -> Result<Vec<(Day, RunId)>> {
    let rows = issued_day::Entity::find().order_by_asc(issued_day::Column::Day).all(tx.reads()).await;
    let rows = rows.attempted(|| "read which days were issued".to_owned())?;
    Ok(rows.into_iter().map(|row| (row.day, RunId::new(row.run))).collect())
}

/// Whether the day's tickets are out.
pub async fn is_issued(tx: &Tx, day: Day) -> Result<bool> {
    let row = issued_day::Entity::find_by_id(day).one(tx.reads()).await;
    Ok(row.attempted(|| format!("see whether {day} is issued"))?.is_some())
}

/// The tickets of a day, in mixing order.
pub async fn of_day(tx: &Tx, day: Day) -> Result<Vec<Versioned<Ticket>>> {
    list(tx, Condition::all().add(ticket::Column::Day.eq(day)), None).await
}

/// Tickets of earlier days that nobody has said anything of yet, by day and mixing order.
pub async fn open_before(tx: &Tx, day: Day) -> Result<Vec<Versioned<Ticket>>> {
    let open = ticket::Column::State.eq(TicketState::Issued.word());
    list(tx, Condition::all().add(ticket::Column::Day.lt(day)).add(open), None).await
}

/// The mixed tickets of the days from `from` to `to`, both included, by day and mixing order.
pub async fn mixed_between(tx: &Tx, from: Day, to: Day) -> Result<Vec<Ticket>> {
    let mixed = ticket::Column::State.eq(TicketState::Mixed.word());
    let which = Condition::all().add(ticket::Column::Day.between(from, to)).add(mixed);
    Ok(list(tx, which, None).await?.into_iter().map(|t| t.value).collect())
}

/// Every ticket still to be mixed, by day and mixing order.
pub async fn open(tx: &Tx) -> Result<Vec<Ticket>> {
    let open = Condition::all().add(ticket::Column::State.eq(TicketState::Issued.word()));
    Ok(list(tx, open, None).await?.into_iter().map(|t| t.value).collect())
}

/// Every ticket ever issued, by day and mixing order.
pub async fn all(tx: &Tx) -> Result<Vec<Ticket>> {
    Ok(list(tx, Condition::all(), None).await?.into_iter().map(|t| t.value).collect())
}

/// The one with this number, if there is one.
pub async fn find(tx: &Tx, number: TicketNumber) -> Result<Option<Versioned<Ticket>>> {
    let one = list(tx, Condition::all().add(ticket::Column::Id.eq(number.to_string())), None).await?;
    Ok(one.into_iter().next())
}

/// Up to `limit` tickets after the one named, by day and mixing order.
pub async fn page(tx: &Tx, after: Option<TicketNumber>, limit: u64) -> Result<Vec<Versioned<Ticket>>> {
    let beyond = after.map(|after| {
        let same_day = Condition::all()
            .add(ticket::Column::Day.eq(after.day))
            .add(ticket::Column::Sequence.gt(i64::from(after.sequence)));
        Condition::any().add(ticket::Column::Day.gt(after.day)).add(same_day)
    });
    list(tx, Condition::all().add_option(beyond), Some(limit)).await
}

/// Writes what became of a ticket: its state, what really went in, what was measured and noted, under whose name, when.
/// [`StoreError::Immutable`] where anything else differs, [`StoreError::NotNow`] where the state cannot follow.
pub async fn close(tx: &Tx, closed: &Ticket, if_version: i64) -> Result<Versioned<Ticket>> {
    tx.writes()?;
    let number = closed.number;
    let old = find(tx, number).await?.ok_or_else(|| StoreError::not_found(NOUN, number))?;
    same_version(NOUN, number, old.version, if_version)?;
    may_follow(number, old.value.state, closed.state)?;
    let mut value = closed.clone();
    value.closed_at = closed.closed_at.map(moment);
    value.mixing.by = tx.by();
    value.mixing.began_at = closed.mixing.began_at.map(moment);
    value.mixing.ended_at = closed.mixing.ended_at.map(moment);
    only_closing(&old.value, &value)?;
    let version = if_version + 1;
    replace_row(tx, row(&value, version)).await?;
    parts::take::<ticket_line::Entity>(tx, ticket_line::Column::Ticket, number.to_string()).await?;
    parts::put(tx, line_rows(&value).collect()).await?;
    ticket_changes::append(tx, &old.value, &value).await?;
    if value.state == TicketState::Void && old.value.state != TicketState::Void {
        marks::mark(tx, "ticket", &format!("ticket {number} is void")).await?;
    }
    if value.state != TicketState::Issued {
        // What was mixed is in its moulds by now; what is still only given came to nothing.
        moulds::give_back(tx, number, number.day).await?;
    }
    Ok(Versioned { version, value })
}

fn may_follow(number: TicketNumber, from: TicketState, to: TicketState) -> Result<()> {
    use TicketState::{Issued, Mixed, Void};
    match (from, to) {
        (Issued, _) | (Mixed, Mixed | Void) | (Void, Void) => Ok(()),
        _ => {
            let why = format!("is {}: it cannot become {} again", from.word(), to.word());
            Err(StoreError::NotNow { noun: NOUN, id: number.to_string(), why })
        }
    }
}

fn only_closing(old: &Ticket, new: &Ticket) -> Result<()> {
    let mut allowed = old.clone();
    allowed.state = new.state;
    allowed.closed_at = new.closed_at;
    allowed.measured_wet_density_kg_m3 = new.measured_wet_density_kg_m3;
    allowed.note.clone_from(&new.note);
    allowed.mixing.clone_from(&new.mixing);
    for (line, said) in allowed.lines.iter_mut().zip(&new.lines) {
        line.actual = said.actual;
    }
    if allowed == *new {
        return Ok(());
    }
    let what = "batch, lines, fills and cautions as issued: only what became of it is written".to_owned();
    Err(StoreError::Immutable { noun: NOUN, id: old.number.to_string(), what })
}

async fn replace_row(tx: &Tx, row: ticket::Model) -> Result<()> {
    use sea_orm::{ActiveModelTrait as _, IntoActiveModel as _};
    let attempted = format!("close ticket {}", row.id);
    row.into_active_model().reset_all().update(tx.writes()?).await.attempted(|| attempted)?;
    Ok(())
}

async fn references(tx: &Tx, run: RunId, tickets: &[Ticket]) -> Result<()> {
    let mut needs = Needs::default();
    for ticket in tickets {
        needs.on(Thing::Revision, &ticket.revision);
        for line in &ticket.lines {
            needs.on(Thing::Material, &line.material);
        }
        for fill in &ticket.fills {
            needs.on(Thing::Panel, &fill.panel).on(Thing::MouldGroup, &fill.mould_group);
        }
    }
    let mut missing = Vec::new();
    match needs.met(tx).await {
        Err(StoreError::Missing(some)) => missing.extend(some),
        other => other?,
    }
    if crate::runs::find(tx, run).await?.is_none() {
        missing.push(("planning run", run.to_string()));
    }
    if missing.is_empty() { Ok(()) } else { Err(StoreError::Missing(missing)) }
}

async fn list(tx: &Tx, which: Condition, limit: Option<u64>) -> Result<Vec<Versioned<Ticket>>> {
    let rows = ticket::Entity::find()
        .filter(which)
        .order_by_asc(ticket::Column::Day)
        .order_by_asc(ticket::Column::Sequence)
        .limit(limit)
        .all(tx.reads())
        .await
        .attempted(|| "read tickets".to_owned())?;
    let mut parts = Parts::of(tx, &rows).await?;
    let versions: Vec<i64> = rows.iter().map(|row| row.version).collect();
    let mut tickets = rows.into_iter().map(|row| value(row, &mut parts)).collect::<Result<Vec<Ticket>>>()?;
    moulds::on_tickets(tx, &mut tickets).await?;
    Ok(versions.into_iter().zip(tickets).map(|(version, value)| Versioned { version, value }).collect())
}

struct Parts {
    lines: BTreeMap<String, Vec<ticket_line::Model>>,
    fills: BTreeMap<String, Vec<ticket_fill::Model>>,
    cautions: BTreeMap<String, Vec<ticket_caution::Model>>,
}

impl Parts {
    async fn of(tx: &Tx, rows: &[ticket::Model]) -> Result<Self> {
        use {ticket_caution::Column as Cautions, ticket_fill::Column as Fills, ticket_line::Column as Lines};
        let ids: Vec<String> = rows.iter().map(|row| row.id.clone()).collect();
        Ok(Self {
            lines: parts::of_parents::<ticket_line::Entity, _>(tx, Lines::Ticket, Lines::Position, &ids, |row| {
                row.ticket.clone()
            })
            .await?,
            fills: parts::of_parents::<ticket_fill::Entity, _>(tx, Fills::Ticket, Fills::Position, &ids, |row| {
                row.ticket.clone()
            })
            .await?,
            cautions: parts::of_parents::<ticket_caution::Entity, _>(
                tx,
                Cautions::Ticket,
                Cautions::Position,
                &ids,
                |row| row.ticket.clone(),
            )
            .await?,
        })
    }
}

fn row(ticket: &Ticket, version: i64) -> ticket::Model {
    ticket::Model {
        id: ticket.number.to_string(),
        version,
        day: ticket.number.day,
        sequence: i64::from(ticket.number.sequence),
        run: ticket.run.get(),
        revision: ticket.revision.to_string(),
        batch_ml: ticket.batch.get(),
        washout_ml: ticket.washout.get(),
        foam_ml: ticket.foam.get(),
        foam_mass_g: ticket.foam_mass.get(),
        wet_density_kg_m3: ticket.wet_density_kg_m3,
        wet_density_low_kg_m3: ticket.wet_density_low_kg_m3,
        wet_density_high_kg_m3: ticket.wet_density_high_kg_m3,
        labour_minutes: ticket.labour.get(),
        state: ticket.state.word(),
        issued_at: moment(ticket.issued_at),
        closed_at: ticket.closed_at.map(moment),
        measured_wet_density_kg_m3: ticket.measured_wet_density_kg_m3,
        note: ticket.note.clone(),
        closed_by: ticket.mixing.by.clone(),
        air_c: ticket.mixing.air_c,
        mix_c: ticket.mixing.mix_c,
        water_added_ml: ticket.mixing.water_added.map(Millilitres::get),
        left_over_ml: ticket.mixing.left_over.map(Millilitres::get),
        left_over_to: ticket.mixing.left_over_to.clone(),
        began_at: ticket.mixing.began_at.map(moment),
        ended_at: ticket.mixing.ended_at.map(moment),
    }
}

fn line_rows(ticket: &Ticket) -> impl Iterator<Item = ticket_line::Model> {
    ticket.lines.iter().map(|line| ticket_line::Model {
        ticket: ticket.number.to_string(),
        position: line.position,
        kind: line.kind.word(),
        material: line.material.to_string(),
        mass_g: line.mass.map(Grams::get),
        target: line.target.get(),
        actual: line.actual.map(Amount::get),
        counted: line.counted,
    })
}

fn fill_rows(ticket: &Ticket) -> impl Iterator<Item = ticket_fill::Model> {
    ticket.fills.iter().enumerate().map(|(index, fill)| ticket_fill::Model {
        ticket: ticket.number.to_string(),
        position: parts::place(index),
        panel: fill.panel.to_string(),
        mould_group: fill.mould_group.to_string(),
        finished: fill.finished,
        begun_ml: fill.begun.get(),
        volume_ml: fill.volume.get(),
    })
}

fn caution_rows(ticket: &Ticket) -> impl Iterator<Item = ticket_caution::Model> {
    ticket.cautions.iter().enumerate().map(|(index, caution)| ticket_caution::Model {
        ticket: ticket.number.to_string(),
        position: parts::place(index),
        caution: caution.clone(),
    })
}

fn value(row: ticket::Model, parts: &mut Parts) -> Result<Ticket> {
    let lines = parts.lines.remove(&row.id).unwrap_or_default();
    let fills = parts.fills.remove(&row.id).unwrap_or_default();
    let cautions = parts.cautions.remove(&row.id).unwrap_or_default();
    Ok(Ticket {
        number: ticket_number(&row.id)?,
        run: RunId::new(row.run),
        revision: revision_id(&row.revision)?,
        batch: Millilitres::new(row.batch_ml),
        washout: Millilitres::new(row.washout_ml),
        lines: lines.iter().map(line).collect::<Result<_>>()?,
        foam: Millilitres::new(row.foam_ml),
        foam_mass: Grams::new(row.foam_mass_g),
        wet_density_kg_m3: row.wet_density_kg_m3,
        wet_density_low_kg_m3: row.wet_density_low_kg_m3,
        wet_density_high_kg_m3: row.wet_density_high_kg_m3,
        fills: fills.iter().map(fill).collect::<Result<_>>()?,
        labour: Minutes::new(row.labour_minutes),
        cautions: cautions.into_iter().map(|c| c.caution).collect(),
        state: TicketState::of(&row.state)?,
        issued_at: row.issued_at,
        closed_at: row.closed_at,
        measured_wet_density_kg_m3: row.measured_wet_density_kg_m3,
        note: row.note,
        mixing: Mixing {
            by: row.closed_by,
            air_c: row.air_c,
            mix_c: row.mix_c,
            water_added: row.water_added_ml.map(Millilitres::new),
            left_over: row.left_over_ml.map(Millilitres::new),
            left_over_to: row.left_over_to,
            began_at: row.began_at,
            ended_at: row.ended_at,
        },
    })
}

fn line(row: &ticket_line::Model) -> Result<TicketLine> {
    Ok(TicketLine {
        position: row.position,
        kind: LineKind::of(&row.kind)?,
        material: material_id(&row.material)?,
        mass: row.mass_g.map(Grams::new),
        target: Amount::new(row.target),
        actual: row.actual.map(Amount::new),
        counted: row.counted,
    })
}

fn fill(row: &ticket_fill::Model) -> Result<Fill> {
    Ok(Fill {
        panel: panel_id(&row.panel)?,
        mould_group: mould_group_id(&row.mould_group)?,
        finished: row.finished,
        begun: Millilitres::new(row.begun_ml),
        volume: Millilitres::new(row.volume_ml),
        moulds: Vec::new(),
    })
}
