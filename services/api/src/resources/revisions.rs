//! The revisions of a mix: made once, then only put on trial, in use or retired; each time is kept.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post, put};
use store::{Record, Versioned};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue as domain;
use workshop::checks;
use workshop::ids::{MixId, RevisionId};
use workshop::trials::standing_on;

use super::nouns::id_of;
use crate::http::body::Body;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, Shown, once};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::Id;
use crate::wire::mixes::{MixRevision, RevisionStanding};
use crate::wire::trials::Standing;

fn shown(found: Versioned<domain::MixRevision>) -> Result<Shown, Problem> {
    Shown::new(found.version, &MixRevision::from(found.value))
}

/// A revision from the two parts of its path.
pub(super) fn named(mix: &str, number: i64) -> Result<RevisionId, Problem> {
    let mix: MixId = id_of::<domain::Mix>(mix)?;
    let number = u32::try_from(number).ok().filter(|n| *n > 0);
    let number = number.ok_or_else(|| Problem::not_found("mix revision", format!("{mix}@0")))?;
    Ok(RevisionId { mix, number })
}

#[utoipa::path(
    tag = "mixes", summary = "List the revisions of a mix", description = "In the order of their numbers, in pages.",
    params(("id" = inline(Id), Path, description = "The mix"), Page),
    responses((status = 200, description = "A page of them", body = Vec<MixRevision>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/mixes/{id}/revisions")]
async fn list(state: Data<State>, id: Path<String>, page: Query<Page>) -> Answer {
    let mix = id_of::<domain::Mix>(&id)?;
    let after = page.after(|text| RevisionId::parse(text).ok().filter(|revision| revision.mix == mix))?;
    let tx = state.store.read().await?;
    domain::Mix::find(&tx, &mix).await?.ok_or_else(|| Problem::not_found(domain::Mix::NOUN, &mix))?;
    // Revisions are few and ordered by mix and number: those of this mix begin after its number 0.
    let from = after.unwrap_or_else(|| RevisionId { mix: mix.clone(), number: 0 });
    let mut found = domain::MixRevision::page(&tx, Some(&from), page.limit_and_one()).await?;
    tx.rollback().await?;
    found.retain(|revision| revision.value.id.mix == mix);
    let path = format!("/mixes/{mix}/revisions");
    page.reply(&path, &[], found, |v| v.value.id.to_string(), |v| MixRevision::from(v.value))
}

#[utoipa::path(
    tag = "mixes", summary = "Make a revision of a mix", description = "Its numbers never change afterwards; a better recipe is a new revision.",
    params(("id" = inline(Id), Path, description = "The mix")), request_body = MixRevision,
    responses((status = 201, description = "It is made", body = MixRevision, headers(("ETag" = String, description = "its version"), ("Location" = String, description = "its path"))))
)]
#[post("/mixes/{id}/revisions")]
async fn create(state: Data<State>, id: Path<String>, body: Body<MixRevision>) -> Answer {
    let mix = id_of::<domain::Mix>(&id)?;
    if body.value.id.mix != mix {
        let detail = format!("'{}' is no revision of the mix in the path: give {mix}@ and a number", body.value.id);
        return Err(Problem::faulty(vec![Fault::at("/id", detail)]));
    }
    once(&state, &body.asked, async |tx| {
        domain::Mix::find(tx, &mix).await?.ok_or_else(|| Problem::not_found(domain::Mix::NOUN, &mix))?;
        let made = store::standings::insert(tx, &body.value, state.now()).await?;
        let location = format!("/mixes/{mix}/revisions/{}", made.value.id.number);
        Ok(shown(made)?.reply().created_at(location))
    })
    .await
}

#[utoipa::path(
    tag = "mixes", summary = "Read a revision of a mix", description = "Its ETag is what a change has to name.",
    params(("id" = inline(Id), Path, description = "The mix"), ("number" = i64, Path, description = "The revision's number, counted from 1", minimum = 1, maximum = 100000)),
    responses((status = 200, description = "The one named", body = MixRevision, headers(("ETag" = String, description = "its version"))))
)]
#[get("/mixes/{id}/revisions/{number}")]
async fn read(state: Data<State>, path: Path<(String, i64)>, known: IfNoneMatch) -> Answer {
    let id = named(&path.0, path.1)?;
    let tx = state.store.read().await?;
    let found = domain::MixRevision::find(&tx, &id).await?;
    tx.rollback().await?;
    let found = found.ok_or_else(|| Problem::not_found(domain::MixRevision::NOUN, &id))?;
    Ok(shown(found)?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "mixes", summary = "Put a revision on trial, in use, or retire it",
    description = "The one thing about a revision that changes, with the reason. In use asks for a trial of it on record that found a hardened density or a strength, or a reason: where only a trial is there, it is the reason.",
    params(("id" = inline(Id), Path, description = "The mix"), ("number" = i64, Path, description = "The revision's number, counted from 1", minimum = 1, maximum = 100000)),
    request_body = RevisionStanding,
    responses((status = 200, description = "As it is now", body = MixRevision, headers(("ETag" = String, description = "its version"))))
)]
#[put("/mixes/{id}/revisions/{number}")]
async fn stand(state: Data<State>, path: Path<(String, i64)>, seen: IfMatch, body: Body<RevisionStanding>) -> Answer {
    let id = named(&path.0, path.1)?;
    alter(&state, &body.asked, async |tx| {
        let found = domain::MixRevision::find(tx, &id).await?;
        let current = found.ok_or_else(|| Problem::not_found(domain::MixRevision::NOUN, &id))?;
        let before = shown(current.clone())?;
        seen.agrees(&before)?;
        let (standing, reason) = &body.value;
        let newest = store::trials::newest(tx, &id).await?;
        let on = standing_on(*standing, reason.as_deref(), newest.as_ref());
        let (trial, reason) = on.map_err(|fault| Problem::faulty(vec![fault]))?;
        let changed = domain::MixRevision { state: *standing, reason, ..current.value };
        let faults = checks::mix::revision_faults(&changed);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let changed = store::standings::replace(tx, &changed, current.version, state.now(), trial).await?;
        Ok(Altered::put(Some(before), &shown(changed)?))
    })
    .await
}

#[utoipa::path(
    tag = "mixes", summary = "List the states a revision was put in",
    description = "Each time, with the trial or the reason it was put in use on, in the order they came, in pages. Nothing of it is ever changed.",
    params(("id" = inline(Id), Path, description = "The mix"), ("number" = i64, Path, description = "The revision's number, counted from 1", minimum = 1, maximum = 100000), Page),
    responses((status = 200, description = "A page of them", body = Vec<Standing>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/mixes/{id}/revisions/{number}/standings")]
async fn standings(state: Data<State>, path: Path<(String, i64)>, page: Query<Page>) -> Answer {
    let id = named(&path.0, path.1)?;
    let after = page.after(|text| text.parse().ok())?;
    let tx = state.store.read().await?;
    domain::MixRevision::find(&tx, &id).await?.ok_or_else(|| Problem::not_found(domain::MixRevision::NOUN, &id))?;
    let found = store::standings::page(&tx, &id, after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let path = format!("/mixes/{}/revisions/{}/standings", id.mix, id.number);
    page.reply(&path, &[], found, |(number, _)| number.to_string(), Standing::from)
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(standings).service(read).service(stand);
}
