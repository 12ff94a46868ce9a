//! Imports: CSV and XLSX of our own exports' columns, or of others with a stated mapping. All or nothing.
//!
//! [`taken`] is the way of all of them: the file is read off the request's thread ([`feeds::intake`]), held against the records
//! in the transaction that takes it, and either reported with every fault or written.

mod counts;
mod deliveries;
mod nouns;

use std::collections::BTreeMap;

use actix_web::web::{self, Query};
use feeds::intake::fault::in_order;
use feeds::intake::form::Form;
use feeds::intake::{CellFault, Grid, Way, days, numbers, sheet};
use serde::Deserialize;
use store::Tx;
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;

use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply, once};
use crate::http::upload::Upload;
use crate::state::State;
use crate::wire::imports::{ColumnRead, ImportReport, RowFault};

/// How an import is to be read, and whether it is to be tried only.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct ImportQuery {
    /// 1 only says what the import would do, with every fault, and changes nothing.
    #[param(minimum = 0, maximum = 1)]
    pub check: Option<u8>,
    /// Our columns with the headers the file has for them, as a JSON object: {"due_on": "Wanted", "pack_kg": "Bag (kg)"}. What
    /// it does not name and is none of ours is passed over.
    #[param(max_length = 8000, example = json!("{\"due_on\": \"Wanted by\"}"))]
    pub map: Option<String>,
    /// The decimal sign of all numbers; read off each column where it is not stated.
    #[param(inline)]
    pub decimal: Option<DecimalSign>,
    /// Whether days have their day (dmy) or month (mdy) first; read off each column where it is not stated.
    #[param(inline)]
    pub dates: Option<DateOrder>,
    /// The sheet of a workbook; the one called like the table, or the only one, where it is not stated.
    #[param(max_length = 31)]
    pub sheet: Option<String>,
}

/// A decimal sign.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
pub enum DecimalSign {
    /// 1,234.5
    #[serde(rename = ".")]
    Point,
    /// 1.234,5
    #[serde(rename = ",")]
    Comma,
}

/// The order of day and month.
#[derive(Clone, Copy, Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DateOrder {
    /// 31/12/2026
    Dmy,
    /// 12/31/2026
    Mdy,
}

impl ImportQuery {
    fn way(&self) -> Result<Way, Problem> {
        let map = match self.map.as_deref() {
            None => BTreeMap::new(),
            Some(text) => serde_json::from_str(text).map_err(|_| {
                let detail = "map is no JSON object of texts: give our columns with the file's headers, as {\"due_on\": \"Wanted\"}";
                Problem::bad_request(vec![Fault::at("/query/map", detail)])
            })?,
        };
        let decimal = self.decimal.map(|sign| match sign {
            DecimalSign::Point => numbers::Sign::Point,
            DecimalSign::Comma => numbers::Sign::Comma,
        });
        let dates = self.dates.map(|order| match order {
            DateOrder::Dmy => days::Order::DayFirst,
            DateOrder::Mdy => days::Order::MonthFirst,
        });
        Ok(Way { map, decimal, dates, sheet: self.sheet.clone() })
    }
}

/// What a file would do to the records.
#[derive(Debug)]
struct Judged<C> {
    entries: usize,
    new: usize,
    changed: usize,
    unchanged: usize,
    faults: Vec<CellFault>,
    warnings: Vec<CellFault>,
    changes: C,
}

/// How one kind of file is taken.
trait Import {
    /// What it is read as.
    const FORM: &'static Form;
    /// What is to be written.
    type Changes: Default;

    /// Holds it against the records.
    async fn judge(state: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Self::Changes>, Problem>;

    /// Writes it.
    async fn write(state: &State, tx: &Tx, changes: Self::Changes) -> Result<(), Problem>;
}

impl<C: Default> Judged<C> {
    fn of(entries: usize, faults: Vec<CellFault>) -> Self {
        Self { entries, new: 0, changed: 0, unchanged: 0, faults, warnings: Vec::new(), changes: C::default() }
    }
}

/// Takes a file, or says what it would do.
async fn taken<I: Import>(state: &State, query: &Query<ImportQuery>, upload: Upload) -> Answer {
    let Upload { bytes, format, asked } = upload;
    let way = query.way()?;
    let read = web::block(move || {
        let sheet = sheet::read(&bytes, format, &way, I::FORM.name)?;
        Grid::read(&sheet, I::FORM, &way)
    });
    let read = read.await.map_err(Problem::internal)?;
    let checks_only = query.check == Some(1);
    let (grid, faults) = match read {
        Ok(read) => read,
        Err(faults) if checks_only => {
            let faults = in_order(faults).into_iter().map(RowFault::from).collect();
            return Reply::json(&ImportReport { checked_only: true, faults, ..ImportReport::default() });
        }
        Err(faults) => return Err(faulty(faults)),
    };
    if checks_only {
        let tx = state.store.read().await?;
        let judged = judge::<I>(state, &tx, &grid, faults).await?;
        tx.rollback().await?;
        return Reply::json(&report(&grid, &judged, true));
    }
    once(state, &asked, async |tx| {
        let mut judged = judge::<I>(state, tx, &grid, faults).await?;
        if !judged.faults.is_empty() {
            return Err(faulty(judged.faults));
        }
        I::write(state, tx, std::mem::take(&mut judged.changes)).await?;
        Reply::json(&report(&grid, &judged, false))
    })
    .await
}

async fn judge<I: Import>(
    state: &State,
    tx: &Tx,
    grid: &Grid,
    read: Vec<CellFault>,
) -> Result<Judged<I::Changes>, Problem> {
    let mut judged = I::judge(state, tx, grid).await?;
    judged.faults.extend(read);
    judged.faults = in_order(judged.faults);
    judged.warnings = in_order(judged.warnings);
    Ok(judged)
}

fn report<C>(grid: &Grid, judged: &Judged<C>, checked_only: bool) -> ImportReport {
    let rows = |faults: &[CellFault]| faults.iter().cloned().map(RowFault::from).collect();
    ImportReport {
        checked_only,
        entries: judged.entries,
        new: judged.new,
        changed: judged.changed,
        unchanged: judged.unchanged,
        columns: ColumnRead::all(grid),
        passed_over: grid.passed_over.clone(),
        faults: rows(&judged.faults),
        warnings: rows(&judged.warnings),
    }
}

/// Every fault, by line and column.
fn faulty(faults: Vec<CellFault>) -> Problem {
    let fault = |fault: CellFault| {
        let value = fault.value.map(|value| format!(" ('{value}')")).unwrap_or_default();
        match fault.column {
            Some(column) => {
                let pointer = format!("/{}/{}", fault.line, column.replace('~', "~0").replace('/', "~1"));
                Fault::at(pointer, format!("line {}, column {column}{value}: {}", fault.line, fault.detail))
            }
            None => Fault::at(format!("/{}", fault.line), format!("line {}: {}", fault.line, fault.detail)),
        }
    };
    Problem::faulty(in_order(faults).into_iter().map(fault).collect())
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    nouns::configure(service);
    deliveries::configure(service);
    counts::configure(service);
}

/// One import's operation, with its documentation.
macro_rules! import {
    (
        $name:ident, $import:ty, path: $path:literal, tag: $tag:literal, summary: $summary:literal, about: $about:literal,
        example: $example:literal, role: $role:literal $(,)?
    ) => {
        #[utoipa::path(
            tag = $tag, summary = $summary,
            description = concat!($about, " All or nothing: every fault is listed by line and column (pointer /LINE/COLUMN), and the same file again changes nothing. At most 20,000 rows and 8 MiB."),
            security(("token" = [$role])),
            params(crate::resources::imports::ImportQuery),
            request_body(content(
                (String = "text/csv", example = $example),
                (String = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", example = "PK…"),
            )),
            responses((status = 200, description = "What was done, or would be", body = crate::wire::imports::ImportReport))
        )]
        #[post($path)]
        async fn $name(
            state: actix_web::web::Data<crate::state::State>,
            query: actix_web::web::Query<crate::resources::imports::ImportQuery>,
            upload: crate::http::upload::Upload,
        ) -> crate::http::reply::Answer {
            crate::resources::imports::taken::<$import>(&state, &query, upload).await
        }
    };
}
use import;
