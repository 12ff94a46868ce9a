//! Who changed what: the trail of changes, newest first.

use actix_web::get;
use actix_web::web::Query;
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::trail::{Change, FieldChange};

use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::workshop as words;
use crate::http::reply::Answer;

/// Changes on a page.
const LINES: u64 = 100;

/// Which changes.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Earlier {
    /// Only those made before the change of this number.
    #[param(minimum = 1)]
    pub before: Option<i64>,
}

#[utoipa::path(
    tag = "pages", summary = "The page of who changed what", description = "Changes of what is recorded, the newest first, each with the fields that became otherwise.",
    security(("token" = ["office"])), params(Earlier),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/changes")]
async fn changes(state: Visit, which: Query<Earlier>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let found = store::trail::newest(&tx, which.before, LINES).await?;
    tx.rollback().await?;
    let earlier = found.last().filter(|_| found.len() as u64 == LINES).map(|change| change.number);
    let main = html! {
        p.no-print { a href="/pages/workshop" { (words::BACK_TO_THE_WORKSHOP) } " · " a href="/changes.csv" { (words::CHANGES_AS_A_TABLE) } }
        @if found.is_empty() { p { (words::NO_CHANGES) } }
        ul.plain { @for change in &found { li.card { (one(&frame, change)) } } }
        @if let Some(number) = earlier { p.no-print { a href={ "/pages/workshop/changes?before=" (number) } rel="next" { (words::EARLIER_CHANGES) } } }
    };
    Ok(frame.page(Place::Workshop, words::WHO_CHANGED_WHAT, main))
}

fn one(frame: &Frame, change: &Change) -> Markup {
    let done = &change.done;
    let (day, time) = (frame.said.day_of(change.at), frame.said.time_of(change.at));
    html! {
        p { strong { (words::change(&done.kind, &done.id, &done.act)) } " " span.quiet { (words::said_by(change.by.as_deref(), &day, &time)) } }
        @if !done.fields.is_empty() {
            details {
                summary { (words::fields(done.fields.len() as i64)) }
                dl.facts { @for field in &done.fields { dt { (named(field)) } dd { (became(field)) } } }
            }
        }
    }
}

/// A field's name; what was made or removed is told as a whole.
fn named(field: &FieldChange) -> &str {
    if field.field.is_empty() { words::ALL_OF_IT } else { &field.field }
}

fn became(field: &FieldChange) -> Markup {
    let shown =
        |text: &Option<String>| html! { @match text { Some(text) => code { (text) }, None => (words::NOTHING_THERE) } };
    words::became(&shown(&field.before), &shown(&field.after))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(changes);
}
