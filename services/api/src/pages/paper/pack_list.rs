//! What goes with an order: panels and hardware to be ticked off, what each weighs, and what is still to come.

use actix_web::get;
use actix_web::web::{Data, Path};
use maud::html;
use quantities::Grams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::ids::OrderId;

use super::super::frame::{Frame, Place};
use super::super::words::shared::panels;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::resources::dispatch;
use crate::state::State;
use crate::wire::Id;

#[utoipa::path(
    tag = "pages", summary = "An order's pack list", description = "Panels and hardware to be ticked off, each with its mass, and what is still to come.",
    params(("id" = inline(Id), Path, description = "Its reference", example = "TH-1042")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders/{id}/pack-list")]
async fn pack_list(state: Data<State>, id: Path<String>) -> Answer {
    let wanted = OrderId::parse(&id).map_err(|_| Problem::not_found("order", id.as_str()))?;
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let list = dispatch::pack_list(&tx, &wanted).await?;
    tx.rollback().await?;
    let mass = |grams: i64| frame.said.mass(Grams::new(grams));
    let main = html! {
        p.no-print { a href={ "/pages/orders/" (wanted) } { "The order" } }
        dl.facts {
            @if let Some(customer) = &list.customer { dt { "For" } dd { (customer) } }
            dt { "Wanted" } dd { (frame.said.day_in_full(list.due_on)) }
            dt { "Ready for it" } dd { (panels(list.panels)) ", " (mass(list.mass_g)) " together" }
        }
        @if !list.packed.is_empty() {
            div.wide { table.amounts {
                thead { tr { th { "Panel" } th { "To go" } th { "Each" } th { "Together" } th { "Packed" } } }
                tbody { @for line in &list.packed { tr {
                    th scope="row" { (line.name) ", " (frame.names.revision(&line.revision.0)) @if line.above_lifting_limit { " (lift by two)" } br; span.quiet { (line.source) } }
                    td { (line.quantity_panels) } td { (mass(line.mass_each_g)) } td { (mass(line.mass_g)) } td { "☐ ______" }
                } } }
            } }
        }
        @if !list.missing.is_empty() {
            h2 { "Still to come" }
            ul { @for line in &list.missing {
                li { (frame.names.panel(&line.panel.0)) ": " (line.ordered_panels - line.sent_panels - line.ready_panels) " of " (line.ordered_panels) " do not stand ready" }
            } }
        }
        @if !list.hardware.is_empty() {
            h2 { "Hardware of the whole order" }
            div.wide { table.amounts {
                thead { tr { th { "Piece" } th { "Ordered" } th { "Packed" } } }
                tbody { @for piece in &list.hardware { tr { th scope="row" { (piece.name) } td { (piece.pieces) } td { "☐ ______" } } } }
            } }
        }
        @for note in &list.notes { p.care { (note) } }
        p.care { "Walls that hold back soil are structures: local codes and licensed practice decide." }
        p.only-print { "Packed by ____________   on ____________   Received ____________" }
    };
    Ok(frame.page(Place::Orders, &format!("Pack list of {wanted}"), main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(pack_list);
}
