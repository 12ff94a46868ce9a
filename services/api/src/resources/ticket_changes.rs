//! What was changed of a ticket after it was issued.

use actix_web::get;
use actix_web::web::{Data, Path, Query};
use store::{ticket_changes, tickets};
use utoipa_actix_web::service_config::ServiceConfig;

use super::tickets::number;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::state::State;
use crate::wire::Id;
use crate::wire::ticket_changes::TicketChange;

#[utoipa::path(
    tag = "tickets", summary = "List a ticket's changes",
    description = "Each thing of it that became otherwise after it was issued, as it was and as it became, who said so and when: in the order it was said, in pages. Nothing of it is ever changed.",
    params(("number" = inline(Id), Path, description = "Its number", example = "2026-05-04-01"), Page),
    responses((status = 200, description = "A page of them", body = Vec<TicketChange>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/tickets/{number}/changes")]
async fn list(state: Data<State>, text: Path<String>, page: Query<Page>) -> Answer {
    let number = number(&text)?;
    let after = page.after(|text| text.parse().ok())?;
    let tx = state.store.read().await?;
    tickets::find(&tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?;
    let found = ticket_changes::page(&tx, number, after, page.limit_and_one()).await?;
    tx.rollback().await?;
    page.reply(&format!("/tickets/{number}/changes"), &[], found, |one| one.id.to_string(), TicketChange::from)
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list);
}
