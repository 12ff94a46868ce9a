//! The count sheet: what the ledger says of every material, and a place to write what is there; on paper or here.

use actix_web::get;
use actix_web::web::Data;
use maud::html;
use store::Record;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Material, Supply};

use super::super::form;
use super::super::frame::{Frame, Place};
use crate::http::reply::Answer;
use crate::state::State;

#[utoipa::path(
    tag = "pages", summary = "The count sheet", description = "Every counted material with what the ledger says, to be counted on paper or here.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/stock/count")]
async fn count(state: Data<State>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let mut materials = Material::all(&tx).await?;
    let on_hand = store::stock::on_hand(&tx).await?;
    tx.rollback().await?;
    materials.retain(|m| m.supply != Supply::Mains);
    let main = html! {
        p.no-print { a href="/pages/stock" { "Stock" } }
        p { "Counted on " span.only-print { "______________ by ______________" } span.no-print { (frame.said.day_in_full(frame.today)) }
            ". A count makes the ledger right by the difference; nothing written in it is ever changed." }
        div.wide { table.counts {
            thead { tr { th { "Material" } th { "By the ledger" } th { "A pack holds" } th { "Counted" } } }
            tbody { @for m in &materials {
                @let there = on_hand.get(&m.id).copied().unwrap_or_default();
                tr {
                    th scope="row" { (m.name) }
                    td { span.narrow { "By the ledger " } (frame.said.amount(there, m.unit)) } td { span.narrow { "A pack holds " } (frame.said.amount(m.pack, m.unit)) }
                    td {
                        form.entry.line data-send="/stock/entries" data-dated="day" data-named={ "Count of " (m.name) } data-then="stay" {
                            input type="hidden" name="material" value=(m.id);
                            input type="hidden" name="kind" value="counted";
                            (form::measure("There is", "counted", frame.said.amount_typed(m.unit), None, true))
                            button { "Counted" } output {}
                        }
                        span.only-print { "______________" }
                    }
                }
            } }
        } }
        p.care { "Bags are lifted with the legs, by two where they are heavy. Cement dust harms lungs and eyes: a torn bag is moved wet or with a mask on." }
    };
    Ok(frame.page(Place::Stock, "Count sheet", main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(count);
}
