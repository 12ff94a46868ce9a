//! What goes with an order: panels and hardware to be ticked off, what each weighs, and what is still to come.

use actix_web::get;
use actix_web::web::Path;
use maud::html;
use quantities::Grams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::ids::OrderId;

use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::paper as words;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::resources::dispatch;
use crate::wire::Id;

#[utoipa::path(
    tag = "pages", summary = "An order's pack list", description = "Panels and hardware to be ticked off, each with its mass, and what is still to come.",
    params(("id" = inline(Id), Path, description = "Its reference", example = "TH-1042")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders/{id}/pack-list")]
async fn pack_list(state: Visit, id: Path<String>) -> Answer {
    let wanted = OrderId::parse(&id).map_err(|_| Problem::not_found("order", id.as_str()))?;
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let list = dispatch::pack_list(&tx, &wanted).await?;
    tx.rollback().await?;
    let mass = |grams: i64| frame.said.mass(Grams::new(grams));
    let main = html! {
        p.no-print { a href={ "/pages/orders/" (wanted) } { (words::THE_ORDER) } }
        dl.facts {
            @if let Some(customer) = &list.customer { dt { (words::FOR) } dd { (customer) } }
            dt { (words::WANTED) } dd { (frame.said.day_in_full(list.due_on)) }
            dt { (words::READY_FOR_IT) } dd { (words::together(list.panels, &mass(list.mass_g))) }
        }
        @if !list.packed.is_empty() {
            div.wide { table.amounts {
                thead { tr { th { (words::PANEL) } th { (words::TO_GO) } th { (words::EACH) } th { (words::TOGETHER) } th { (words::PACKED) } } }
                tbody { @for line in &list.packed { tr {
                    th scope="row" { (line.name) ", " (frame.names.revision(&line.revision.0)) @if line.above_lifting_limit { (words::LIFT_BY_TWO) } br; span.quiet { (line.source) } }
                    td { (line.quantity_panels) } td { (mass(line.mass_each_g)) } td { (mass(line.mass_g)) } td { "☐ ______" }
                } } }
            } }
        }
        @if !list.missing.is_empty() {
            h2 { (words::STILL_TO_COME) }
            ul { @for line in &list.missing {
                li { (words::not_ready(frame.names.panel(&line.panel.0), line.ordered_panels - line.sent_panels - line.ready_panels, line.ordered_panels)) }
            } }
        }
        @if !list.hardware.is_empty() {
            h2 { (words::HARDWARE) }
            div.wide { table.amounts {
                thead { tr { th { (words::PIECE) } th { (words::ORDERED) } th { (words::PACKED) } } }
                tbody { @for piece in &list.hardware { tr { th scope="row" { (piece.name) } td { (piece.pieces) } td { "☐ ______" } } } }
            } }
        }
        @for note in &list.notes { p.care { (note) } }
        p.care { (words::STRUCTURES) }
        p.only-print { (words::PACKED_BY) }
    };
    Ok(frame.page(Place::Orders, &words::pack_list_of(wanted.as_str()), main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(pack_list);
}
