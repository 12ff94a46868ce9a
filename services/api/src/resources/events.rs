//! What happened, for those who would rather ask than be told.

use actix_web::get;
use actix_web::web::{Data, Query};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use crate::http::paging::Page;
use crate::http::reply::Answer;
use crate::state::State;
use crate::wire::notices::{Event, NoticeKind};

/// Which events.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct EventFilter {
    /// Only those of this kind.
    #[param(inline)]
    pub kind: Option<NoticeKind>,
}

#[utoipa::path(
    tag = "notices", summary = "List events",
    description = "In the order they happened, in pages. A script keeps the id of the last one it saw and asks for those after it: none is missed, and none comes twice.",
    params(EventFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<Event>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/events")]
async fn list(state: Data<State>, filter: Query<EventFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse::<i64>().ok())?;
    let tx = state.store.read().await?;
    let found = store::notices::page(&tx, filter.kind.map(Into::into), after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let word = filter.kind.map(|kind| workshop::notices::Kind::from(kind).word().to_owned());
    page.reply("/events", &[("kind", word)], found, |notice| notice.id.to_string(), Event::from)
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list);
}
