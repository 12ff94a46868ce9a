//! Tokens that open feeds only: made by the office, shown once, revoked.

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post};
use store::feed_tokens::{self, NewFeedToken};
use store::tokens::TokenId;
use store::{StoreError, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;

use super::tokens::still_to_come;
use crate::http::access::NewFeedSecret;
use crate::http::body::{Asked, Body};
use crate::http::document::DOCUMENT;
use crate::http::paging::PageOfAll;
use crate::http::problem::{Kind, Problem};
use crate::http::pull::FEED_TOKEN;
use crate::http::reply::{Answer, Reply, to_value};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::office::{FeedToken, GivenFeedToken, MadeFeedToken};

#[utoipa::path(
    tag = "tokens", summary = "List feed tokens", description = "All that have been made and not revoked, without their texts.",
    security(("token" = ["office"])), params(PageOfAll), responses((status = 200, description = "A page of them", body = Vec<FeedToken>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/feed-tokens")]
async fn list(state: Data<State>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let found = feed_tokens::list(&tx).await?;
    tx.rollback().await?;
    let tokens: Vec<FeedToken> = found.into_iter().filter(|token| token.revoked_at.is_none()).map(form).collect();
    page.into_inner().reply("/feed-tokens", &[], tokens, |token| token.id.to_string(), |token| token)
}

/// What the trail of changes tells of a feed token: all but the token itself; nothing where there is none, or it was revoked.
///
/// # Errors
/// Those of the database.
pub async fn told(tx: &Tx, id: TokenId) -> Result<Option<FeedToken>, StoreError> {
    let found = feed_tokens::list(tx).await?.into_iter().find(|token| token.id == id && token.revoked_at.is_none());
    Ok(found.map(form))
}

fn form(token: feed_tokens::FeedToken) -> FeedToken {
    let feed_tokens::FeedToken { id, name, feeds, made_at, expires_at, .. } = token;
    FeedToken { id: id.get(), name, feeds, made_at, expires_at }
}

#[utoipa::path(
    tag = "tokens", summary = "Make a feed token",
    description = "For calendars and spreadsheets that can send no header: it goes into the address of a feed, opens the feeds named and nothing else, and only reads. It is shown this one time. It takes no Idempotency-Key, since a kept answer would keep the token.",
    request_body = GivenFeedToken, responses((status = 201, description = "It is made", body = MadeFeedToken))
)]
#[post("/feed-tokens")]
async fn create(state: Data<State>, body: Body<GivenFeedToken>) -> Answer {
    if body.asked.key.is_some() {
        return Err(Problem::new(Kind::BadRequest, "Tokens take no Idempotency-Key: leave it out."));
    }
    let GivenFeedToken { name, feeds, expires_at } = body.value.clone();
    still_to_come(&state, expires_at)?;
    known_feeds(&feeds)?;
    let secret = NewFeedSecret::draw();
    alter(&state, &body.asked, async |tx| {
        let new = NewFeedToken { name: &name, lookup: &secret.lookup, hash: &secret.hash, feeds: &feeds, expires_at };
        let id = feed_tokens::insert(tx, &new, state.now()).await?;
        let append = format!("?{FEED_TOKEN}={}", secret.token);
        let made = MadeFeedToken { id: id.get(), name, feeds, token: secret.token, append };
        let reply = Reply::json(&made)?.with_status(201).with_header("Cache-Control", "no-store");
        Ok(Altered::made(reply, format!("/feed-tokens/{id}"), to_value(&told(tx, id).await?)?))
    })
    .await
}

/// That each is a feed there is.
fn known_feeds(feeds: &[String]) -> Result<(), Problem> {
    let there = DOCUMENT.routes.feeds();
    let unknown = feeds.iter().enumerate().filter(|(_, feed)| !there.contains(feed.as_str()));
    let names = there.iter().copied().collect::<Vec<_>>().join(", ");
    let faults: Vec<Fault> = unknown
        .map(|(at, feed)| Fault::at(format!("/feeds/{at}"), format!("'{feed}' is no feed: there are {names}")))
        .collect();
    if faults.is_empty() { Ok(()) } else { Err(Problem::faulty(faults)) }
}

#[utoipa::path(
    tag = "tokens", summary = "Revoke a feed token", description = "At once, for good. No If-Match: a token never changes.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)), responses((status = 204, description = "It opens nothing any more"))
)]
#[delete("/feed-tokens/{id}")]
async fn revoke(state: Data<State>, id: Path<i64>, asked: Asked) -> Answer {
    let id = TokenId::new(*id);
    alter(&state, &asked, async |tx| {
        let before = to_value(&told(tx, id).await?)?;
        feed_tokens::revoke(tx, id, state.now()).await?;
        Ok(Altered::removed(before))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(revoke);
}
