//! Orders as CSV: taken away and brought along in the same columns.

use actix_web::post;
use actix_web::web::{Data, Query};
use feeds::table::Table;
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::checks::order::{past_due, range_faults};
use workshop::orders::Order;

use super::orders::range;
use crate::files::orders::{Draft, drafts};
use crate::http::body::Text;
use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::http::reply::{Answer, Reply, once};
use crate::state::State;
use crate::wire::orders::{ImportReport, RowFault};

async fn tables(_: &State, tx: &Tx) -> Result<Vec<Table>, Problem> {
    Ok(vec![feeds::orders::table(&Order::all(tx).await?)])
}

feed!(
    /// All orders as a table.
    files, tag: "orders", csv: "/orders.csv", xlsx: "/orders.xlsx", summary: "All orders",
    about: "One row for each line of an order; the import takes the same columns.",
    example: "order,customer,due_on,promised_on,priority,state,set,panel,finish,quantity,note,line\r\n",
    params: [], args: (), tables: tables,
);

/// Whether an import is to be tried only.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct ImportQuery {
    /// 1 only says what the import would do.
    #[param(minimum = 0, maximum = 1)]
    pub check: Option<u8>,
}

#[utoipa::path(
    tag = "orders", summary = "Import orders from CSV",
    description = "All or nothing, in the columns of the export; every fault is listed by line and column (pointer /LINE/COLUMN). A due day in the past is taken with a warning. The same file again changes nothing.",
    params(ImportQuery),
    request_body(content = String, content_type = "text/csv", example = "order,customer,due_on,promised_on,priority,state,set,panel,finish,quantity,note\r\nTH-1042,Wren Lane Allotments,2026-06-12,,usual,open,bed-900x600,,grey-smooth,4,\r\n"),
    responses((status = 200, description = "What was done, or would be", body = ImportReport))
)]
#[post("/orders/import")]
async fn import(state: Data<State>, query: Query<ImportQuery>, body: Text) -> Answer {
    if query.check == Some(1) {
        let tx = state.store.read().await?;
        let (report, _) = judge(&state, &tx, &body.text).await?;
        tx.rollback().await?;
        return Reply::json(&ImportReport { checked_only: true, ..report });
    }
    once(&state, &body.asked, async |tx| {
        let (report, changes) = judge(&state, tx, &body.text).await?;
        if !report.faults.is_empty() {
            return Err(Problem::faulty(report.faults.iter().map(problem_fault).collect()));
        }
        for change in changes {
            match change {
                Change::New(order) => Order::insert(tx, &order).await?,
                Change::Other(order, version) => Order::replace(tx, &order, version).await?,
            };
        }
        Reply::json(&report)
    })
    .await
}

fn problem_fault(row: &RowFault) -> Fault {
    let column = row.column.as_deref().unwrap_or_default();
    let place =
        if column.is_empty() { format!("line {}", row.line) } else { format!("line {}, column {column}", row.line) };
    let pointer = format!("/{}/{column}", row.line);
    Fault::at(pointer.trim_end_matches('/'), format!("{place}: {}", row.detail))
}

enum Change {
    New(Order),
    Other(Order, i64),
}

/// What importing the file would do to the records as they are, and what speaks against it.
async fn judge(state: &State, tx: &Tx, text: &str) -> Result<(ImportReport, Vec<Change>), Problem> {
    let (drafts, faults) = drafts(text);
    let (today, range) = (state.today(tx).await?, range(tx).await?);
    let mut report = ImportReport { orders: drafts.len(), faults, ..ImportReport::default() };
    let mut changes = Vec::new();
    for draft in drafts {
        let found = Order::find(tx, &draft.order.id).await?;
        if found.as_ref().is_some_and(|there| there.value == draft.order) {
            report.unchanged += 1;
            continue;
        }
        let row = |fault: &Fault| draft.row_fault(fault);
        report.faults.extend(range_faults(&draft.order.lines, &range).iter().map(row));
        report.warnings.extend(past_due(&draft.order, today).iter().map(row));
        let Draft { order, .. } = draft;
        match found {
            None => {
                report.new += 1;
                changes.push(Change::New(order));
            }
            Some(there) => {
                report.changed += 1;
                changes.push(Change::Other(order, there.version));
            }
        }
    }
    report.faults.sort();
    Ok((report, changes))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    files::configure(service);
    service.service(import);
}
