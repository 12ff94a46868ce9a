//! Orders as a table.

use feeds::table::Table;
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::orders::Order;

use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::state::State;

async fn tables(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![feeds::orders::table(&Order::all(tx).await?)])
}

feed!(
    /// All orders as a table.
    files, tag: "orders", csv: "/orders.csv", xlsx: "/orders.xlsx", summary: "All orders",
    about: "One row for each line of an order; the import takes the same columns.",
    example: "order,customer,due_on,promised_on,priority,state,set,panel,finish,quantity,note,line,parts_agreed\r\n",
    params: [], args: (), tables: tables,
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    files::configure(service);
}
