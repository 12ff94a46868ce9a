//! Good answers: with their ETag, given once and the same again, and only to those who saw the current state.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::http::{Method, StatusCode};
use actix_web::{FromRequest, HttpRequest, HttpResponse, HttpResponseBuilder, Responder};
use serde::Serialize;
use serde_json::Value;
use sha2::{Digest, Sha256};
use store::Tx;
use store::fail_points::reached;
use store::idempotency::Kept;
use workshop::Fault;

use super::body::Asked;
use super::problem::{Kind, Problem};
use super::trail::done;
use crate::state::State;

/// What a handler gives back.
pub type Answer = Result<Reply, Problem>;

/// A good answer, in a form that can be kept and given again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reply {
    status: u16,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
}

impl Reply {
    /// 200 with `form` as JSON.
    ///
    /// # Errors
    /// Where the form cannot be written as JSON: a number that is not finite.
    pub fn json<T: Serialize>(form: &T) -> Answer {
        Ok(Self::of_value(&to_value(form)?))
    }

    /// 200 with a JSON value.
    pub fn of_value(value: &Value) -> Self {
        Self { status: 200, headers: Vec::new(), body: value.to_string().into_bytes() }
            .with_header("Content-Type", "application/json")
    }

    /// 200 with text of a media type.
    pub fn text(text: String, media_type: &str) -> Self {
        Self::bytes(text.into_bytes(), media_type)
    }

    /// 200 with a file of a media type.
    pub fn bytes(body: Vec<u8>, media_type: &str) -> Self {
        Self { status: 200, headers: Vec::new(), body }.with_header("Content-Type", media_type)
    }

    /// 304, what the client has is still right.
    pub fn unchanged() -> Self {
        Self { status: 304, headers: Vec::new(), body: Vec::new() }
    }

    /// 200 with a page.
    pub fn html(page: String) -> Self {
        Self::text(page, "text/html; charset=utf-8")
    }

    /// 204, nothing to say.
    pub fn done() -> Self {
        Self { status: 204, headers: Vec::new(), body: Vec::new() }
    }

    /// 201, at `location`.
    #[must_use]
    pub fn created_at(mut self, location: impl Into<String>) -> Self {
        self.status = 201;
        self.with_header("Location", location)
    }

    /// A header of it.
    fn header(&self, wanted: &str) -> Option<&str> {
        self.headers.iter().find(|(name, _)| name == wanted).map(|(_, value)| value.as_str())
    }

    /// Its body as JSON; null where it is none.
    fn form(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_default()
    }

    /// With another status.
    #[must_use]
    pub fn with_status(mut self, status: u16) -> Self {
        self.status = status;
        self
    }

    /// With a header more.
    #[must_use]
    pub fn with_header(mut self, name: &str, value: impl Into<String>) -> Self {
        self.headers.push((name.to_owned(), value.into()));
        self
    }
}

/// The form as a JSON value.
///
/// # Errors
/// Where it cannot be written as JSON.
pub fn to_value<T: Serialize>(form: &T) -> Result<Value, Problem> {
    serde_json::to_value(form).map_err(|e| Problem::internal(format!("a form could not be written as JSON: {e}")))
}

impl Responder for Reply {
    type Body = actix_web::body::BoxBody;

    fn respond_to(self, request: &HttpRequest) -> HttpResponse {
        self.unless_known_to(request).sent()
    }
}

impl Reply {
    /// What is read has an ETag, made of its content where it has no other, and is not sent to whoever has it.
    fn unless_known_to(self, request: &HttpRequest) -> Self {
        if request.method() != Method::GET || self.status != 200 || self.header("ETag").is_some() {
            return self;
        }
        let hash = Sha256::digest(&self.body);
        let tag: String = hash.iter().take(12).map(|byte| format!("{byte:02x}")).collect();
        let tag = format!("\"{tag}\"");
        let known = IfNoneMatch(tags(request, &header::IF_NONE_MATCH).unwrap_or_default());
        let reply = if known.holds(&tag) { Self::unchanged() } else { self };
        reply.with_header("ETag", tag)
    }

    fn sent(self) -> HttpResponse {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::OK);
        let mut response = HttpResponseBuilder::new(status);
        for (name, value) in self.headers {
            response.append_header((name, value));
        }
        response.body(self.body)
    }
}

/// One thing with its ETag, as `GET` shows it.
pub struct Shown {
    value: Value,
    tag: String,
}

impl Shown {
    /// The form of a thing in its `version`.
    ///
    /// # Errors
    /// Where the form cannot be written as JSON.
    pub fn new<T: Serialize>(version: i64, form: &T) -> Result<Self, Problem> {
        let value = to_value(form)?;
        // The hash tells apart two things of one id, the first of which was removed: both began with version 1.
        let hash = Sha256::digest(value.to_string().as_bytes());
        let tag = format!("\"{version}-{:02x}{:02x}{:02x}{:02x}\"", hash[0], hash[1], hash[2], hash[3]);
        Ok(Self { value, tag })
    }

    /// Its form.
    pub fn form(&self) -> &Value {
        &self.value
    }

    /// Its ETag.
    pub fn tag(&self) -> &str {
        &self.tag
    }

    /// As an answer.
    pub fn reply(&self) -> Reply {
        Reply::of_value(&self.value).with_header("ETag", self.tag.clone())
    }

    /// As an answer to someone who may have it already.
    pub fn reply_unless_known(&self, known: &IfNoneMatch) -> Reply {
        if known.holds(&self.tag) {
            return Reply::unchanged().with_header("ETag", self.tag.clone());
        }
        self.reply()
    }
}

/// The ETags of an `If-Match` header, where there is one.
#[derive(Clone, Debug)]
pub struct IfMatch(Option<Vec<String>>);

impl IfMatch {
    /// Lets a change of `current` pass only where the caller saw it as it is.
    ///
    /// # Errors
    /// 428 without the header, 412 with the current state where the thing was changed meanwhile.
    pub fn agrees(&self, current: &Shown) -> Result<(), Problem> {
        let Some(tags) = &self.0 else {
            let detail = "This changes what is there: send its ETag in If-Match, so that no one's change is lost.";
            return Err(Problem::new(Kind::ConditionNeeded, detail).with_header(header::ETAG, current.tag.clone()));
        };
        if tags.iter().any(|tag| tag == "*" || *tag == current.tag) {
            return Ok(());
        }
        let detail = "It was changed since it was read: the current state is in this answer, its ETag in the header.";
        Err(Problem::new(Kind::ChangedMeanwhile, detail)
            .with("current", current.value.clone())
            .with_header(header::ETAG, current.tag.clone()))
    }
}

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let tags = tags(request, &header::IF_MATCH);
        ready(match tags {
            Some(tags) if !tags.iter().all(|tag| is_tag(tag)) => Err(Problem::bad_request(vec![Fault::at(
                "/header/if-match",
                "If-Match is no ETag: send it as it was given, with its quotation marks, or *",
            )])),
            tags => Ok(Self(tags)),
        })
    }
}

/// The ETags of an `If-None-Match` header.
#[derive(Clone, Debug)]
pub struct IfNoneMatch(Vec<String>);

impl IfNoneMatch {
    /// Whether it names this ETag, compared weakly as RFC 9110 wants it here.
    pub fn holds(&self, tag: &str) -> bool {
        let strong = |tag: &str| tag.strip_prefix("W/").unwrap_or(tag).to_owned();
        self.0.iter().any(|known| known == "*" || strong(known) == strong(tag))
    }
}

impl FromRequest for IfNoneMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self(tags(request, &header::IF_NONE_MATCH).unwrap_or_default())))
    }
}

fn tags(request: &HttpRequest, name: &header::HeaderName) -> Option<Vec<String>> {
    let values: Vec<&str> = request.headers().get_all(name).map(|v| v.to_str().unwrap_or("?")).collect();
    let all = values.iter().flat_map(|value| value.split(',')).map(|tag| tag.trim().to_owned()).collect();
    (!values.is_empty()).then_some(all)
}

fn is_tag(text: &str) -> bool {
    let quoted = text.trim_start_matches("W/");
    text == "*" || (quoted.len() >= 2 && quoted.starts_with('"') && quoted.ends_with('"'))
}

/// Does `act` in one transaction, once for each Idempotency-Key: asked again with the same key and body it gives the same
/// answer and does nothing. What it made or did goes into the trail of changes.
///
/// # Errors
/// Those of `act`, pointing into the body; 422 where the key came before with another body; those of the database.
pub async fn once<F>(state: &State, asked: &Asked, act: F) -> Answer
where
    F: AsyncFnOnce(&Tx) -> Answer,
{
    let tx = state.store.write().await?.under(asked.by.clone());
    if let Some(reply) = given_before(&tx, asked).await? {
        tx.rollback().await?;
        return Ok(reply);
    }
    let reply = act(&tx).await.map_err(|problem| asked.point(problem))?;
    store::trail::add(&tx, &[done(asked, reply.header("Location"), &reply.form())]).await?;
    if let Some(key) = &asked.key {
        let kept = Kept {
            body_hash: asked.body_hash.clone(),
            status: reply.status,
            headers: to_value(&reply.headers)?.to_string(),
            body: reply.body.clone(),
        };
        store::idempotency::keep(&tx, state.now(), key, &asked.route, &kept).await?;
    }
    reached("answer.written");
    tx.commit().await?;
    reached("answer.kept");
    Ok(reply)
}

async fn given_before(tx: &Tx, asked: &Asked) -> Result<Option<Reply>, Problem> {
    let Some(key) = &asked.key else { return Ok(None) };
    let Some(kept) = store::idempotency::find(tx, key, &asked.route).await? else { return Ok(None) };
    if kept.body_hash != asked.body_hash {
        let detail = "This Idempotency-Key came before with another body: use a new key for a new thing.";
        return Err(Problem::new(Kind::KeyReused, detail));
    }
    let headers = serde_json::from_str(&kept.headers)
        .map_err(|e| Problem::internal(format!("the headers kept for an Idempotency-Key cannot be read: {e}")))?;
    Ok(Some(Reply { status: kept.status, headers, body: kept.body }))
}
