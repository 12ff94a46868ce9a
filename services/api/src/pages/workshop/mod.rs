//! The workshop itself: what it has, what is in it, its days, its ways, who may see it; and how to begin.

use actix_web::get;
use maud::html;
use utoipa_actix_web::service_config::ServiceConfig;

use super::frame::{Frame, Place};
use super::visit::Visit;
use super::words::workshop as words;
use crate::http::reply::Answer;

mod access;
mod changes;
mod days;
mod moulds;
mod new;
mod rooms;
mod settings;
mod steps;

#[utoipa::path(
    tag = "pages", summary = "The workshop's page", description = "Moulds with their uses, tanks and racks with what is in them, the days ahead, the settings, and the way from nothing to the first plan.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop")]
async fn workshop(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let steps = steps::Steps::read(&tx).await?;
    let shelves = store::moulds::shelves(&tx).await?;
    let rooms = rooms::Rooms::read(&tx).await?;
    let days = days::Ahead::read(&tx, &frame).await?;
    let site = store::site::get(&tx).await?;
    tx.rollback().await?;
    let main = html! {
        nav.within.no-print aria-label=(words::ON_THIS_PAGE) {
            a href="#moulds" { (words::MOULDS) } a href="#rooms" { (words::TANKS_AND_RACKS) } a href="#ahead" { (words::DAYS_AHEAD) }
            a href="#settings" { (words::SETTINGS) } a href="#begin" { (words::BEGIN_OR_ADD_MORE) } a href="/pages/workshop/access" { (words::WHO_MAY_SEE_IT) }
            a href="/pages/workshop/changes" { (words::WHO_CHANGED_WHAT) }
        }
        @if !steps.all_done() { (steps.said(true)) }
        (moulds::section(&frame, &shelves))
        (rooms.section(&frame))
        (days.section(&frame))
        (settings::section(&frame, site.as_ref())?)
        @if steps.all_done() { (steps.said(false)) }
    };
    Ok(frame.page(Place::Workshop, words::TITLE, main))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(workshop);
    for pages in [access::configure, changes::configure, days::configure, moulds::configure, new::configure] {
        pages(service);
    }
}
