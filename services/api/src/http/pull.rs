//! Feeds: what spreadsheets, calendars and scripts pull again and again.
//!
//! A feed's ETag is weak and made from all of its content, so an answer of 304 cannot be wrong. Its Last-Modified is a
//! second that the store gives out once for each content of each feed ([`store::pulls`]); 304 is answered only to exactly
//! that second, and only where the client sent no ETag.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest};
use chrono::{DateTime, Utc};
use feeds::table::{Style, Table, XlsxFault, workbook};
use serde::Deserialize;
use sha2::{Digest, Sha256};
use store::Tx;
use utoipa::{IntoParams, ToSchema};

use super::document::DOCUMENT;
use super::problem::{Kind, Problem};
use super::reply::{Answer, IfNoneMatch, Reply};
use crate::state::State;

/// The media type of a workbook.
pub const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
/// The media type of CSV.
pub const CSV: &str = "text/csv; charset=utf-8";

/// How a CSV file is written.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct CsvStyle {
    /// 1 puts a byte order mark in front.
    #[param(minimum = 0, maximum = 1)]
    pub bom: Option<u8>,
    /// A comma gives decimal commas, with semicolons between the fields.
    #[param(max_length = 1)]
    pub decimal: Option<String>,
}

impl CsvStyle {
    /// As the feeds know it.
    pub fn style(&self) -> Style {
        Style { bom: self.bom == Some(1), decimal_comma: self.decimal.as_deref() == Some(",") }
    }
}

/// Systems of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum System {
    /// Metric units, as they are kept.
    #[default]
    Si,
    /// US customary units.
    Us,
}

/// In which units a table is written.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct TableUnits {
    /// us gives US customary units (lb, US gal, US fl oz, in, ft², lb/ft³, psi, °F), each named at the end of its column's name;
    /// an import takes them as well.
    #[param(inline)]
    pub units: Option<System>,
}

/// In which format tables are wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// The first table, as text.
    Csv(Style),
    /// All tables, a sheet each.
    Xlsx,
}

/// Which feed is pulled, and what the client has of it already.
#[derive(Clone, Debug)]
pub struct Pull {
    feed: String,
    known: Option<IfNoneMatch>,
    since: Option<String>,
}

/// The key under which a feed pull may carry its token.
pub const FEED_TOKEN: &str = "feed_token";

impl FromRequest for Pull {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let text = |name| request.headers().get(name).and_then(|v| v.to_str().ok()).map(str::to_owned);
        let known = request.headers().contains_key(header::IF_NONE_MATCH);
        let known = known.then(|| IfNoneMatch::from_request(request, payload).into_inner());
        ready(known.transpose().map(|known| Self {
            feed: feed_key(request.path(), request.query_string()),
            known,
            since: text(header::IF_MODIFIED_SINCE),
        }))
    }
}

/// What a feed is kept under: its path and those keys of the query that are documented, in one order, with their values. Keys
/// that programs add of their own make no feed of their own, and a token is in none, however it is written: what is kept of a
/// pull must open nothing.
fn feed_key(path: &str, query: &str) -> String {
    let operation = DOCUMENT.routes.find(path).and_then(|(route, _)| route.operations.get("GET"));
    let documented = |name: &str| operation.is_some_and(|known| known.query.iter().any(|p| p.name == name));
    let pairs = actix_web::web::Query::<Vec<(String, String)>>::from_query(query).map(|pairs| pairs.into_inner());
    let mut pairs = pairs.unwrap_or_default();
    pairs.retain(|(name, _)| documented(name));
    pairs.sort();
    let written: Vec<String> = pairs.into_iter().map(|(name, value)| format!("{name}={value}")).collect();
    format!("{path}?{}", written.join("&"))
}

impl Pull {
    /// Answers with the tables that `read` makes of one snapshot, in the format wanted.
    ///
    /// # Errors
    /// Those of `read` and of the database; 406 where a workbook cannot hold the tables.
    pub async fn tables<F>(self, state: &State, format: Format, units: &TableUnits, read: F) -> Answer
    where
        F: AsyncFnOnce(&Tx) -> Result<Vec<Table>, Problem>,
    {
        let tx = state.store.read().await?;
        let tables = read(&tx).await?;
        tx.rollback().await?;
        let tables = match units.units.unwrap_or_default() {
            System::Si => tables,
            System::Us => tables.into_iter().map(Table::in_us_units).collect(),
        };
        match format {
            Format::Csv(style) => {
                let text = tables.first().map(|table| table.csv(style)).unwrap_or_default();
                let hash = Sha256::digest(text.as_bytes());
                self.answer(state, &hash, CSV, || Ok(text.into_bytes())).await
            }
            Format::Xlsx => {
                let mut hash = Sha256::new_with_prefix("xlsx");
                tables.iter().for_each(|table| hash.update(format!("{table:?}\n")));
                self.answer(state, &hash.finalize(), XLSX, || workbook(&tables).map_err(too_large)).await
            }
        }
    }

    /// Answers with a body of this hash, unless the client has it.
    ///
    /// # Errors
    /// Those of `body`.
    pub async fn answer<F>(self, state: &State, hash: &[u8], media_type: &str, body: F) -> Answer
    where
        F: FnOnce() -> Result<Vec<u8>, Problem>,
    {
        let tag: String = hash.iter().take(12).map(|byte| format!("{byte:02x}")).collect();
        let tag = format!("W/\"{tag}\"");
        let modified = last_modified(state, &self.feed, hash).await;
        let date = modified.map(|at| at.format("%a, %d %b %Y %H:%M:%S GMT").to_string());
        let unchanged = match &self.known {
            Some(known) => known.holds(&tag),
            None => date.is_some() && self.since == date,
        };
        let reply = if unchanged { Reply::unchanged() } else { Reply::bytes(body()?, media_type) };
        let reply = reply
            .with_header("ETag", tag)
            .with_header("Cache-Control", "private, no-cache")
            .with_header("Referrer-Policy", "no-referrer");
        Ok(match date {
            Some(date) => reply.with_header("Last-Modified", date),
            None => reply,
        })
    }
}

/// The second this content has as its own; nothing where it cannot be kept now, or where it is still to come.
async fn last_modified(state: &State, feed: &str, hash: &[u8]) -> Option<DateTime<Utc>> {
    let now = state.now();
    let given = match store::pulls::second_of(&state.store, feed, hash, now).await {
        Ok(given) => given,
        Err(error) => {
            tracing::warn!(%error, "a feed is answered without Last-Modified");
            return None;
        }
    };
    (given <= now).then_some(given)
}

fn too_large(fault: XlsxFault) -> Problem {
    match fault {
        XlsxFault::Writer(cause) => Problem::internal(cause),
        limit => Problem::new(Kind::NotAcceptable, format!("{limit}.")),
    }
}

/// Two operations of a table, `.csv` and `.xlsx`, with their documentation. `tables` names a function of the state, the
/// transaction and references to the arguments; CSV takes the first of the tables it gives.
macro_rules! feed {
    (
        $(#[$doc:meta])*
        $name:ident, $(role: $role:literal,)? tag: $tag:literal, csv: $csv:literal, xlsx: $xlsx:literal, summary: $summary:literal, about: $about:literal,
        example: $example:literal, params: [$($param:tt)*], args: ($($arg:ident: $kind:ty),*), tables: $tables:path $(,)?
    ) => {
        $(#[$doc])*
        pub mod $name {
            #[allow(unused_imports, reason = "some feeds take parameters, others none")]
            use super::*;
            use crate::http::pull::{CsvStyle, Format, Pull, TableUnits};
            use crate::http::reply::Answer;
            use crate::state::State;
            use actix_web::get;
            use actix_web::web::{Data, Query};
            use utoipa_actix_web::service_config::ServiceConfig;

            #[utoipa::path(
                tag = $tag, summary = concat!($summary, " as CSV"), description = $about, $(security(("token" = [$role])),)? params($($param)* TableUnits, CsvStyle),
                responses((status = 200, description = "The table", body = String, content_type = "text/csv", example = $example))
            )]
            #[get($csv)]
            async fn csv(state: Data<State>, pull: Pull, units: Query<TableUnits>, style: Query<CsvStyle>, $($arg: $kind),*) -> Answer {
                pull.tables(&state, Format::Csv(style.style()), &units, async |tx| $tables(&state, tx, $(&$arg),*).await).await
            }

            #[utoipa::path(
                tag = $tag, summary = concat!($summary, " as XLSX"), description = concat!($about, " Typed cells, a sheet for each table."), $(security(("token" = [$role])),)? params($($param)* TableUnits),
                responses((status = 200, description = "The workbook", body = String, content_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", example = "PK…"))
            )]
            #[get($xlsx)]
            async fn xlsx(state: Data<State>, pull: Pull, units: Query<TableUnits>, $($arg: $kind),*) -> Answer {
                pull.tables(&state, Format::Xlsx, &units, async |tx| $tables(&state, tx, $(&$arg),*).await).await
            }

            /// Adds the operations to the service and its document.
            pub fn configure(service: &mut ServiceConfig) {
                service.service(csv).service(xlsx);
            }
        }
    };
}
pub(crate) use feed;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_feed_is_kept_under_what_is_documented_of_it() {
        let key = |query| feed_key("/orders.csv", query);
        assert_eq!(key("feed_token=mf_abc&bom=1"), "/orders.csv?bom=1");
        assert_eq!(key("feed%5Ftoken=mf_abc"), "/orders.csv?", "written in another way");
        assert_eq!(
            key("decimal=%2C&_=1764453600&bom=1"),
            "/orders.csv?bom=1&decimal=,",
            "with keys of a program's own"
        );
        assert_eq!(key("bom=1&decimal=,"), key("decimal=%2C&bom=1"));
        assert_eq!(key("%ff=x"), "/orders.csv?");
    }
}
