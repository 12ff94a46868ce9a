//! What is on hand, how long it lasts, what to order by when.

use actix_web::get;
use actix_web::web::Data;
use maud::{Markup, html};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Amount, Material};
use workshop::projection::{ProjectedDay, Projection};

use super::frame::{Frame, Place};
use super::said;
use crate::http::problem::Kind;
use crate::http::reply::Answer;
use crate::resources::projection::{Filter, Projected, read_projections};
use crate::state::State;

#[utoipa::path(
    tag = "pages", summary = "The stock's page", description = "One sentence for each material, then its days: used, arriving, to order, left.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/stock")]
async fn stock(state: Data<State>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let projected = match read_projections(&state, &tx, &Filter::default()).await {
        Err(problem) if problem.kind() == Kind::NotFound => Projected::new(),
        found => found?,
    };
    let on_hand = store::stock::on_hand(&tx).await?;
    tx.rollback().await?;
    let (mut short, mut lasting): (Projected, Projected) =
        projected.into_iter().partition(|(_, p)| p.first_short_day.is_some());
    short.sort_by_key(|(_, p)| p.order_by);
    lasting.sort_by(|(a, _), (b, _)| a.name.cmp(&b.name));
    let left = |m: &Material| on_hand.get(&m.id).copied().unwrap_or_default();
    let main = html! {
        @if !short.is_empty() {
            section aria-labelledby="order" {
                h2 #order { "To order" }
                @for (material, projection) in &short { (one(&frame, material, projection, left(material), true)) }
            }
        }
        section aria-labelledby="lasts" {
            h2 #lasts { "Lasts" }
            @if lasting.is_empty() { p.quiet { "Nothing else is kept." } }
            @for (material, projection) in &lasting { (one(&frame, material, projection, left(material), false)) }
        }
        p { "The same as a spreadsheet: " a href="/stock/projection.csv" { "stock projection" } }
    };
    Ok(frame.page(Place::Stock, "Stock", main))
}

fn one(frame: &Frame, material: &Material, projection: &Projection, on_hand: Amount, open: bool) -> Markup {
    let amount = |amount: Amount| frame.said.amount(amount, material.unit);
    let moves = |d: &&ProjectedDay| d.used != Amount::ZERO || d.expected != Amount::ZERO || d.to_order != Amount::ZERO;
    let days: Vec<&ProjectedDay> = projection.days.iter().filter(moves).collect();
    let some = |value: Amount| if value == Amount::ZERO { String::new() } else { amount(value) };
    html! {
        article.material aria-labelledby={ "m-" (material.id) } {
            h3 #{ "m-" (material.id) } { (material.name) }
            p.sentence.warn[open] { (projection.sentence) }
            p.quiet { (amount(on_hand)) " on hand by the ledger." }
            @if !days.is_empty() {
                details {
                    summary { "Day by day" }
                    div.wide { table.amounts {
                        thead { tr { th { "Day" } th { "Used" } th { "Arriving" } th { "To order" } th { "Left" } th { "Left if nothing is ordered" } } }
                        tbody { @for d in days {
                            tr.short[d.unordered < material.floor] {
                                th scope="row" { (said::day(d.day)) }
                                td { (some(d.used)) } td { (some(d.expected)) } td { (some(d.to_order)) } td { (amount(d.on_hand)) } td { (amount(d.unordered)) }
                            }
                        } }
                    } }
                }
            }
        }
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(stock);
}
