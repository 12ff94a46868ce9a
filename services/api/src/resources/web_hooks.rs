//! Web hooks: addresses that are told what happened.

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post};
use feeds::notices::target;
use store::web_hooks::{self, NewWebHook};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;

use crate::http::access::new_secret;
use crate::http::body::{Asked, Body};
use crate::http::paging::PageOfAll;
use crate::http::problem::{Kind, Problem};
use crate::http::reply::{Answer, Reply, to_value};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::notices::{GivenWebHook, MadeWebHook, ToldWebHook, WebHook};

#[utoipa::path(
    tag = "notices", summary = "List web hooks", description = "All that were made and not ended, without their secrets, and how their messages fare.",
    security(("token" = ["office"])), params(PageOfAll), responses((status = 200, description = "A page of them", body = Vec<WebHook>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/web-hooks")]
async fn list(state: Data<State>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let (found, sending) = (web_hooks::list(&tx).await?, store::notices::sending(&tx).await?);
    tx.rollback().await?;
    let form = |hook: web_hooks::WebHook| {
        let (waiting, set_aside) = sending.get(&hook.id).copied().unwrap_or_default();
        let web_hooks::WebHook { id, name, url, kinds, made_at, .. } = hook;
        WebHook { id, name, url, kinds: kinds.into_iter().map(Into::into).collect(), made_at, waiting, set_aside }
    };
    let open = found.into_iter().filter(|hook| hook.ended_at.is_none()).collect();
    page.into_inner().reply("/web-hooks", &[], open, |hook: &web_hooks::WebHook| hook.id.to_string(), form)
}

#[utoipa::path(
    tag = "notices", summary = "Make a web hook",
    description = "From then on each notice of its kinds is sent there by POST, in the form of GET /events, signed with a secret that is shown this one time. What is not answered with 2xx within 10 seconds is sent again, longer and longer after, and set aside after eight attempts. A message may come twice: Mouldboard-Notice has the event's id. It takes no Idempotency-Key, since a kept answer would keep the secret.",
    request_body = GivenWebHook, responses((status = 201, description = "It is made", body = MadeWebHook))
)]
#[post("/web-hooks")]
async fn create(state: Data<State>, body: Body<GivenWebHook>) -> Answer {
    if body.asked.key.is_some() {
        return Err(Problem::new(Kind::BadRequest, "Web hooks take no Idempotency-Key: leave it out."));
    }
    let GivenWebHook { name, url, kinds } = &body.value;
    target(url, state.config.hooks_to_private).map_err(|why| Problem::faulty(vec![Fault::at("/url", why)]))?;
    let kinds: Vec<_> = kinds.iter().copied().map(Into::into).collect();
    let secret = new_secret();
    alter(&state, &body.asked, async |tx| {
        let new = NewWebHook { name, url, kinds: &kinds, secret: &secret };
        let made = web_hooks::insert(tx, &new, state.now()).await?;
        let (place, told) = (format!("/web-hooks/{}", made.id), to_value(&ToldWebHook::from(&made))?);
        let made = MadeWebHook { id: made.id, name: made.name, secret };
        let reply = Reply::json(&made)?.with_status(201).with_header("Cache-Control", "no-store");
        Ok(Altered::made(reply, place, told))
    })
    .await
}

#[utoipa::path(
    tag = "notices", summary = "End a web hook", description = "At once, for good. No If-Match: a web hook never changes.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)), responses((status = 204, description = "Nothing more is sent there"))
)]
#[delete("/web-hooks/{id}")]
async fn end(state: Data<State>, id: Path<i64>, asked: Asked) -> Answer {
    alter(&state, &asked, async |tx| {
        let before = web_hooks::find(tx, *id).await?.as_ref().map(ToldWebHook::from);
        web_hooks::end(tx, *id, state.now()).await?;
        Ok(Altered::removed(to_value(&before)?))
    })
    .await
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(end);
}
