//! The pour plan in force as tables.

use std::collections::BTreeMap;

use feeds::pour_plan;
use feeds::table::Table;
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::Material;
use workshop::documents::Plan;

use super::plan::{InForce, none_in_force};
use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::state::State;

async fn in_force(tx: &Tx) -> Result<Plan, Problem> {
    Ok(InForce::read(tx).await?.ok_or_else(none_in_force)?.plan)
}

/// Calendar days from order to arrival of each material.
async fn lead_days(tx: &Tx) -> Result<BTreeMap<String, u64>, Problem> {
    let days = |m: Material| (m.id.to_string(), m.lead_days.max(0).unsigned_abs());
    Ok(Material::all(tx).await?.into_iter().map(days).collect())
}

async fn all(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    let (plan, lead) = (in_force(tx).await?, lead_days(tx).await?);
    Ok(pour_plan::tables(&plan, |material| lead.get(material).copied()))
}

async fn pours(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![pour_plan::pours(&in_force(tx).await?)])
}

async fn strips(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![pour_plan::strips(&in_force(tx).await?)])
}

async fn lifts(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![pour_plan::lifts(&in_force(tx).await?)])
}

async fn batches(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![pour_plan::batches(&in_force(tx).await?)])
}

async fn deliveries(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    let (plan, lead) = (in_force(tx).await?, lead_days(tx).await?);
    Ok(vec![pour_plan::deliveries(&plan, |material| lead.get(material).copied())])
}

async fn orders(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![pour_plan::orders(&in_force(tx).await?)])
}

feed!(
    /// All of it.
    plan, tag: "planning", csv: "/plan.csv", xlsx: "/plan.xlsx", summary: "The plan in force",
    about: "One row for each pour, strip and lift, in the order of the work.",
    example: "day,task,panel,mix,quantity_panels,tank,rack\r\n2026-05-04,pour,bed-side-900,foamed-grey@2,6,,\r\n",
    params: [], args: (), tables: all,
);
feed!(
    /// Its pours.
    plan_pours, tag: "planning", csv: "/plan/pours.csv", xlsx: "/plan/pours.xlsx", summary: "Pours of the plan in force",
    about: "By day.", example: "day,panel,mix,quantity_panels\r\n2026-05-04,bed-side-900,foamed-grey@2,6\r\n",
    params: [], args: (), tables: pours,
);
feed!(
    /// Its strips.
    plan_strips, tag: "planning", csv: "/plan/strips.csv", xlsx: "/plan/strips.xlsx", summary: "Strips of the plan in force",
    about: "By day, with the tank the panels go into.",
    example: "day,panel,mix,quantity_panels,tank\r\n2026-05-05,bed-side-900,foamed-grey@2,6,north-tank\r\n",
    params: [], args: (), tables: strips,
);
feed!(
    /// Its lifts.
    plan_lifts, tag: "planning", csv: "/plan/lifts.csv", xlsx: "/plan/lifts.xlsx", summary: "Lifts of the plan in force",
    about: "By day, with the tank the panels come from and the rack they go onto.",
    example: "day,panel,mix,quantity_panels,tank,rack\r\n2026-05-12,bed-side-900,foamed-grey@2,6,north-tank,long-rack\r\n",
    params: [], args: (), tables: lifts,
);
feed!(
    /// Its batches.
    plan_batches, tag: "planning", csv: "/plan/batches.csv", xlsx: "/plan/batches.xlsx", summary: "Batches of the plan in force",
    about: "By day, one row for each batch.", example: "day,mix,batch,batch_volume_l\r\n2026-05-04,foamed-grey@2,1,31.500\r\n",
    params: [], args: (), tables: batches,
);
feed!(
    /// What it wants ordered.
    plan_deliveries, tag: "planning", csv: "/plan/deliveries.csv", xlsx: "/plan/deliveries.xlsx",
    summary: "What the plan in force wants ordered", about: "By the day it is to arrive, with the last day to order it.",
    example: "arrives_on,material,quantity_packs,order_by\r\n2026-05-18,cement,20,2026-05-15\r\n",
    params: [], args: (), tables: deliveries,
);
feed!(
    /// What each order gets.
    plan_orders, tag: "planning", csv: "/plan/orders.csv", xlsx: "/plan/orders.xlsx", summary: "What the plan in force gives each order",
    about: "One row for each panel and day; blank where an order is not whole by the last day.",
    example: "order,ready_on,given_on,panel,finish,quantity_panels\r\nTH-1042,2026-06-10,2026-06-10,bed-side-900,grey-smooth,8\r\n",
    params: [], args: (), tables: orders,
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    plan::configure(service);
    plan_pours::configure(service);
    plan_strips::configure(service);
    plan_lifts::configure(service);
    plan_batches::configure(service);
    plan_deliveries::configure(service);
    plan_orders::configure(service);
}
