//! The ledger, newest line first: what came, what was drawn by which ticket, what was counted; and taking a line back.

use std::collections::BTreeSet;

use actix_web::get;
use actix_web::web::Query;
use maud::{Markup, html};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Amount, StockUnit};
use workshop::ids::{MaterialId, StockEntryId};
use workshop::stock::{EntryKind, StockEntry};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::stock as words;
use crate::http::reply::Answer;

/// Lines on a page.
const LINES: u64 = 100;

/// Which lines.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Lines {
    /// Only those of this material.
    #[param(min_length = 1, max_length = 60, pattern = "^[A-Za-z0-9][A-Za-z0-9._@-]*$")]
    pub material: Option<String>,
    /// Only those written before the line of this number.
    #[param(minimum = 1)]
    pub before: Option<i64>,
}

#[utoipa::path(
    tag = "pages", summary = "The ledger's page", description = "Its lines, the newest first, each with what is left after it.",
    params(Lines), responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/stock/ledger")]
async fn ledger(state: Visit, lines: Query<Lines>) -> Answer {
    let material = lines.material.as_deref().and_then(|text| MaterialId::parse(text).ok());
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let found = store::stock::newest(&tx, material.as_ref(), lines.before.map(StockEntryId::new), LINES).await?;
    tx.rollback().await?;
    let countered: BTreeSet<StockEntryId> = found.iter().filter_map(|line| line.entry.counters).collect();
    let earlier = found.last().filter(|_| found.len() as u64 == LINES).map(|line| line.id);
    let also = material.as_ref().map_or_else(String::new, |id| format!("&material={id}"));
    let title = material
        .as_ref()
        .map_or_else(|| words::LEDGER.to_owned(), |id| words::ledger_of(frame.names.material(id.as_str())));
    let main = html! {
        p.no-print { a href="/pages/stock" { (words::TITLE) } @if material.is_some() { " · " a href="/pages/stock/ledger" { (words::ALL_MATERIALS) } } }
        @if found.is_empty() { p { (words::EMPTY_LEDGER) } } @else {
            div.wide { table {
                thead { tr { th { (words::DAY) } th { (words::MATERIAL) } th { (words::WHAT) } th { (words::CHANGE) } th { (words::LEFT) } th { "" } } }
                tbody { @for line in &found { (one(&frame, line, countered.contains(&line.id))) } }
            } }
        }
        @if let Some(id) = earlier { p.no-print { a href={ "/pages/stock/ledger?before=" (id) (also) } rel="next" { (words::EARLIER_LINES) } } }
    };
    Ok(frame.page(Place::Stock, &title, main))
}

fn one(frame: &Frame, line: &StockEntry, countered: bool) -> Markup {
    let entry = &line.entry;
    let unit = frame.names.unit(entry.material.as_str()).unwrap_or(StockUnit::Piece);
    let amount = |amount: Amount| frame.said.amount(amount, unit);
    let sign = if entry.amount > Amount::ZERO { "+" } else { "" };
    let may_go = !countered
        && matches!(entry.kind, EntryKind::Received | EntryKind::Counted | EntryKind::Adjusted | EntryKind::WrittenOff);
    html! {
        tr {
            td { (frame.said.day(entry.day)) } th scope="row" { (frame.names.material(entry.material.as_str())) }
            td {
                (kind(entry.kind)) @if let Some(ticket) = entry.ticket { (words::by_ticket(&ticket.to_string())) } @if let Some(counted) = entry.counted { ": " (amount(counted)) }
                @if let Some(note) = &entry.note { span.quiet { " " (note) } } @if countered { span.quiet { (words::WAS_TAKEN_BACK) } }
            }
            td { (sign) (amount(entry.amount)) } td { (amount(line.balance)) }
            td.no-print { @if may_go { details {
                summary { (words::TAKE_BACK) }
                form.entry.line data-send={ "/stock/entries/" (line.id) "/counter" } data-named=(words::TAKE_BACK_NAMED) data-then="reload" {
                    (form::text(words::WHY, "note", "", true)) button { (words::TAKE_IT_BACK) } output {}
                }
            } } }
        }
    }
}

const fn kind(kind: EntryKind) -> &'static str {
    match kind {
        EntryKind::Received => words::IS_RECEIVED,
        EntryKind::Drawn => words::IS_DRAWN,
        EntryKind::Counted => words::IS_COUNTED,
        EntryKind::Adjusted => words::IS_PUT_RIGHT,
        EntryKind::WrittenOff => words::IS_WRITTEN_OFF,
        EntryKind::Countered => words::IS_TAKEN_BACK,
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(ledger);
}
