//! Who may see the workshop and change it: tokens for people and programs, and tokens that open single feeds.

use std::collections::BTreeMap;

use actix_web::get;
use chrono::{DateTime, Utc};
use maud::{Markup, html};
use store::tokens::{Role, TokenId};
use utoipa_actix_web::service_config::ServiceConfig;

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::workshop as words;
use crate::http::document::DOCUMENT;
use crate::http::reply::Answer;
use crate::http::routes::feed_of;

#[utoipa::path(
    tag = "pages", summary = "The page of who may see the workshop", description = "Tokens and feed tokens: made here, shown once, revoked.",
    security(("token" = ["office"])),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/access")]
async fn access(state: Visit) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let mut tokens = store::tokens::list(&tx).await?;
    let mut feeds = store::feed_tokens::list(&tx).await?;
    tx.rollback().await?;
    tokens.retain(|token| token.revoked_at.is_none());
    feeds.retain(|token| token.revoked_at.is_none());
    let main = html! {
        p { a href="/pages/workshop" { (words::BACK_TO_THE_WORKSHOP) } }
        section aria-labelledby="tokens" {
            h2 #tokens { (words::TOKENS) }
            @if tokens.is_empty() {
                p.warn { (words::NO_TOKENS) }
            }
            ul.plain { @for token in &tokens {
                li.card { (held(&frame, &token.name, role(token.role), token.made_at, token.expires_at)) (revoke("tokens", token.id, &token.name)) }
            } }
            form.entry data-once="/tokens" data-shows="token" data-named=(words::NEW_TOKEN) {
                h3 { (words::MAKE_ONE) }
                (form::text(words::FOR_WHOM_OR_WHAT, "name", "", true))
                (form::choice(words::MAY, "role", &[("bench", words::ROLE_BENCH), ("office", words::ROLE_OFFICE), ("reader", words::ROLE_READER)], if tokens.is_empty() { "office" } else { "bench" }))
                button { (words::MAKE_IT) }
                output {}
            }
        }
        section aria-labelledby="feeds" {
            h2 #feeds { (words::FEEDS) }
            p { (words::ABOUT_FEEDS) }
            ul.plain { @for token in &feeds {
                li.card { (held(&frame, &token.name, &words::reads(&token.feeds.join(", ")), token.made_at, token.expires_at)) (revoke("feed-tokens", token.id, &token.name)) }
            } }
            form.entry data-once="/feed-tokens" data-shows="append" data-named=(words::NEW_FEED) {
                h3 { (words::MAKE_ONE) }
                (form::text(words::FOR_WHOM_OR_WHAT, "name", "", true))
                fieldset { legend { (words::FEEDS_IT_OPENS) }
                    @for (feed, formats) in feeds_there() {
                        label.tick { input type="checkbox" name="feeds" value=(feed) data-kind="listed" data-formats=(formats.join(" ")); " " (feed) " " span.quiet { (formats.join(", ")) } }
                    }
                }
                button { (words::MAKE_IT) }
                output {}
            }
        }
    };
    Ok(frame.page(Place::Workshop, words::WHO_MAY_SEE_IT, main))
}

/// The feeds there are, each with its formats.
fn feeds_there() -> BTreeMap<&'static str, Vec<&'static str>> {
    let mut feeds: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for pattern in DOCUMENT.routes.all().iter().map(|route| route.pattern.as_str()) {
        if let Some(feed) = feed_of(pattern) {
            feeds.entry(feed).or_default().push(&pattern[feed.len() + 1..]);
        }
    }
    feeds
}

const fn role(role: Role) -> &'static str {
    match role {
        Role::Office => words::MAY_ALL,
        Role::Bench => words::MAY_BENCH,
        Role::Reader => words::MAY_LOOK,
    }
}

fn held(frame: &Frame, name: &str, may: &str, made_at: DateTime<Utc>, expires_at: Option<DateTime<Utc>>) -> Markup {
    html! {
        p { strong { (name) } ": " (may) ". " span.quiet { (words::made(&frame.said.day(made_at.date_naive()), expires_at.map(|end| frame.said.day(end.date_naive())).as_deref())) } }
    }
}

fn revoke(kind: &str, id: TokenId, name: &str) -> Markup {
    html! {
        form.entry.line data-send={ "/" (kind) "/" (id) } data-method="DELETE" data-named=(words::revoke(name)) data-then="reload" {
            button.slight aria-label=(words::revoke(name)) { (words::REVOKE) } output {}
        }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(access);
}
