//! The count sheet: what the ledger says of every material, and a place to write what is there; on paper or here.

use actix_web::get;
use maud::html;
use store::Record;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Material, Supply};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::stock as words;
use crate::http::reply::Answer;

#[utoipa::path(
    tag = "pages", summary = "The count sheet", description = "Every counted material with what the ledger says, to be counted on paper or here.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/stock/count")]
async fn count(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let mut materials = Material::all(&tx).await?;
    let on_hand = store::stock::on_hand(&tx).await?;
    tx.rollback().await?;
    materials.retain(|m| m.supply != Supply::Mains);
    let main = html! {
        p.no-print { a href="/pages/stock" { (words::TITLE) } }
        p { (words::counted_on(&frame.said.day_in_full(frame.today))) }
        div.wide { table.counts {
            thead { tr { th { (words::MATERIAL) } th { (words::BY_THE_LEDGER) } th { (words::A_PACK_HOLDS) } th { (words::COUNTED) } } }
            tbody { @for m in &materials {
                @let there = on_hand.get(&m.id).copied().unwrap_or_default();
                tr {
                    th scope="row" { (m.name) }
                    td { span.narrow { (words::BY_THE_LEDGER) " " } (frame.said.amount(there, m.unit)) } td { span.narrow { (words::A_PACK_HOLDS) " " } (frame.said.amount(m.pack, m.unit)) }
                    td {
                        form.entry.line data-send="/stock/entries" data-dated="day" data-named=(words::count_named(&m.name)) data-then="stay" {
                            input type="hidden" name="material" value=(m.id);
                            input type="hidden" name="kind" value="counted";
                            (form::measure(words::THERE_IS, "counted", frame.said.amount_typed(m.unit), None, true))
                            button { (words::COUNTED) } output {}
                        }
                        span.only-print { "______________" }
                    }
                }
            } }
        } }
        p.care { (words::CAUTION) }
    };
    Ok(frame.page(Place::Stock, words::COUNT_SHEET, main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(count);
}
