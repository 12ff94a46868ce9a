//! Single moulds: what each has been through.

use actix_web::get;
use actix_web::web::{Data, Path, Query};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::MouldGroup;

use super::nouns::id_of;
use crate::http::paging::PageOfAll;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::state::State;
use crate::wire::Id;
use crate::wire::moulds::Mould;

#[utoipa::path(
    tag = "mould groups", summary = "The moulds of a group", description = "Each with its uses, whether it is taken or out of service, and a warning where it nears the end of its life.",
    params(("id" = inline(Id), Path, description = "The group's id", example = "side-moulds"), PageOfAll),
    responses((status = 200, description = "A page of them, by their numbers", body = Vec<Mould>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/mould-groups/{id}/moulds")]
async fn of_group(state: Data<State>, id: Path<String>, page: Query<PageOfAll>) -> Answer {
    let id = id_of::<MouldGroup>(&id)?;
    let tx = state.store.read().await?;
    let (shelves, today) = (store::moulds::shelves(&tx).await?, state.today(&tx).await?);
    tx.rollback().await?;
    let shelf = shelves.iter().find(|s| s.group.id == id).ok_or_else(|| Problem::not_found("mould group", &id))?;
    let (path, all) = (format!("/mould-groups/{id}/moulds"), Mould::all(shelf, today));
    page.into_inner().reply(&path, &[], all, |mould| mould.number.to_string(), |mould| mould)
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(of_group);
}
