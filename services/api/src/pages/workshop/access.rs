//! Who may see the workshop and change it: tokens for people and programs, and tokens that open single feeds.

use std::collections::BTreeMap;

use actix_web::get;
use actix_web::web::Data;
use chrono::{DateTime, Utc};
use maud::{Markup, html};
use store::tokens::{Role, TokenId};
use utoipa_actix_web::service_config::ServiceConfig;

use super::super::form;
use super::super::frame::{Frame, Place};
use crate::http::document::DOCUMENT;
use crate::http::reply::Answer;
use crate::http::routes::feed_of;
use crate::state::State;

#[utoipa::path(
    tag = "pages", summary = "The page of who may see the workshop", description = "Tokens and feed tokens: made here, shown once, revoked.",
    security(("token" = ["office"])),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/access")]
async fn access(state: Data<State>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let mut tokens = store::tokens::list(&tx).await?;
    let mut feeds = store::feed_tokens::list(&tx).await?;
    tx.rollback().await?;
    tokens.retain(|token| token.revoked_at.is_none());
    feeds.retain(|token| token.revoked_at.is_none());
    let main = html! {
        p { a href="/pages/workshop" { "Back to the workshop" } }
        section aria-labelledby="tokens" {
            h2 #tokens { "Tokens" }
            @if tokens.is_empty() {
                p.warn { "No token has been made: whoever sits at this computer may do everything, and nobody else can reach it. The first one has to be for the office; from then on everyone needs one." }
            }
            ul.plain { @for token in &tokens {
                li.card { (held(&frame, &token.name, role(token.role), token.made_at, token.expires_at)) (revoke("tokens", token.id, &token.name)) }
            } }
            form.entry data-once="/tokens" data-shows="token" data-named="New token" {
                h3 { "Make one" }
                (form::text("For whom or what", "name", "", true))
                (form::choice("May", "role", &[("bench", "work at the bench: tickets, stages, stock"), ("office", "do everything"), ("reader", "only look")], if tokens.is_empty() { "office" } else { "bench" }))
                button { "Make it" }
                output {}
            }
        }
        section aria-labelledby="feeds" {
            h2 #feeds { "Feeds" }
            p { "A calendar or spreadsheet that can send no token gets an address of its own. It opens the feeds named and nothing else. Whoever has the address can read them." }
            ul.plain { @for token in &feeds {
                li.card { (held(&frame, &token.name, &format!("reads {}", token.feeds.join(", ")), token.made_at, token.expires_at)) (revoke("feed-tokens", token.id, &token.name)) }
            } }
            form.entry data-once="/feed-tokens" data-shows="append" data-named="New feed" {
                h3 { "Make one" }
                (form::text("For whom or what", "name", "", true))
                fieldset { legend { "Feeds it opens" }
                    @for (feed, formats) in feeds_there() {
                        label.tick { input type="checkbox" name="feeds" value=(feed) data-kind="listed" data-formats=(formats.join(" ")); " " (feed) " " span.quiet { (formats.join(", ")) } }
                    }
                }
                button { "Make it" }
                output {}
            }
        }
    };
    Ok(frame.page(Place::Workshop, "Who may see it", main))
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
        Role::Office => "may do everything",
        Role::Bench => "works at the bench",
        Role::Reader => "may look",
    }
}

fn held(frame: &Frame, name: &str, may: &str, made_at: DateTime<Utc>, expires_at: Option<DateTime<Utc>>) -> Markup {
    html! {
        p { strong { (name) } ": " (may) ". " span.quiet { "Made " (frame.said.day(made_at.date_naive())) @if let Some(end) = expires_at { ", ends " (frame.said.day(end.date_naive())) } "." } }
    }
}

fn revoke(kind: &str, id: TokenId, name: &str) -> Markup {
    html! {
        form.entry.line data-send={ "/" (kind) "/" (id) } data-method="DELETE" data-named={ "Revoke " (name) } data-then="reload" {
            button.slight aria-label={ "Revoke " (name) } { "Revoke" } output {}
        }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(access);
}
