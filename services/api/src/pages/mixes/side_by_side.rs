//! Two revisions side by side: contents, densities, water ratios, material cost.

use actix_web::get;
use actix_web::web::Query;
use maud::{Markup, html};
use serde::Deserialize;
use store::Record;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::MixRevision;

use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::mixes as words;
use super::in_units;
use super::revision::lines;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::resources::calculations::work_out;
use crate::wire::basics::RevisionText;
use crate::wire::calculations::mixture::{AskedComparison, AskedMix, Comparison};
use crate::wire::site::DisplayUnits as Units;

/// Which two.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Two {
    /// The one.
    #[param(inline)]
    pub first: Option<RevisionText>,
    /// The other, the reference.
    #[param(inline)]
    pub second: Option<RevisionText>,
    /// Units other than the workshop's own.
    #[param(inline)]
    pub units: Option<Units>,
}

#[utoipa::path(
    tag = "pages", summary = "The page of two revisions side by side", description = "What a cubic metre of each has in it, their densities and material cost.",
    params(Two), responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/mixes/compare")]
async fn compare(state: Visit, two: Query<Two>) -> Answer {
    let tx = state.store.read().await?;
    let frame = in_units(Frame::read(&state, &tx).await?, two.units);
    let revisions = MixRevision::all(&tx).await?;
    tx.rollback().await?;
    let found = match (&two.first, &two.second) {
        (Some(first), Some(second)) => {
            let mix = |text: &RevisionText| AskedMix { revision: Some(text.clone()), recipe: None };
            let asked = AskedComparison { first: mix(first), second: mix(second) };
            Some(work_out(&state, asked).await?.map_err(Problem::bad_request)?)
        }
        _ => None,
    };
    let choose = |label: &str, name: &str, chosen: &Option<RevisionText>| {
        html! { label { (label) select name=(name) required { option value="" { (words::CHOOSE) } @for r in &revisions { @let id = r.id.to_string(); option value=(id) selected[chosen.as_ref().is_some_and(|c| c.0 == id)] { (frame.names.revision(&id)) } } } } }
    };
    let main = html! {
        p.no-print { a href="/pages/mixes" { (words::ALL_MIXES) } }
        form.line.no-print method="get" action="/pages/mixes/compare" {
            input type="hidden" name="units" value=(super::units_word(&frame.said));
            (choose(words::THIS, "first", &two.first)) (choose(words::AGAINST_THAT, "second", &two.second))
            button { (words::LAY_SIDE_BY_SIDE) }
        }
        @if let Some(found) = &found { (side_by_side(&frame, &two, found)) }
    };
    Ok(frame.page(Place::Mixes, words::SIDE_BY_SIDE, main))
}

fn side_by_side(frame: &Frame, two: &Two, found: &Comparison) -> Markup {
    let said = &frame.said;
    let name = |text: &Option<RevisionText>| text.as_ref().map(|t| frame.names.revision(&t.0)).unwrap_or_default();
    let density =
        |kg_m3: Option<f64>| kg_m3.map_or_else(|| words::NOT_BY_CALCULATION.to_owned(), |d| said.wet_density(d));
    let ratio = |ratio: Option<f64>| ratio.map_or_else(|| words::NO_CEMENT.to_owned(), |r| said.number(r, 2));
    let cost = |cost: Option<f64>, why: &Option<String>| match (cost, why) {
        (Some(cost), _) => said.money(cost.round() as i64),
        (None, why) => why.clone().unwrap_or_default(),
    };
    let better = |percent: f64, more: fn(f64) -> String, less: fn(f64) -> String| {
        if percent < 0.0 { less(-percent) } else { more(percent) }
    };
    let content = |kg_m3: f64| if kg_m3 == 0.0 { words::NONE.to_owned() } else { said.content(kg_m3) };
    let sign = |kg_m3: f64| {
        if kg_m3.abs() < 0.05 {
            words::THE_SAME.to_owned()
        } else if kg_m3 < 0.0 {
            words::less(&said.content(-kg_m3))
        } else {
            words::more(&said.content(kg_m3))
        }
    };
    let (a, b) = (&found.first, &found.second);
    html! {
        div.wide { table.amounts {
            thead { tr { th { "" } th { (name(&two.first)) } th { (name(&two.second)) } th { (words::THE_FIRST_HAS) } } }
            tbody {
                @for pair in &found.ingredients { tr { th scope="row" { (frame.names.material(&pair.material)) } td { (content(pair.first_kg_m3)) } td { (content(pair.second_kg_m3)) } td { (sign(pair.difference_kg_m3)) } } }
                tr { th scope="row" { (words::WET_DENSITY) } td { (said.wet_density(a.wet_density_kg_m3)) } td { (said.wet_density(b.wet_density_kg_m3)) } td { (better(found.lighter_wet_percent, words::lighter, words::heavier)) } }
                tr { th scope="row" { (words::OVEN_DRY_DENSITY) } td { (density(a.oven_dry_density_kg_m3)) } td { (density(b.oven_dry_density_kg_m3)) } td { @if let Some(p) = found.lighter_oven_dry_percent { (better(p, words::lighter, words::heavier)) } } }
                tr { th scope="row" { (words::AIR) } td { (said.number(a.air_percent, 1)) " %" } td { (said.number(b.air_percent, 1)) " %" } td {} }
                tr { th scope="row" { (words::WATER_CEMENT) } td { (ratio(a.water_cement)) } td { (ratio(b.water_cement)) } td {} }
                tr { th scope="row" { (words::MATERIAL_A_CUBIC_METRE) } td { (cost(found.first_cost_minor_m3, &found.first_cost_remark)) } td { (cost(found.second_cost_minor_m3, &found.second_cost_remark)) } td { @if let Some(p) = found.cheaper_percent { (better(p, words::cheaper, words::dearer)) } } }
            }
        } }
        (lines(said, words::HOW_WORKED, &found.worked))
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(compare);
}
