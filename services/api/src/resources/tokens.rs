//! Tokens: made by the office, shown once, revoked.

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post};
use chrono::{DateTime, Utc};
use store::tokens::TokenId;
use store::{StoreError, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;

use crate::http::access::{Role, new_token};
use crate::http::body::{Asked, Body};
use crate::http::paging::PageOfAll;
use crate::http::problem::{Kind, Problem};
use crate::http::reply::{Answer, Reply, to_value};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::office::{GivenToken, MadeToken, Token};

#[utoipa::path(
    tag = "tokens", summary = "List tokens", description = "All that have been made and not revoked, without their texts.",
    security(("token" = ["office"])), params(PageOfAll), responses((status = 200, description = "A page of them", body = Vec<Token>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/tokens")]
async fn list(state: Data<State>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let found = store::tokens::list(&tx).await?;
    tx.rollback().await?;
    let tokens: Vec<Token> = found.into_iter().filter(|token| token.revoked_at.is_none()).map(form).collect();
    page.into_inner().reply("/tokens", &[], tokens, |token| token.id.to_string(), |token| token)
}

/// What the trail of changes tells of a token: all but the token itself; nothing where there is none, or it was revoked.
///
/// # Errors
/// Those of the database.
pub async fn told(tx: &Tx, id: TokenId) -> Result<Option<Token>, StoreError> {
    let found = store::tokens::list(tx).await?.into_iter().find(|token| token.id == id && token.revoked_at.is_none());
    Ok(found.map(form))
}

fn form(token: store::tokens::Token) -> Token {
    let role = Role::from(token.role).into();
    Token { id: token.id.get(), name: token.name, role, made_at: token.made_at, expires_at: token.expires_at }
}

#[utoipa::path(
    tag = "tokens", summary = "Make a token",
    description = "Shows it this one time; only its hash is kept. It takes no Idempotency-Key, since a kept answer would keep the token. Once there is a token, everyone needs one: make the first for the office.",
    request_body = GivenToken, responses((status = 201, description = "It is made", body = MadeToken))
)]
#[post("/tokens")]
async fn create(state: Data<State>, body: Body<GivenToken>) -> Answer {
    if body.asked.key.is_some() {
        return Err(Problem::new(Kind::BadRequest, "Tokens take no Idempotency-Key: leave it out."));
    }
    let (name, role, expires_at) = body.value.clone();
    still_to_come(&state, expires_at)?;
    let (text, hash) = new_token();
    alter(&state, &body.asked, async |tx| {
        if role != Role::Office && !store::tokens::any(tx).await? {
            let detail = "The first token has to be one for the office: with another no one could make more.";
            return Err(Problem::new(Kind::NotNow, detail));
        }
        let id = store::tokens::insert(tx, &name, role.into(), &hash, state.now(), expires_at).await?;
        let made = MadeToken { id: id.get(), name, role: role.into(), token: text };
        let reply = Reply::json(&made)?.with_status(201).with_header("Cache-Control", "no-store");
        Ok(Altered::made(reply, format!("/tokens/{id}"), to_value(&told(tx, id).await?)?))
    })
    .await
}

#[utoipa::path(
    tag = "tokens", summary = "Revoke a token", description = "At once, for good. No If-Match: a token never changes.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)), responses((status = 204, description = "It opens nothing any more"))
)]
#[delete("/tokens/{id}")]
async fn revoke(state: Data<State>, id: Path<i64>, asked: Asked) -> Answer {
    let id = TokenId::new(*id);
    alter(&state, &asked, async |tx| {
        let before = to_value(&told(tx, id).await?)?;
        store::tokens::revoke(tx, id, state.now()).await?;
        Ok(Altered::removed(before))
    })
    .await
}

/// That an end lies ahead.
pub(super) fn still_to_come(state: &State, end: Option<DateTime<Utc>>) -> Result<(), Problem> {
    let now = state.now();
    match end {
        Some(end) if end <= now => {
            let detail = format!("{end} is past: give an instant after {now}, or leave it out");
            Err(Problem::faulty(vec![Fault::at("/expires_at", detail)]))
        }
        _ => Ok(()),
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(revoke);
}
