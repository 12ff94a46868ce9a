//! Who changed what.

use actix_web::get;
use actix_web::web::{Data, Query};
use chrono::{DateTime, Utc};
use feeds::table::Table;
use serde::Deserialize;
use store::Tx;
use store::trail::Which;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

use super::tables::MOST;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::http::reply::Answer;
use crate::state::State;
use crate::wire::trail::RecordedChange;

/// Which changes.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct ChangeFilter {
    /// Only those of things of this kind, as orders or web-hooks: the first part of their path.
    #[param(min_length = 1, max_length = 100)]
    pub kind: Option<String>,
    /// Only those of things with this id.
    #[param(min_length = 1, max_length = 200)]
    pub id: Option<String>,
    /// Only those made with the token of this name.
    #[param(min_length = 1, max_length = 200)]
    pub by: Option<String>,
    /// Only those made at this moment or later.
    pub from: Option<DateTime<Utc>>,
    /// Only those made before this moment.
    pub until: Option<DateTime<Utc>>,
}

impl From<&ChangeFilter> for Which {
    fn from(filter: &ChangeFilter) -> Self {
        let ChangeFilter { kind, id, by, from, until } = filter.clone();
        Self { kind, id, by, from, until }
    }
}

#[utoipa::path(
    tag = "changes", summary = "Who changed what",
    description = "Every change that was asked for and made: what was made, changed, removed or done, when, with whose token, and each field before and after. In the order of writing, in pages. Nothing of it is ever changed, and no secret is in it.",
    security(("token" = ["office"])), params(ChangeFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<RecordedChange>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/changes")]
async fn list(state: Data<State>, filter: Query<ChangeFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse::<i64>().ok())?;
    let tx = state.store.read().await?;
    let found = store::trail::page(&tx, &Which::from(&*filter), after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let moment = |at: Option<DateTime<Utc>>| at.map(|at| at.to_rfc3339());
    let ChangeFilter { kind, id, by, from, until } = filter.into_inner();
    let filters = [("kind", kind), ("id", id), ("by", by), ("from", moment(from)), ("until", moment(until))];
    page.reply("/changes", &filters, found, |change| change.number.to_string(), RecordedChange::from)
}

async fn tables(_: &State, tx: &Tx, filter: &Query<ChangeFilter>) -> Result<Vec<Table>, Problem> {
    let found = store::trail::page(tx, &Which::from(&**filter), None, MOST).await?;
    Ok(vec![feeds::trail::table(&found)])
}

feed!(
    /// Who changed what, as a table.
    files, role: "office", tag: "changes", csv: "/changes.csv", xlsx: "/changes.xlsx", summary: "Who changed what",
    about: "One row for each field of each change, what it was and became as JSON. For the office; no feed token opens it.",
    example: "change,at_utc,by,kind,id,act,field,before,after\r\n812,2026-05-04T08:12:30Z,office laptop,orders,TH-1042,changed,due_on,\"\"\"2026-06-12\"\"\",\"\"\"2026-06-19\"\"\"\r\n",
    params: [ChangeFilter,], args: (filter: Query<ChangeFilter>), tables: tables,
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list);
    files::configure(service);
}
