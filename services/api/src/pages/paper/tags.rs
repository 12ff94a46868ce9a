//! Tags for the lots of a day, one for each kind of panel a ticket fills: hung on the mould, they go with the panels through
//! water and rack, so that each can be traced to its ticket.

use actix_web::get;
use actix_web::web::Path;
use chrono::NaiveDate as Day;
use maud::{Markup, html};
use store::runs;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::month::{Way, ways};
use workshop::tickets::{Fill, Ticket, TicketState};

use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::paper as words;
use crate::http::reply::Answer;
use crate::resources::day_sheet::day_named;
use crate::resources::plan::{facts_of, plan_of};
use crate::wire::Id;

#[utoipa::path(
    tag = "pages", summary = "The tags of a day's lots", description = "For labels or plain paper: panel, mix, ticket, moulds, and the days they leave mould, water and rack by the plan.",
    params(("day" = inline(Id), Path, description = "The day, or today", example = "today")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/days/{day}/tags")]
async fn tags(state: Visit, day: Path<String>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let day = day_named(&state, &tx, &day).await?;
    let tickets: Vec<Ticket> = store::tickets::of_day(&tx, day).await?.into_iter().map(|found| found.value).collect();
    let run = tickets.first().map(|ticket| ticket.run);
    let documents = match run {
        Some(run) => Some((run, runs::documents(&tx, run).await?)),
        None => None,
    };
    tx.rollback().await?;
    let ways = match documents {
        Some((run, documents)) => {
            ways(&facts_of(run, documents.facts.as_deref())?, &plan_of(run, documents.plan.as_deref())?)
        }
        None => Vec::new(),
    };
    let lots = tickets.iter().filter(|ticket| ticket.state != TicketState::Void);
    // A panel that a ticket only begins is tagged by the ticket that fills it up.
    let filled = |fill: &&Fill| fill.finished > 0;
    let lots: Vec<(&Ticket, &Fill)> =
        lots.flat_map(|t| t.fills.iter().filter(filled).map(move |fill| (t, fill))).collect();
    let main = html! {
        p.no-print { a href={ "/pages/days/" (day) } { (words::THE_DAY) } " · " (words::HOW_PRINTED) }
        @if lots.is_empty() { p { (words::NO_TAGS) } }
        div.tags { @for (ticket, fill) in &lots { (tag(&frame, ticket, fill, &ways)) } }
    };
    Ok(frame.page(Place::Today, &words::tags_of(&frame.said.day(day)), main))
}

/// A tag; what is not planned is left to be written in by hand.
fn tag(frame: &Frame, ticket: &Ticket, fill: &Fill, ways: &[Way]) -> Markup {
    let revision = ticket.revision.to_string();
    let same = |way: &&Way| way.poured == ticket.number.day && way.panel == fill.panel.as_str() && way.mix == revision;
    // Where panels of one pour part on their way, the tag names the first day of each step.
    let first = |step: fn(&Way) -> Option<Day>| ways.iter().filter(same).filter_map(step).min();
    let on = |day: Option<Day>| day.map_or_else(|| "__________".to_owned(), |day| frame.said.day(day));
    let moulds = fill.moulds.iter().map(i64::to_string).collect::<Vec<_>>().join(", ");
    html! {
        article.tag {
            h2 { (fill.finished) " × " (frame.names.panel(fill.panel.as_str())) }
            p { (frame.names.revision(&revision)) }
            p { (words::in_finish(frame.names.finish_of(&revision))) }
            p { (words::ticket_poured(&ticket.number.to_string(), &frame.said.day_in_full(ticket.number.day))) }
            p { (words::moulds(if moulds.is_empty() { "__________" } else { &moulds })) }
            dl.facts {
                dt { (words::STRIP) } dd { (on(first(|way| way.stripped))) }
                dt { (words::LIFT) } dd { (on(first(|way| way.lifted))) }
                dt { (words::READY) } dd { (on(first(|way| way.ready))) }
            }
            p.quiet { (words::CAUTION) }
        }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(tags);
}
