//! How long each material lasts.

use actix_web::get;
use actix_web::web::{Data, Query};
use chrono::{Days, NaiveDate as Day};
use feeds::table::Table;
use serde::Deserialize;
use store::{Record, Tx, deliveries, runs, site, stock, tickets};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Material, Supply};
use workshop::ids::MaterialId;
use workshop::planning::WorkCalendar;
use workshop::projection::{Known, Planned, project};
use workshop::site::CalendarDay;

use super::plan::{facts_of, plan_of};
use crate::http::paging::PageOfAll;
use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::http::reply::Answer;
use crate::state::State;
use crate::wire::projection::Projection;

/// Days looked ahead where there is no plan.
const WITHOUT_PLAN: u64 = 60;

/// Which materials.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Filter {
    /// Only this one.
    #[param(min_length = 1, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$")]
    pub material: Option<String>,
}

/// Materials with their projections, in the order of their ids.
pub type Projected = Vec<(Material, workshop::projection::Projection)>;

/// Projects the materials asked for.
///
/// # Errors
/// 404 where there is no workshop or no such material; those of the database.
pub async fn read_projections(state: &State, tx: &Tx, filter: &Filter) -> Result<Projected, Problem> {
    let workshop = site::get(tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?.value;
    let wanted = filter.material.as_deref().and_then(|text| MaterialId::parse(text).ok());
    let mut materials = Material::all(tx).await?;
    materials.retain(|m| m.supply != Supply::Mains && wanted.as_ref().is_none_or(|w| m.id == *w));
    if let Some(wanted) = wanted.filter(|_| materials.is_empty()) {
        return Err(Problem::not_found("counted material", wanted));
    }
    let today = state.today(tx).await?;
    let (known, last_day) = known(tx, today).await?;
    let said = CalendarDay::all(tx).await?;
    let calendar = WorkCalendar::new(&workshop, &said);
    let projected = materials.into_iter().map(|material| {
        let projection = project(&material, &known.outlook(&material), &calendar, today, last_day);
        (material, projection)
    });
    Ok(projected.collect())
}

/// What is on hand, on its way, planned and ticketed; and the last day of the plan.
pub(super) async fn known(tx: &Tx, today: Day) -> Result<(Known, Day), Problem> {
    let documents = match runs::in_force(tx).await? {
        Some((run, ..)) => {
            let documents = runs::documents(tx, run).await?;
            let since = deliveries::since(tx, run).await?;
            Some((facts_of(run, documents.facts.as_deref())?, plan_of(run, documents.plan.as_deref())?, since))
        }
        None => None,
    };
    let issued = tickets::is_issued(tx, today).await?;
    let tickets: Vec<_> = tickets::of_day(tx, today).await?.into_iter().map(|t| t.value).collect();
    let planned = documents.as_ref().map(|(facts, plan, since)| Planned { facts, plan, since });
    let (on_hand, on_their_way) = (stock::on_hand(tx).await?, deliveries::on_their_way(tx).await?);
    let forgotten: Vec<_> = tickets::open_before(tx, today).await?.into_iter().map(|t| t.value).collect();
    let known = Known::new(today, on_hand, on_their_way, planned, issued.then_some(&*tickets)).less_open(&forgotten);
    let last_day = documents.map_or(today + Days::new(WITHOUT_PLAN), |(facts, ..)| facts.last_day.max(today));
    Ok((known, last_day))
}

#[utoipa::path(
    tag = "stock", summary = "How long each material lasts",
    description = "Day by day what is used, arrives and is left; the first day that would be short, the last day to order, and one sentence.",
    params(Filter, PageOfAll),
    responses((status = 200, description = "All counted materials in pages, or the one asked for", body = Vec<Projection>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/stock/projection")]
async fn read(state: Data<State>, filter: Query<Filter>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let projected = read_projections(&state, &tx, &filter).await?;
    tx.rollback().await?;
    let filters = [("material", filter.into_inner().material)];
    let form = |(m, p): (Material, workshop::projection::Projection)| Projection::of(&m, p);
    page.into_inner().reply("/stock/projection", &filters, projected, |(m, _)| m.id.to_string(), form)
}

async fn tables(state: &State, tx: &Tx, filter: &Query<Filter>) -> Result<Vec<Table>, Problem> {
    let projected = read_projections(state, tx, filter).await?;
    Ok(vec![feeds::outlook::table(projected.iter().map(|(m, p)| (m, p)))])
}

feed!(
    /// The projection as a table.
    files, tag: "stock", csv: "/stock/projection.csv", xlsx: "/stock/projection.xlsx", summary: "How long each material lasts",
    about: "One row for each material and day.",
    example: "material,unit,day,used_in_unit,expected_in_unit,to_order_in_unit,on_hand_in_unit,on_hand_if_nothing_is_ordered_in_unit,floor_in_unit,first_short_day,order_by\r\n",
    params: [Filter,], args: (filter: Query<Filter>), tables: tables,
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    files::configure(service);
    service.service(read);
}
