//! The calendar: what single days are told, and what all days of a range come to.

use std::collections::BTreeMap;

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, put};
use chrono::{Days, NaiveDate};
use serde::Deserialize;
use store::{Record, Tx, Versioned};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::site::{CalendarDay as Day, Workshop};

use crate::http::body::{Asked, Body};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Reply, Shown};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::site::{CalendarDay, ComputedDay};

/// Most days shown at once.
const RANGE_MOST: i64 = 400;

/// Which days.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct DayRange {
    /// First day; today where it is not given.
    pub from: Option<NaiveDate>,
    /// Last day, at most 400 days later; 60 days later where it is not given.
    pub to: Option<NaiveDate>,
}

impl DayRange {
    /// The first and the last day asked for.
    ///
    /// # Errors
    /// 400 where they are no range or too long a one.
    pub(super) async fn within(&self, state: &State, tx: &Tx) -> Result<(NaiveDate, NaiveDate), Problem> {
        let from = match self.from {
            Some(from) => from,
            None => state.today(tx).await?,
        };
        let to = self.to.or_else(|| from.checked_add_days(Days::new(60))).unwrap_or(from);
        if to < from || (to - from).num_days() >= RANGE_MOST {
            let detail = format!("to: {to} is not within {RANGE_MOST} days after {from}: ask for less at once");
            return Err(Problem::bad_request(vec![Fault::at("/query/to", detail)]));
        }
        Ok((from, to))
    }
}

/// The air temperature of each day of a range, by the calendar or the workshop's usual one.
pub(super) async fn air_of_days(tx: &Tx, site: &Workshop, from: NaiveDate, to: NaiveDate) -> Result<Vec<f64>, Problem> {
    let said = Day::all(tx).await?.into_iter().filter_map(|day| Some((day.day, day.air_c?)));
    let said: BTreeMap<NaiveDate, f64> = said.collect();
    let days = from.iter_days().take_while(|day| *day <= to);
    Ok(days.map(|day| said.get(&day).copied().unwrap_or(site.usual_air_c)).collect())
}

#[utoipa::path(
    tag = "calendar", summary = "Show days", description = "Each day of a range as it will be: worked or not, labour, temperature.",
    params(DayRange), responses((status = 200, description = "The days", body = Vec<ComputedDay>))
)]
#[get("/calendar")]
async fn list(state: Data<State>, range: Query<DayRange>) -> Answer {
    let tx = state.store.read().await?;
    let site = store::site::get(&tx).await?;
    let site = site.ok_or_else(|| Problem::not_found("workshop", "recorded yet: put one first"))?.value;
    let (from, to) = range.within(&state, &tx).await?;
    let said = said_between(&tx, from, to).await?;
    tx.rollback().await?;
    let days: Vec<ComputedDay> =
        from.iter_days().take_while(|day| *day <= to).map(|day| computed(&site, day, said.get(&day))).collect();
    Reply::json(&days)
}

async fn said_between(tx: &Tx, from: NaiveDate, to: NaiveDate) -> Result<BTreeMap<NaiveDate, Day>, Problem> {
    let before = from.pred_opt();
    let said = Day::page(tx, before.as_ref(), RANGE_MOST as u64).await?;
    Ok(said.into_iter().map(|v| (v.value.day, v.value)).filter(|(day, _)| *day <= to).collect())
}

fn computed(site: &Workshop, day: NaiveDate, said: Option<&Day>) -> ComputedDay {
    let worked = site.works_on(day, said);
    let labour = said.and_then(|s| s.labour_minutes).unwrap_or(site.labour_minutes);
    let air_c = said.and_then(|s| s.air_c).unwrap_or(site.usual_air_c);
    ComputedDay {
        day,
        worked,
        labour_minutes: if worked { labour.get() } else { 0 },
        air_c,
        too_cold_to_pour: air_c < site.least_air_c,
        note: said.and_then(|s| s.note.clone()),
    }
}

#[utoipa::path(
    tag = "calendar", summary = "Read what a day is told", description = "404 where the calendar says nothing of it and its weekday decides.",
    params(("day" = NaiveDate, Path, description = "The day")),
    responses((status = 200, description = "What it is told", body = CalendarDay, headers(("ETag" = String, description = "its version"))))
)]
#[get("/calendar/{day}")]
async fn read(state: Data<State>, day: Path<NaiveDate>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let found = Day::find(&tx, &day).await?;
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found(Day::NOUN, *day))?;
    Ok(shown(found)?.reply_unless_known(&known))
}

fn shown(found: Versioned<Day>) -> Result<Shown, Problem> {
    Shown::new(found.version, &CalendarDay::from(found.value))
}

#[utoipa::path(
    tag = "calendar", summary = "Tell a day", description = "Closed, worked, another labour, a temperature; without If-Match where it is told nothing yet.",
    params(("day" = NaiveDate, Path, description = "The day")), request_body = CalendarDay,
    responses((status = 200, description = "What it is told now", body = CalendarDay, headers(("ETag" = String, description = "its version"))))
)]
#[put("/calendar/{day}")]
async fn tell(state: Data<State>, day: Path<NaiveDate>, seen: IfMatch, body: Body<CalendarDay>) -> Answer {
    if *day != body.value.day {
        let detail = format!("{} is not the day in the path, {day}: give the same", body.value.day);
        return Err(Problem::faulty(vec![Fault::at("/day", detail)]));
    }
    alter(&state, &body.asked, async |tx| {
        let Some(current) = Day::find(tx, &day).await? else {
            return Ok(Altered::put(None, &shown(Day::insert(tx, &body.value).await?)?));
        };
        let version = current.version;
        let before = shown(current)?;
        seen.agrees(&before)?;
        Ok(Altered::put(Some(before), &shown(Day::replace(tx, &body.value, version).await?)?))
    })
    .await
}

#[utoipa::path(
    tag = "calendar", summary = "Tell a day nothing", description = "Its weekday decides again.",
    params(("day" = NaiveDate, Path, description = "The day")), responses((status = 204, description = "It is told nothing"))
)]
#[delete("/calendar/{day}")]
async fn forget(state: Data<State>, day: Path<NaiveDate>, seen: IfMatch, asked: Asked) -> Answer {
    alter(&state, &asked, async |tx| {
        let current = Day::find(tx, &day).await?.ok_or_else(|| Problem::not_found(Day::NOUN, *day))?;
        let version = current.version;
        let before = shown(current)?;
        seen.agrees(&before)?;
        Day::remove(tx, &day, version).await?;
        Ok(Altered::removed(before.form().clone()))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(read).service(tell).service(forget);
}
