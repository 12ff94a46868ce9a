//! Mixes: what each revision is and what trials found of it.

use std::collections::BTreeMap;

use actix_web::get;
use actix_web::web::Query;
use maud::{Markup, html};
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Finish, Material, Mix, MixRevision, RevisionState};
use workshop::planning::draws::Materials;
use workshop::site::DisplayUnits;

use super::frame::{Frame, Place};
use super::said::Said;
use super::visit::Visit;
use super::words::mixes as words;
use super::words::shared::days;
use crate::calculations::revision_cost;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::wire::Id;
use crate::wire::site::DisplayUnits as Units;

mod cheapest;
mod revision;
mod side_by_side;
mod trials;

/// How the page is shown.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Shown {
    /// Units other than the workshop's own.
    #[param(inline)]
    pub units: Option<Units>,
    /// The trial that is the reference concrete; the heaviest, where none is named.
    #[param(inline)]
    pub reference: Option<Id>,
}

#[utoipa::path(
    tag = "pages", summary = "The mixes' page", description = "Every mix with its revisions, and what trials found, against a reference concrete.",
    params(Shown), responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/mixes")]
async fn list(state: Visit, shown: Query<Shown>) -> Answer {
    let tx = state.store.read().await?;
    let frame = in_units(Frame::read(&state, &tx).await?, shown.units);
    let known = Known::read(&tx).await?;
    let trials = trials::Tried::read(&tx, shown.reference.as_ref()).await?;
    tx.rollback().await?;
    let main = html! {
        p.no-print {
            a href="/pages/mixes/cheapest" { (words::CHEAPEST_PROPORTIONS) } " · " a href="/pages/mixes/compare" { (words::SIDE_BY_SIDE) } " · "
            a href="/pages/workshop/new/mix" { (words::A_NEW_MIX) } " · " a href="/pages/workshop/new/revision" { (words::A_NEW_REVISION) }
        }
        (switch(&frame.said, "/pages/mixes?", shown.reference.as_ref()))
        @if known.mixes.is_empty() { p.quiet { (words::NO_MIX) } }
        @for mix in &known.mixes { (one(&frame, &known, mix)) }
        (trials.section(&frame)?)
    };
    Ok(frame.page(Place::Mixes, words::TITLE, main))
}

/// What the catalogue has.
struct Known {
    mixes: Vec<Mix>,
    revisions: Vec<MixRevision>,
    materials: Vec<Material>,
    finishes: BTreeMap<String, String>,
}

impl Known {
    async fn read(tx: &Tx) -> Result<Self, Problem> {
        Ok(Self {
            mixes: Mix::all(tx).await?,
            revisions: MixRevision::all(tx).await?,
            materials: Material::all(tx).await?,
            finishes: Finish::all(tx).await?.into_iter().map(|f| (f.id.to_string(), f.name)).collect(),
        })
    }
}

fn one(frame: &Frame, known: &Known, mix: &Mix) -> Markup {
    let materials: Materials = known.materials.iter().map(|m| (&m.id, m)).collect();
    let finish = known.finishes.get(mix.finish.as_str()).map_or(mix.finish.as_str(), String::as_str);
    let mut revisions: Vec<&MixRevision> = known.revisions.iter().filter(|r| r.id.mix == mix.id).collect();
    revisions.sort_by_key(|r| std::cmp::Reverse(r.id.number));
    html! {
        section aria-labelledby={ "x-" (mix.id) } {
            h2 #{ "x-" (mix.id) } { (mix.name) }
            p.quiet { (words::gives(finish)) }
            @if revisions.is_empty() { p.quiet { (words::NO_REVISION) } } @else {
                div.wide { table {
                    thead { tr { th { (words::REVISION) } th { "" } th { (words::WET_DENSITY) } th { (words::IN_MOULD_AT_20C) } th { (words::WATER) } th { (words::RACK) } th { (words::MATERIAL_A_CUBIC_METRE) } } }
                    tbody { @for revision in revisions { tr {
                        th scope="row" { a href={ "/pages/mixes/" (revision.id) } { (words::revision(revision.id.number)) } }
                        td { (standing(revision.state)) }
                        td { (frame.said.wet_density(revision.wet_density_kg_m3)) }
                        td { (frame.said.decimal(&revision.hold_hours_at_20c.to_string())) " h" } td { (days(revision.soak_days)) } td { (days(revision.dry_days)) }
                        td { @match revision_cost(revision, &materials) { Some(cost) => (frame.said.money(cost.round() as i64)), None => span.quiet { (words::PRICE_MISSING) } } }
                    } } }
                } }
            }
        }
    }
}

/// A revision's state in words.
const fn standing(state: RevisionState) -> &'static str {
    match state {
        RevisionState::OnTrial => words::ON_TRIAL,
        RevisionState::InUse => words::IN_USE,
        RevisionState::Retired => words::RETIRED,
    }
}

/// The page's ways of saying things in the units asked for, where any were.
fn in_units(frame: Frame, units: Option<Units>) -> Frame {
    match units {
        Some(units) => Frame { said: frame.said.shown_in(units.into()), ..frame },
        None => frame,
    }
}

/// The units shown, as the contract writes them.
fn units_word(said: &Said) -> &'static str {
    if said.units() == DisplayUnits::Metric { "metric" } else { "us_customary" }
}

/// The way to the other units: the same page, at `path` up to its query's end.
fn switch(said: &Said, path: &str, reference: Option<&Id>) -> Markup {
    let metric = said.units() == DisplayUnits::Metric;
    let also = reference.map_or_else(String::new, |id| format!("&reference={}", id.0));
    html! {
        p.no-print { @if metric { (words::shown_metric(&format!("{path}units=us_customary{also}"))) } @else { (words::shown_us(&format!("{path}units=metric{also}"))) } }
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list);
    for pages in [cheapest::configure, side_by_side::configure, revision::configure] {
        pages(service);
    }
}
