//! What is on hand, how long it lasts, what to order by when.

use actix_web::get;
use maud::{Markup, html};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Amount, Material};
use workshop::projection::{ProjectedDay, Projection};

use super::chart::{self, Axis, Line, Words};
use super::frame::{Frame, Place};
use super::visit::Visit;
use super::words::stock as words;
use crate::http::problem::{Kind, Problem};
use crate::http::reply::Answer;
use crate::resources::projection::{Filter, Projected, read_projections};

mod count;
mod deliveries;
mod ledger;

#[utoipa::path(
    tag = "pages", summary = "The stock's page", description = "One sentence for each material, then its days: used, arriving, to order, left.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/stock")]
async fn stock(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let projected = match read_projections(&state, &tx, &Filter::default()).await {
        Err(problem) if problem.kind() == Kind::NotFound => Projected::new(),
        found => found?,
    };
    let on_hand = store::stock::on_hand(&tx).await?;
    let coming = store::deliveries::on_their_way(&tx).await?;
    tx.rollback().await?;
    let (mut short, mut lasting): (Projected, Projected) =
        projected.into_iter().partition(|(_, p)| p.first_short_day.is_some());
    short.sort_by_key(|(_, p)| p.order_by);
    lasting.sort_by(|(a, _), (b, _)| a.name.cmp(&b.name));
    let left = |m: &Material| on_hand.get(&m.id).copied().unwrap_or_default();
    let main = html! {
        p.no-print { a href="/pages/stock/count" { (words::COUNT_SHEET) } " · " a href="/pages/stock/ledger" { (words::LEDGER) } }
        @if !short.is_empty() {
            section aria-labelledby="order" {
                h2 #order { (words::TO_ORDER) }
                @for (material, projection) in &short { (one(&frame, material, projection, left(material), true)?) }
            }
        }
        (deliveries::section(&frame, &coming, &short))
        section aria-labelledby="lasts" {
            h2 #lasts { (words::LASTS) }
            @if lasting.is_empty() { p.quiet { (words::NOTHING_ELSE) } }
            @for (material, projection) in &lasting { (one(&frame, material, projection, left(material), false)?) }
        }
        p { (words::as_spreadsheet("/stock/projection.csv")) }
    };
    Ok(frame.page(Place::Stock, words::TITLE, main))
}

/// One material: its sentence, its chart, its days.
fn one(
    frame: &Frame,
    material: &Material,
    projection: &Projection,
    on_hand: Amount,
    short: bool,
) -> Result<Markup, Problem> {
    let amount = |amount: Amount| frame.said.amount(amount, material.unit);
    let moves = |d: &&ProjectedDay| d.used != Amount::ZERO || d.expected != Amount::ZERO || d.to_order != Amount::ZERO;
    let days: Vec<&ProjectedDay> = projection.days.iter().filter(moves).collect();
    let some = |value: Amount| if value == Amount::ZERO { String::new() } else { amount(value) };
    Ok(html! {
        article.material aria-labelledby={ "m-" (material.id) } {
            h3 #{ "m-" (material.id) } { (material.name) }
            p.sentence.warn[short] { (frame.said.sentence(&projection.sentence)) }
            p.quiet { (words::on_hand(&amount(on_hand))) " " a.no-print href={ "/pages/stock/ledger?material=" (material.id) } { (words::ITS_LEDGER) } }
            @if !days.is_empty() {
                details open[short] {
                    summary { (words::DAY_BY_DAY) }
                    (left_and_used(frame, material, projection)?)
                    div.wide { table.amounts {
                        thead { tr { th { (words::DAY) } th { (words::USED) } th { (words::ARRIVING) } th { (words::TO_ORDER) } th { (words::LEFT) } th { (words::LEFT_UNORDERED) } } }
                        tbody { @for d in days {
                            tr.short[d.unordered < material.floor] {
                                th scope="row" { (frame.said.day(d.day)) }
                                td { (some(d.used)) } td { (some(d.expected)) } td { (some(d.to_order)) } td { (amount(d.on_hand)) } td { (amount(d.unordered)) }
                            }
                        } }
                    } }
                }
            }
        }
    })
}

/// What is left at each day's end against what is used on it.
fn left_and_used(frame: &Frame, material: &Material, projection: &Projection) -> Result<Markup, Problem> {
    let typed = frame.said.amount_typed(material.unit);
    let shown = |amount: Amount| amount.get() as f64 / typed.factor;
    let left: Vec<f64> = projection.days.iter().map(|d| shown(d.on_hand)).collect();
    let unordered: Vec<f64> = projection.days.iter().map(|d| shown(d.unordered)).collect();
    let used: Vec<f64> = projection.days.iter().map(|d| shown(d.used)).collect();
    let up = Axis::from_nothing(typed.sign.to_owned(), left.iter().chain(&unordered).chain(&used).copied());
    let id = format!("c-{}", material.id);
    let title = words::chart_of(frame.names.material(material.id.as_str()));
    let said = Words { id: &id, title: &title, told: &projection.sentence };
    let day = |n: usize| projection.days.get(n).map_or_else(String::new, |d| frame.said.day_briefly(d.day));
    let lines = [Line { values: left, dashed: false }, Line { values: unordered, dashed: true }];
    chart::over_days(&said, &up, &lines, &used, shown(material.floor), &day)
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(stock);
    for pages in [count::configure, ledger::configure] {
        pages(service);
    }
}
