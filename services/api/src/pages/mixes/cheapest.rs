//! The cheapest proportions within limits: a revision's own materials at today's prices, its limits as sliders.
//!
//! Cement, water and aggregates are free within the limits; fibre, pigment and admixtures stay as the revision has them, since
//! what they are for is no matter of price.

use actix_web::get;
use actix_web::web::Query;
use maud::{Markup, html};
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Material, MaterialKind, MixRevision};
use workshop::planning::draws::Materials;

use super::super::frame::{Frame, Place};
use super::super::said::Typed;
use super::super::visit::Visit;
use super::super::words::mixes as words;
use super::revision::lines;
use super::{in_units, switch};
use crate::calculations::revision_cost;
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::resources::calculations::work_out;
use crate::wire::basics::RevisionText;
use crate::wire::calculations::cheapest::{
    AskedCheapest, CheapestFound, CheapestMix, RatioBand, WrittenBand, WrittenChoice, WrittenFoamChoice,
};
use crate::wire::site::DisplayUnits as Units;

/// The revision begun from and the limits, densities and contents in the units shown.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Limits {
    /// Whose materials may go in.
    #[param(inline)]
    pub of: Option<RevisionText>,
    /// Units other than the workshop's own.
    #[param(inline)]
    pub units: Option<Units>,
    /// Least wet density.
    #[param(max_length = 12, example = "920")]
    pub wet_least: Option<String>,
    /// Most wet density.
    #[param(max_length = 12, example = "1000")]
    pub wet_most: Option<String>,
    /// Least water over cement.
    #[param(max_length = 12, example = "0.45")]
    pub water_least: Option<String>,
    /// Most water over cement.
    #[param(max_length = 12, example = "0.55")]
    pub water_most: Option<String>,
    /// Least cement in a cubic metre.
    #[param(max_length = 12, example = "300")]
    pub cement_least: Option<String>,
}

#[utoipa::path(
    tag = "pages", summary = "The page of cheapest proportions", description = "A revision's materials at today's prices within limits: what is cheapest, which limits hold the cost up, or which exclude each other.",
    params(Limits), responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/mixes/cheapest")]
async fn cheapest(state: Visit, limits: Query<Limits>) -> Answer {
    let tx = state.store.read().await?;
    let frame = in_units(Frame::read(&state, &tx).await?, limits.units);
    let revisions = MixRevision::all(&tx).await?;
    let begun = begin(&tx, &limits, &revisions).await?;
    tx.rollback().await?;
    let found = match &begun {
        Some(begun) => Some((begun, work_out(&state, begun.asked(&frame, &limits)?).await?)),
        None => None,
    };
    let here = limits
        .of
        .as_ref()
        .map_or_else(|| "/pages/mixes/cheapest?".to_owned(), |of| format!("/pages/mixes/cheapest?of={}&", of.0));
    let main = html! {
        p.no-print { a href="/pages/mixes" { (words::ALL_MIXES) } }
        (switch(&frame.said, &here, None))
        p { (words::ABOUT_CHEAPEST) }
        form.no-print method="get" action="/pages/mixes/cheapest" data-live="found" {
            label { (words::MATERIALS_OF) select name="of" required { option value="" { (words::CHOOSE) } @for r in &revisions { @let id = r.id.to_string(); option value=(id) selected[limits.of.as_ref().is_some_and(|of| of.0 == id)] { (frame.names.revision(&id)) } } } }
            input type="hidden" name="units" value=(super::units_word(&frame.said));
            @if let Some(begun) = &begun { (begun.sliders(&frame, &limits)?) }
            button { @if begun.is_some() { (words::FIND_THE_CHEAPEST) } @else { (words::BEGIN) } }
        }
        div #found aria-live="polite" { @if let Some((begun, found)) = &found { (answer(&frame, begun, found)) } }
    };
    Ok(frame.page(Place::Mixes, words::CHEAPEST_PROPORTIONS, main))
}

/// What the calculation calls the foam among the parts of a mix.
const FOAM: &str = "foam";

/// A revision to begin from.
struct Begun {
    revision: MixRevision,
    materials: Vec<Material>,
    /// Water over cement as it is now; none where the revision has no cement.
    water_cement: Option<f64>,
    cement_kg_m3: f64,
    cost: Option<f64>,
}

async fn begin(tx: &Tx, limits: &Limits, revisions: &[MixRevision]) -> Result<Option<Begun>, Problem> {
    let Some(of) = &limits.of else { return Ok(None) };
    let revision = revisions.iter().find(|r| r.id.to_string() == of.0);
    let revision = revision.ok_or_else(|| Problem::not_found(MixRevision::NOUN, &of.0))?.clone();
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let of = |kinds: fn(MaterialKind) -> bool| {
        let some = revision.ingredients.iter().filter(|part| by_id.get(&part.material).is_some_and(|m| kinds(m.kind)));
        some.map(|part| part.kg_m3).sum::<f64>()
    };
    let (water, cement_kg_m3) = (of(|kind| kind == MaterialKind::Water), of(MaterialKind::is_cement));
    Ok(Some(Begun {
        water_cement: (cement_kg_m3 > 0.0).then(|| water / cement_kg_m3),
        cement_kg_m3,
        cost: revision_cost(&revision, &by_id),
        revision,
        materials,
    }))
}

/// A limit with what may be chosen for it.
struct Slider {
    name: &'static str,
    label: &'static str,
    typed: Typed,
    least: f64,
    most: f64,
    step: f64,
    value: f64,
}

/// A number of the query, where one is given.
fn number(name: &str, text: Option<&String>) -> Result<Option<f64>, Problem> {
    let Some(text) = text.filter(|text| !text.is_empty()) else { return Ok(None) };
    let fault = || Problem::bad_request(vec![Fault::at(format!("/query/{name}"), words::no_number(text))]);
    let number: f64 = text.parse().map_err(|_| fault())?;
    if number.is_finite() && number >= 0.0 { Ok(Some(number)) } else { Err(fault()) }
}

impl Begun {
    /// Every limit, at what was asked for or else at the revision's own.
    fn limits(&self, frame: &Frame, asked: &Limits) -> Result<Vec<Slider>, Problem> {
        let (density, content) = (frame.said.density_typed(), frame.said.content_typed());
        let plain = frame.said.plain_typed();
        let r = &self.revision;
        let step = |typed: Typed| if typed.factor > 10.0 { 0.1 } else { 1.0 };
        let slider =
            |name, label, typed: Typed, (least, most): (f64, f64), step: f64, own: f64, given: Option<&String>| {
                let shown = |n: f64| (n / typed.factor / step).round() * step;
                let value = number(name, given)?.unwrap_or_else(|| shown(own));
                Ok::<_, Problem>(Slider { name, label, typed, least: shown(least), most: shown(most), step, value })
            };
        let wet = (r.wet_density_kg_m3 * 0.7, r.wet_density_kg_m3 * 1.3);
        let mut all = vec![
            slider(
                "wet_least",
                words::WET_LEAST,
                density,
                wet,
                step(density),
                r.wet_density_low_kg_m3,
                asked.wet_least.as_ref(),
            )?,
            slider(
                "wet_most",
                words::WET_MOST,
                density,
                wet,
                step(density),
                r.wet_density_high_kg_m3,
                asked.wet_most.as_ref(),
            )?,
        ];
        if let Some(ratio) = self.water_cement {
            let band = (0.25, 0.9);
            all.push(slider(
                "water_least",
                words::WATER_LEAST,
                plain,
                band,
                0.01,
                ratio - 0.05,
                asked.water_least.as_ref(),
            )?);
            all.push(slider(
                "water_most",
                words::WATER_MOST,
                plain,
                band,
                0.01,
                ratio + 0.05,
                asked.water_most.as_ref(),
            )?);
            all.push(slider(
                "cement_least",
                words::CEMENT_LEAST,
                content,
                (100.0, 900.0),
                step(content),
                self.cement_kg_m3 * 0.8,
                asked.cement_least.as_ref(),
            )?);
        }
        Ok(all)
    }

    fn sliders(&self, frame: &Frame, asked: &Limits) -> Result<Markup, Problem> {
        let all = self.limits(frame, asked)?;
        Ok(html! {
            div.sliders { @for one in &all {
                label {
                    (one.label) " " output.beside for=(one.name) { (frame.said.decimal(&one.said(one.value))) } " " (one.typed.sign)
                    input id=(one.name) name=(one.name) type="range" min=(one.said(one.least)) max=(one.said(one.most)) step=(one.step) value=(one.said(one.value));
                }
            } }
        })
    }

    /// What the calculation is asked.
    fn asked(&self, frame: &Frame, limits: &Limits) -> Result<AskedCheapest, Problem> {
        let all = self.limits(frame, limits)?;
        let of = |name: &str| all.iter().find(|one| one.name == name).map(|one| one.value * one.typed.factor);
        let text = |name: &str| of(name).map(|kg_m3| format!("{kg_m3:.4} kg/m³"));
        let kind = |id: &str| self.materials.iter().find(|m| m.id.as_str() == id).map(|m| m.kind);
        let choice = |part: &workshop::catalogue::Ingredient| {
            let free = kind(part.material.as_str()).is_some_and(|kind| {
                kind.is_cement()
                    || matches!(
                        kind,
                        MaterialKind::Water | MaterialKind::Aggregate | MaterialKind::LightweightAggregate
                    )
            });
            WrittenChoice {
                material: part.material.to_string(),
                kind: None,
                relative_density: None,
                price: None,
                exactly: (!free).then(|| format!("{} kg/m³", part.kg_m3)),
                least: None,
                most: None,
                portland_percent: None,
                water_percent: 0.0,
                absorption_percent: 0.0,
                saturation_percent: None,
            }
        };
        let r = &self.revision;
        Ok(AskedCheapest {
            materials: r.ingredients.iter().map(choice).collect(),
            foam: r.foam.as_ref().map(|foam| WrittenFoamChoice {
                density: format!("{} kg/m³", foam.density_kg_m3),
                water_counted: foam.water_counted,
                dilution: foam.dilution,
                concentrate_relative_density: None,
                concentrate: Some(foam.concentrate.to_string()),
                price: None,
                least_percent: None,
                most_percent: None,
            }),
            air_percent: r.air_percent,
            wet_density: Some(WrittenBand { exactly: None, least: text("wet_least"), most: text("wet_most") }),
            oven_dry_density: None,
            water_cement: self.water_cement.map(|_| RatioBand {
                exactly: None,
                least: of("water_least"),
                most: of("water_most"),
            }),
            water_cementitious: None,
            cement: self.water_cement.map(|_| WrittenBand { exactly: None, least: text("cement_least"), most: None }),
        })
    }
}

impl Slider {
    fn said(&self, value: f64) -> String {
        let decimals = if self.step < 0.05 { 2 } else { usize::from(self.step < 0.5) };
        format!("{value:.decimals$}")
    }
}

fn answer(frame: &Frame, begun: &Begun, found: &Result<CheapestFound, Vec<Fault>>) -> Markup {
    html! {
        @match found {
            Err(faults) => { h2 { (words::LIMITS_REFUSED) } ul { @for fault in faults { li { (fault.detail) } } } }
            Ok(CheapestFound { mix: Some(mix), worked, .. }) => { (cheapest_mix(frame, begun, mix)) (lines(&frame.said, words::HOW_COST, worked)) (lines(&frame.said, words::HOW_PROPORTIONS, &mix.proportions.worked)) }
            Ok(CheapestFound { conflict: Some(conflict), .. }) => {
                h2 { (words::LIMITS_CONFLICT) }
                p.warn { (frame.said.sentence(&conflict.sentence)) }
                ul { @for limit in &conflict.limits { li { (limit.limit) @if let Some(nearest) = limit.nearest { (words::nearest(&frame.said.number(nearest, 2), &limit.unit)) } } } }
            }
            Ok(_) => p.warn { (words::NOTHING_FOUND) },
        }
    }
}

fn cheapest_mix(frame: &Frame, begun: &Begun, mix: &CheapestMix) -> Markup {
    let said = &frame.said;
    let money = |minor: f64| said.money(minor.round() as i64);
    let now = |id: &str| {
        begun
            .revision
            .ingredients
            .iter()
            .filter(|part| part.material.as_str() == id)
            .map(|part| part.kg_m3)
            .sum::<f64>()
    };
    html! {
        h2 { (words::a_cubic_metre(&money(mix.cost_minor_m3))) }
        @if let Some(cost) = begun.cost { p { @if cost - mix.cost_minor_m3 > 0.5 { (words::saves(&money(cost), &money(cost - mix.cost_minor_m3))) } @else { (words::saves_nothing(&money(cost))) } } }
        p.aim { (words::wet_density(&said.wet_density(mix.proportions.wet_density_kg_m3))) @if let Some(ratio) = mix.proportions.water_cement { (words::and_ratio(&said.number(ratio, 2))) } }
        div.wide { table.amounts {
            thead { tr { th { (words::in_one(said.content_of().0)) } th { (words::NOW) } th { (words::CHEAPEST) } th { (words::COSTS) } } }
            tbody { @for part in &mix.parts { tr {
                th scope="row" { (frame.names.material(&part.material)) }
                td { @if part.material != FOAM { (said.content(now(&part.material))) } } td { (said.content(part.content_kg_m3)) } td { (money(part.cost_minor_m3)) }
            } } }
        } }
        @if !mix.binding.is_empty() { h3 { (words::BINDING) } ul { @for limit in &mix.binding { li { (said.sentence(&limit.sentence)) } } } }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(cheapest);
}
