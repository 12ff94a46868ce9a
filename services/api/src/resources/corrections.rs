//! Corrections of a ticket's load at the mixer and the mould: what was weighed, answered and done.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use store::{Record, Tx, corrections, tickets};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Material, MixRevision, Panel};
use workshop::corrections::{Correction, Done, Weighing, may_be_weighed};
use workshop::planning::draws::Materials;
use workshop::tickets::Ticket;

use super::tickets::{not_now, number};
use crate::calculations::on_record;
use crate::calculations::ticket_load::{OnRecord, answer};
use crate::http::body::Body;
use crate::http::paging::PageOfAll;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply, once};
use crate::state::State;
use crate::wire::Id;
use crate::wire::corrections::{GivenDone, GivenWeighing, RecordedCorrection, TicketCorrection};

#[utoipa::path(
    tag = "tickets", summary = "List a ticket's corrections",
    description = "Every weighing of its load at the mixer and the mould, what was answered and what was done, in the order they came. Nothing of it is ever changed.",
    params(("number" = inline(Id), Path, description = "Its number", example = "2026-05-04-01"), PageOfAll),
    responses((status = 200, description = "A page of them", body = Vec<TicketCorrection>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/tickets/{number}/corrections")]
async fn list(state: Data<State>, text: Path<String>, page: Query<PageOfAll>) -> Answer {
    let number = number(&text)?;
    let tx = state.store.read().await?;
    tickets::find(&tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?;
    let found = corrections::of_ticket(&tx, number).await?;
    tx.rollback().await?;
    let path = format!("/tickets/{number}/corrections");
    page.into_inner().reply(&path, &[], found, |one| one.sequence.to_string(), TicketCorrection::from)
}

#[utoipa::path(
    tag = "tickets", summary = "Weigh a ticket's load",
    description = "Says what to do with it, and keeps weighing and answer with the ticket: pour it, add so much foam or slurry and weigh again, or do not pour it. At the mould it is held against the weighing at the mixer. Not of a void ticket.",
    security(("token" = ["bench"])),
    params(("number" = inline(Id), Path, description = "The ticket's number", example = "2026-05-04-01")), request_body = GivenWeighing,
    responses((status = 201, description = "It is kept", body = RecordedCorrection))
)]
#[post("/tickets/{number}/corrections")]
async fn create(state: Data<State>, text: Path<String>, body: Body<GivenWeighing>) -> Answer {
    let number = number(&text)?;
    once(&state, &body.asked, async |tx| {
        let ticket = tickets::find(tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?.value;
        may_be_weighed(&ticket).map_err(|why| not_now(number, &why))?;
        let (correction, worked) = weighed(&state, tx, &ticket, &body.value).await?;
        let correction = corrections::append(tx, &correction).await?.into();
        Ok(Reply::json(&RecordedCorrection { correction, worked })?.with_status(201))
    })
    .await
}

/// The answer to a weighing, by what is on record of the ticket.
async fn weighed(
    state: &State,
    tx: &Tx,
    ticket: &Ticket,
    given: &Weighing,
) -> Result<(Correction, Vec<crate::wire::proportions::WorkedLine>), Problem> {
    let revision = MixRevision::find(tx, &ticket.revision).await?;
    let revision = revision.ok_or_else(|| Problem::internal("a ticket is of a revision that is not there"))?.value;
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let recipe = on_record::recipe(&revision, &by_id);
    let panel = only_panel(tx, ticket).await?;
    let earlier = corrections::of_ticket(tx, ticket.number).await?;
    let recipe = recipe.as_ref().map_err(Vec::as_slice);
    let on = OnRecord { ticket, revision: &revision, recipe, panel: panel.as_ref(), earlier: &earlier };
    answer(&on, given, state.now()).map_err(Problem::faulty)
}

/// The panel a ticket fills, where it is one only.
async fn only_panel(tx: &Tx, ticket: &Ticket) -> Result<Option<Panel>, Problem> {
    let mut panels: Vec<_> = ticket.fills.iter().map(|fill| &fill.panel).collect();
    panels.dedup();
    match panels[..] {
        [one] => Ok(Panel::find(tx, one).await?.map(|found| found.value)),
        _ => Ok(None),
    }
}

#[utoipa::path(
    tag = "tickets", summary = "Say what was done after a correction",
    description = "Once for each correction; the same again is the same, other content is refused.",
    security(("token" = ["bench"])),
    params(("number" = inline(Id), Path, description = "The ticket's number", example = "2026-05-04-01"), ("sequence" = i64, Path, description = "Which of its corrections, counted from 1", minimum = 1, maximum = 100000)),
    request_body = GivenDone,
    responses((status = 200, description = "It is kept", body = TicketCorrection))
)]
#[post("/tickets/{number}/corrections/{sequence}/done")]
async fn done(state: Data<State>, path: Path<(String, i64)>, body: Body<GivenDone>) -> Answer {
    let (text, sequence) = path.into_inner();
    let number = number(&text)?;
    once(&state, &body.asked, async |tx| {
        let all = corrections::of_ticket(tx, number).await?;
        let found = all.into_iter().find(|one| one.sequence == sequence);
        let found = found.ok_or_else(|| Problem::not_found("correction", format!("{sequence} of ticket {number}")))?;
        let said = found.done_as_answered(Done { at: state.now(), ..body.value.clone() });
        if found.done.as_ref().is_some_and(|done| same(done, &said)) {
            return Reply::json(&TicketCorrection::from(found));
        }
        Reply::json(&TicketCorrection::from(corrections::append_done(tx, number, sequence, &said).await?))
    })
    .await
}

/// Whether the same was said, whenever.
fn same(kept: &Done, said: &Done) -> bool {
    *kept == Done { at: kept.at, ..said.clone() }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(done).service(list).service(create);
}
