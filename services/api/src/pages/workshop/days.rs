//! The days ahead: worked or closed, how long, how warm; and telling one of them otherwise.

use std::collections::BTreeMap;

use actix_web::get;
use actix_web::web::Path;
use chrono::{Datelike, Days, NaiveDate};
use maud::{Markup, html};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::site::{CalendarDay, DayWork, Workshop};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::said;
use super::super::visit::Visit;
use super::super::words::workshop as words;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Shown};
use crate::wire::site::CalendarDay as Form;

/// Days shown: six weeks.
const SHOWN: u64 = 42;

/// The days ahead as the calendar and the weekdays have them.
pub struct Ahead {
    first: NaiveDate,
    told: BTreeMap<NaiveDate, CalendarDay>,
}

impl Ahead {
    /// Reads them, from the Monday of this week on.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(tx: &Tx, frame: &Frame) -> Result<Self, Problem> {
        let first = frame.today - Days::new(u64::from(frame.today.weekday().num_days_from_monday()));
        let told = CalendarDay::page(tx, first.pred_opt().as_ref(), SHOWN).await?;
        Ok(Self { first, told: told.into_iter().map(|day| (day.value.day, day.value)).collect() })
    }

    /// Week by week.
    pub fn section(&self, frame: &Frame) -> Markup {
        html! {
            section aria-labelledby="ahead" {
                h2 #ahead { (words::DAYS_AHEAD) }
                @match &frame.workshop {
                    None => p.quiet { (words::NO_SETTINGS) },
                    Some(site) => {
                        p.quiet { (words::too_cold_below(&frame.said.temperature(site.least_air_c))) }
                        div.weeks {
                            @for week in 0..SHOWN / 7 { (self.week(frame, site, self.first + Days::new(week * 7))) }
                        }
                    }
                }
            }
        }
    }

    fn week(&self, frame: &Frame, site: &Workshop, monday: NaiveDate) -> Markup {
        html! {
            article.card {
                h3 { (words::week_of(&frame.said.day(monday))) }
                ul.plain {
                    @for day in monday.iter_days().take(7).filter(|day| *day >= frame.today) { (self.one(frame, site, day)) }
                }
            }
        }
    }

    fn one(&self, frame: &Frame, site: &Workshop, day: NaiveDate) -> Markup {
        let told = self.told.get(&day);
        let worked = site.works_on(day, told);
        let labour = told.and_then(|t| t.labour_minutes).unwrap_or(site.labour_minutes);
        let air = told.and_then(|t| t.air_c).unwrap_or(site.usual_air_c);
        html! {
            li.off[!worked] {
                a href={ "/pages/workshop/days/" (day) } { (frame.said.day(day)) } ": "
                @if worked { (said::minutes(labour.get() as f64)) } @else { (words::IS_CLOSED) }
                ", " (frame.said.temperature(air))
                @if worked && air < site.least_air_c { strong { " " (words::TOO_COLD) } }
                @if let Some(note) = told.and_then(|t| t.note.as_ref()) { span.quiet { " " (note) } }
            }
        }
    }
}

#[utoipa::path(
    tag = "pages", summary = "The page of a day of the calendar", description = "Whether it is worked, for how long and how warm it is expected.",
    params(("day" = NaiveDate, Path, description = "The day")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/days/{day}")]
async fn tell(state: Visit, day: Path<NaiveDate>) -> Answer {
    let day = day.into_inner();
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let found = CalendarDay::find(&tx, &day).await?;
    tx.rollback().await?;
    let told = found.as_ref().map(|found| found.value.clone());
    let seen = found.map(|found| Shown::new(found.version, &Form::from(found.value))).transpose()?;
    let seen = seen.as_ref().map(Shown::tag);
    let work = match told.as_ref().map_or(DayWork::Usual, |t| t.work) {
        DayWork::Usual => "usual",
        DayWork::Closed => "closed",
        DayWork::Worked => "worked",
    };
    let path = format!("/calendar/{day}");
    let main = html! {
        p { a href="/pages/workshop#ahead" { (words::BACK_TO_THE_WORKSHOP) } }
        form.entry data-send=(path) data-method="PUT" data-match=[seen] data-named=(words::calendar_named(&day.to_string())) data-then="/pages/workshop" {
            input type="hidden" name="day" value=(day);
            (form::choice(words::WORKED, "work", &[("usual", words::AS_WEEKDAY), ("worked", words::WORKED_ANYWAY), ("closed", words::IS_CLOSED)], work))
            (form::count(words::WORK_THAT_DAY, "labour_minutes", told.as_ref().and_then(|t| t.labour_minutes).map(|m| m.get()), 0, 100_000, false))
            (form::measure(words::AIR_EXPECTED, "air_c", frame.said.temperature_typed(), told.as_ref().and_then(|t| t.air_c), false))
            (form::text(words::NOTE, "note", told.as_ref().and_then(|t| t.note.as_deref()).unwrap_or(""), false))
            button { (words::KEEP) }
            output {}
        }
        @if seen.is_some() {
            form.entry data-send=(path) data-method="DELETE" data-match=[seen] data-named=(words::calendar_named(&day.to_string())) data-then="/pages/workshop" {
                p { (words::OR_WEEKDAY) }
                button.slight { (words::TELL_NOTHING) }
                output {}
            }
        }
    };
    Ok(frame.page(Place::Workshop, &frame.said.day_in_full(day), main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(tell);
}
