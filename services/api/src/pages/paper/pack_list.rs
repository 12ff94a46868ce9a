//! What goes with an order: panels and hardware to be ticked off, what has gone already, and what each weighs.

use std::collections::BTreeMap;

use actix_web::get;
use actix_web::web::{Data, Path};
use maud::html;
use quantities::Grams;
use store::Record;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Finish, Panel, PanelSet};
use workshop::ids::{OrderId, PanelId};
use workshop::orders::{Item, Order};

use super::super::frame::{Frame, Place};
use super::super::said;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::state::State;
use crate::wire::Id;

/// Density at which a panel's mass is put down for whoever lifts it, kg/m³: that of ordinary concrete, so that a light one is
/// never heavier than written (EN 1991-1-1:2002, table A.1: 24 kN/m³ for normal-weight concrete; from memory).
const LIFTED_KG_M3: i64 = 2400;

#[utoipa::path(
    tag = "pages", summary = "An order's pack list", description = "Panels and hardware to be ticked off, and what has gone already.",
    params(("id" = inline(Id), Path, description = "Its reference", example = "TH-1042")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/orders/{id}/pack-list")]
async fn pack_list(state: Data<State>, id: Path<String>) -> Answer {
    let missing = || Problem::not_found("order", id.as_str());
    let wanted = OrderId::parse(&id).map_err(|_| missing())?;
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let order = Order::find(&tx, &wanted).await?.ok_or_else(missing)?.value;
    let sets: BTreeMap<_, _> = PanelSet::all(&tx).await?.into_iter().map(|set| (set.id.clone(), set)).collect();
    let finishes: BTreeMap<_, _> = Finish::all(&tx).await?.into_iter().map(|f| (f.id, f.name)).collect();
    let panels: BTreeMap<PanelId, Panel> = Panel::all(&tx).await?.into_iter().map(|p| (p.id.clone(), p)).collect();
    let dispatched = store::lots::dispatched(&tx).await?;
    tx.rollback().await?;
    let mut hardware: BTreeMap<&str, i64> = BTreeMap::new();
    for line in &order.lines {
        if let Item::Set(set) = &line.item {
            for (piece, count) in sets.get(set).into_iter().flat_map(|set| &set.hardware) {
                *hardware.entry(piece.as_str()).or_default() += count.get() * line.quantity;
            }
        }
    }
    let limit = frame.workshop.as_ref().map(|w| w.lifting_limit);
    let heaviest = |panel: &PanelId| panels.get(panel).map(|p| Grams::new(p.concrete().get() * LIFTED_KG_M3 / 1000));
    let main = html! {
        p.no-print { a href={ "/pages/orders/" (order.id) } { "The order" } }
        dl.facts {
            @if let Some(customer) = &order.customer { dt { "For" } dd { (customer) } }
            dt { "Wanted" } dd { (said::day_in_full(order.due_on)) }
            @if let Some(note) = &order.note { dt { "Note" } dd { (note) } }
        }
        div.wide { table.amounts {
            thead { tr { th { "Panel" } th { "Ordered" } th { "Gone before" } th { "To go" } th { "Packed" } } }
            tbody { @for ((panel, finish), count) in &order.panels(&sets) {
                @let gone = dispatched.get(&(order.id.clone(), panel.clone(), finish.clone())).copied().unwrap_or(0);
                @let heavy = limit.zip(heaviest(panel)).is_some_and(|(limit, mass)| mass > limit);
                tr {
                    th scope="row" { (frame.names.panel(panel.as_str())) ", " (finishes.get(finish).map_or(finish.as_str(), String::as_str)) @if heavy { " (lift by two)" } }
                    td { (count) } td { (gone) } td { (count - gone) } td { "☐ ______" }
                }
            } }
        } }
        @if !hardware.is_empty() {
            h2 { "Hardware of the whole order" }
            div.wide { table.amounts {
                thead { tr { th { "Piece" } th { "Ordered" } th { "Packed" } } }
                tbody { @for (piece, count) in &hardware { tr { th scope="row" { (frame.names.material(piece)) } td { (count) } td { "☐ ______" } } } }
            } }
        }
        p.care { "Lift with the legs, panels on edge, gloves on. “Lift by two” is said of every panel that would be above the workshop's limit in ordinary concrete. Walls that hold back soil are structures: local codes and licensed practice decide." }
        p.only-print { "Packed by ____________   on ____________   Received ____________" }
    };
    Ok(frame.page(Place::Orders, &format!("Pack list of {}", order.id), main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(pack_list);
}
