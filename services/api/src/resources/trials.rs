//! Trials: recorded, listed, laid side by side, and what they say together.

use std::collections::BTreeSet;

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post, put};
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision};
use workshop::ids::{MixId, RevisionId, TrialId};
use workshop::planning::draws::{Materials, is_rapid};
use workshop::trials::Trial as DomainTrial;

use super::nouns::{self, Noun, id_of, noun, same_id, shown};
use crate::calculations::revision_cost;
use crate::calculations::trials::{Figures, against, density_strength};
use crate::http::body::{Asked, Body, Form, Incoming as _};
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Reply, once};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::trial_findings::{AskedTrialComparison, ConcreteOfLine, DensityStrength, TrialComparison};
use crate::wire::trials::Trial;
use crate::wire::{Id, RevisionText, id};

noun!(DomainTrial, form: Trial, id: TrialId, list: "/trials");

/// Which trials.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct TrialFilter {
    /// Only those of this mix revision.
    #[param(inline)]
    pub revision: Option<RevisionText>,
}

#[utoipa::path(
    tag = "trials", summary = "List trials", description = "In the order of their ids, in pages; of all revisions unless one is named.",
    params(TrialFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<Trial>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/trials")]
async fn list(state: Data<State>, filter: Query<TrialFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| TrialId::parse(text).ok())?;
    let revision = filter.revision.as_ref().map(|text| crate::wire::revision("/query/revision", text)).transpose();
    let revision = revision.map_err(Problem::bad_request)?;
    let tx = state.store.read().await?;
    let found = store::trials::page_of_revision(&tx, revision.as_ref(), after.as_ref(), page.limit_and_one()).await?;
    tx.rollback().await?;
    let filters = [("revision", revision.map(|revision| revision.to_string()))];
    page.reply("/trials", &filters, found, |v| v.value.id.to_string(), |v| Trial::from(v.value))
}

#[utoipa::path(
    tag = "trials", summary = "Read a trial", description = "Its ETag is what a change has to name.",
    params(("id" = inline(Id), Path, description = "Its id")),
    responses((status = 200, description = "The one named", body = Trial, headers(("ETag" = String, description = "its version"))))
)]
#[get("/trials/{id}")]
async fn read(state: Data<State>, id: Path<String>, known: IfNoneMatch) -> Answer {
    nouns::read::<DomainTrial>(&state, &id, &known).await
}

#[utoipa::path(
    tag = "trials", summary = "Record a trial",
    description = "Of a revision in any state. What comes later (strengths, dry densities) is added by replacing it.",
    security(("token" = ["bench"])), request_body = Trial,
    responses((status = 201, description = "It is recorded", body = Trial, headers(("ETag" = String, description = "its version"), ("Location" = String, description = "its path"))))
)]
#[post("/trials")]
async fn create(state: Data<State>, body: Form<Trial>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let trial = sound(&state, tx, body.form.clone()).await?;
        let made = DomainTrial::insert(tx, &trial).await?;
        Ok(shown(&made)?.reply().created_at(made.value.location()))
    })
    .await
}

#[utoipa::path(
    tag = "trials", summary = "Replace a trial",
    description = "The whole of it, with what was found since; only its revision stays.",
    security(("token" = ["bench"])), params(("id" = inline(Id), Path, description = "Its id")), request_body = Trial,
    responses((status = 200, description = "It is replaced", body = Trial, headers(("ETag" = String, description = "its version"))))
)]
#[put("/trials/{id}")]
async fn replace(state: Data<State>, id: Path<String>, seen: IfMatch, body: Form<Trial>) -> Answer {
    let id = id_of::<DomainTrial>(&id)?;
    alter(&state, &body.asked, async |tx| {
        let trial = sound(&state, tx, body.form.clone()).await?;
        same_id(&id.to_string(), &trial.id.to_string())?;
        let current = DomainTrial::find(tx, &id).await?.ok_or_else(|| Problem::not_found(DomainTrial::NOUN, &id))?;
        let before = shown(&current)?;
        seen.agrees(&before)?;
        let changed = DomainTrial::replace(tx, &trial, current.version).await?;
        Ok(Altered::put(Some(before), &shown(&changed)?))
    })
    .await
}

#[utoipa::path(
    tag = "trials", summary = "Remove a trial", description = "For slips; not one on which a revision was put in use.",
    params(("id" = inline(Id), Path, description = "Its id")),
    responses((status = 204, description = "It is gone"))
)]
#[delete("/trials/{id}")]
async fn remove(state: Data<State>, id: Path<String>, seen: IfMatch, asked: Asked) -> Answer {
    nouns::remove::<DomainTrial>(&state, &id, &seen, &asked).await
}

/// A trial with nothing wrong in it, and not of a day to come; or all that is wrong.
async fn sound(state: &State, tx: &Tx, form: Trial) -> Result<DomainTrial, Problem> {
    let today = state.today(tx).await?;
    let to_come = (form.mixed_on > today).then(|| {
        let detail = format!("{} is after today, {today}: record a trial once it is mixed", form.mixed_on);
        Fault::at("/mixed_on", detail)
    });
    match (form.into_domain(), to_come) {
        (Ok(trial), None) => Ok(trial),
        (found, to_come) => {
            Err(Problem::faulty(to_come.into_iter().chain(found.err().into_iter().flatten()).collect()))
        }
    }
}

#[utoipa::path(
    tag = "trials", summary = "Lay trials side by side",
    description = "Each against one reference concrete: lighter by in every state known of both, stronger at one age, less worn, cheaper in material at today's prices. What is not known of both is not compared, and said. Nothing is kept of it.",
    security(("token" = ["reader"])), request_body = AskedTrialComparison,
    responses((status = 200, description = "The comparison", body = TrialComparison))
)]
#[post("/trial-comparisons")]
async fn compare(state: Data<State>, body: Body<AskedTrialComparison>) -> Answer {
    let tx = state.store.read().await?;
    let found = side_by_side(&tx, &body.value).await?;
    tx.rollback().await?;
    Reply::json(&found)
}

/// Age at which strengths are compared where none is asked for, days.
const USUAL_AGE_DAYS: f64 = 28.0;

/// Trials on record against one reference concrete.
///
/// # Errors
/// Every trial that is not there, at its place in what was asked; those of the database.
pub async fn side_by_side(tx: &Tx, asked: &AskedTrialComparison) -> Result<TrialComparison, Problem> {
    let age = asked.age_days.unwrap_or(USUAL_AGE_DAYS);
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let mut faults = Vec::new();
    let mut figures = Vec::new();
    for (at, text) in asked.trials.iter().enumerate() {
        match figures_of(tx, &format!("/trials/{at}"), text, age, &by_id).await? {
            Ok(found) => figures.push(found),
            Err(more) => faults.extend(more),
        }
    }
    let reference = match (&asked.reference_trial, &asked.reference) {
        (Some(text), None) => figures_of(tx, "/reference_trial", text, age, &by_id).await?,
        (None, Some(written)) => Figures::of_reference(written),
        _ => Err(vec![Fault::at("/reference", "give a trial on record as reference, or its figures: one of the two")]),
    };
    match reference {
        Ok(reference) if faults.is_empty() => Ok(TrialComparison {
            age_days: age,
            trials: figures.iter().map(|mine| against(mine, &reference, age)).collect(),
            reference: reference.shown(),
        }),
        Ok(_) => Err(Problem::faulty(faults)),
        Err(more) => {
            faults.extend(more);
            Err(Problem::faulty(faults))
        }
    }
}

/// The figures of a trial named at a place of the form, or what is wrong with that place.
async fn figures_of(
    tx: &Tx,
    place: &str,
    text: &Id,
    age_days: f64,
    materials: &Materials<'_>,
) -> Result<Result<Figures, Vec<Fault>>, Problem> {
    let id = match id(place, TrialId::parse, text) {
        Ok(id) => id,
        Err(faults) => return Ok(Err(faults)),
    };
    let Some(trial) = DomainTrial::find(tx, &id).await? else {
        let detail = format!("there is no trial '{id}': record it first, or name one that is there");
        return Ok(Err(vec![Fault::at(place, detail)]));
    };
    let revision = MixRevision::find(tx, &trial.value.revision).await?;
    let cost = revision.and_then(|revision| revision_cost(&revision.value, materials));
    let figures = Figures::of_trial(trial.value, age_days, cost);
    Ok(figures.map_err(|error| vec![Fault::at(place, error.to_string())]))
}

/// Which trials the line is drawn through, and where it is read.
#[derive(Clone, Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct LineOf {
    /// Age of the strengths, days; 28 where none is given.
    #[param(minimum = 1, maximum = 3650)]
    pub age_days: Option<i64>,
    /// Which concrete; Portland cement with foam where none is named.
    #[param(inline)]
    pub concrete: Option<ConcreteOfLine>,
    /// Only trials of this mix; of all mixes of the concrete where none is named.
    #[param(inline)]
    pub mix: Option<Id>,
    /// Read the line at this oven-dry density, kg/m³; over the densities tried where none is given.
    #[param(minimum = 100, maximum = 3500)]
    pub density_kg_m3: Option<i64>,
}

#[utoipa::path(
    tag = "trials", summary = "The workshop's own line from density to strength",
    description = "Through the trials of one kind of concrete at one age, once there are five: strength over oven-dry density, with the interval in which nine new trials of ten fall. Nothing is said beyond the densities tried.",
    params(LineOf), responses((status = 200, description = "The line, or why there is none", body = DensityStrength))
)]
#[get("/density-strength")]
async fn line(state: Data<State>, asked: Query<LineOf>) -> Answer {
    let mix = asked.mix.as_ref().map(|text| id("/query/mix", MixId::parse, text)).transpose();
    let mix = mix.map_err(Problem::bad_request)?;
    let concrete = asked.concrete.unwrap_or_default();
    let tx = state.store.read().await?;
    let of_the_kind = revisions_of(&tx, concrete).await?;
    let mut trials = DomainTrial::all(&tx).await?;
    tx.rollback().await?;
    trials.retain(|trial| mix.as_ref().is_none_or(|mix| trial.revision.mix == *mix));
    trials.retain(|trial| of_the_kind.contains(&trial.revision));
    let at = asked.density_kg_m3.map(|kg_m3| kg_m3 as f64);
    Reply::json(&density_strength(&trials, concrete, asked.age_days.unwrap_or(USUAL_AGE_DAYS as i64), at))
}

/// The revisions of one kind of concrete.
async fn revisions_of(tx: &Tx, concrete: ConcreteOfLine) -> Result<BTreeSet<RevisionId>, Problem> {
    let materials = Material::all(tx).await?;
    let materials: Materials = materials.iter().map(|material| (&material.id, material)).collect();
    let kind = |revision: &MixRevision| ConcreteOfLine::of(is_rapid(revision, &materials), revision.foam.is_some());
    let all = MixRevision::all(tx).await?.into_iter();
    Ok(all.filter(|revision| kind(revision) == concrete).map(|revision| revision.id).collect())
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(read).service(replace).service(remove).service(compare).service(line);
}
