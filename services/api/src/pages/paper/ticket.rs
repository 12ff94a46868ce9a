//! One ticket by itself.

use actix_web::get;
use actix_web::web::Path;
use maud::html;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::ids::TicketNumber;

use super::super::frame::{Frame, Place};
use super::super::ticket;
use super::super::visit::Visit;
use super::super::words::paper as words;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::wire::Id;

/// Most changes shown; more stand under `GET /tickets/{number}/changes`.
const MOST_CHANGES: u64 = 200;

#[utoipa::path(
    tag = "pages", summary = "A ticket's page", description = "One ticket by itself, to be printed or completed.",
    params(("number" = inline(Id), Path, description = "The ticket's number", example = "2026-05-04-01")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/tickets/{number}")]
async fn one(state: Visit, number: Path<String>) -> Answer {
    let missing = || Problem::not_found("ticket", number.as_str());
    let wanted = TicketNumber::parse(&number).ok_or_else(missing)?;
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let of_day = store::tickets::of_day(&tx, wanted.day).await?;
    let weighed = store::corrections::of_ticket(&tx, wanted).await?;
    let changed = store::ticket_changes::page(&tx, wanted, None, MOST_CHANGES).await?;
    tx.rollback().await?;
    let place = of_day.iter().position(|found| found.value.number == wanted).ok_or_else(missing)?;
    let among = ticket::Among { place: place + 1, of: of_day.len(), cautions: None };
    let main = html! {
        p.no-print { a href={ "/pages/days/" (wanted.day) } { (words::all_of(&frame.said.day(wanted.day))) } }
        (ticket::card(&frame, &of_day[place].value, among, &weighed))
        (ticket::became(&frame, &changed))
        p.only-print { (words::MIXED_BY) }
    };
    Ok(frame.page(Place::Today, &words::ticket(&wanted.to_string()), main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(one);
}
