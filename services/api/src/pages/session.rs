//! Signing in to the pages with a token, and out again.

use actix_web::web::{Data, Form, Redirect};
use actix_web::{HttpRequest, HttpResponse, Responder, post};
use chrono::TimeDelta;
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

use super::words::frame as words;
use crate::http::access::{SESSION_COOKIE, hash, new_token, session_of};
use crate::http::problem::{Kind, Problem};
use crate::state::State;

/// How long a browser stays signed in, days.
const DAYS: i64 = 14;

/// A token, shown by a person.
#[derive(Deserialize, ToSchema)]
#[schema(example = json!({ "token": "mb_0123456789abcdef" }))]
pub struct SignIn {
    /// The token.
    #[schema(min_length = 1, max_length = 200)]
    token: String,
}

#[utoipa::path(
    tag = "pages", summary = "Sign in to the pages",
    description = "Shows a token once; the browser then holds a cookie that opens what the token opens, for two weeks or until the token is revoked. Programs send the token itself with each request.",
    security(()), request_body(content = SignIn, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "Signed in: on to today's page", headers(("Location" = String, description = "today's page"), ("Set-Cookie" = String, description = "the session"))))
)]
#[post("/pages/session")]
async fn sign_in(state: Data<State>, request: HttpRequest, form: Form<SignIn>) -> Result<HttpResponse, Problem> {
    let now = state.now();
    let tx = state.store.write().await?;
    let found = store::tokens::find_by_hash(&tx, &hash(form.token.trim()), now).await?;
    let Some((token, ..)) = found else {
        return Err(Problem::new(Kind::TokenNeeded, words::TOKEN_UNKNOWN));
    };
    let (text, hash) = new_token();
    store::sessions::begin(&tx, &hash, token, now, now + TimeDelta::days(DAYS)).await?;
    tx.commit().await?;
    let secure = if request.connection_info().scheme() == "https" { "; Secure" } else { "" };
    let cookie = format!(
        "{SESSION_COOKIE}={text}; Path=/; HttpOnly; SameSite=Strict; Max-Age={}{secure}",
        TimeDelta::days(DAYS).num_seconds()
    );
    Ok(to_today(&request, cookie))
}

#[utoipa::path(
    tag = "pages", summary = "Sign out of the pages", description = "Ends the browser's session; nothing where there is none.",
    security(()), responses((status = 303, description = "Signed out: on to the first page", headers(("Location" = String, description = "the first page"))))
)]
#[post("/pages/session/end")]
async fn sign_out(state: Data<State>, request: HttpRequest) -> Result<HttpResponse, Problem> {
    if let Some(session) = session_of(request.headers()) {
        let tx = state.store.write().await?;
        store::sessions::end(&tx, &hash(&session)).await?;
        tx.commit().await?;
    }
    Ok(to_today(&request, format!("{SESSION_COOKIE}=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0")))
}

fn to_today(request: &HttpRequest, cookie: String) -> HttpResponse {
    let mut response = Redirect::to("/").see_other().respond_to(request).map_into_boxed_body();
    if let Ok(cookie) = actix_web::http::header::HeaderValue::from_str(&cookie) {
        response.headers_mut().append(actix_web::http::header::SET_COOKIE, cookie);
    }
    response
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(sign_in).service(sign_out);
}
