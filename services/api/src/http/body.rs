//! Bodies of requests: read within a limit, held against the document, made into what the workshop knows; all faults at once.

use std::future::Future;
use std::pin::Pin;

use actix_web::dev::Payload;
use actix_web::http::header::HeaderName;
use actix_web::web::{Bytes, BytesMut};
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use futures::StreamExt;
use serde::de::DeserializeOwned;
use serde_json::Value;
use sha2::{Digest, Sha256};
use utoipa::ToSchema;
use workshop::Fault;

use super::access::Caller;
use super::document::SCHEMAS;
use super::problem::{Kind, Problem};
use super::shape::Schemas;

/// Most bytes of a body.
pub const BODY_LIMIT: usize = 1024 * 1024;
/// Most bytes read and thrown away so that a caller who sends too much still hears why.
const PATIENCE: usize = 16 * BODY_LIMIT;
const IDEMPOTENCY_KEY: HeaderName = HeaderName::from_static("idempotency-key");

type Reading<T> = Pin<Box<dyn Future<Output = Result<T, Problem>>>>;

/// A form that can be read from a request and made into something the workshop knows.
pub trait Incoming: DeserializeOwned + ToSchema + 'static {
    /// What it is made into.
    type Domain;

    /// Makes it so, or lists every fault of its content.
    ///
    /// # Errors
    /// Every fault found, with pointers into the body.
    fn into_domain(self) -> Result<Self::Domain, Vec<Fault>>;
}

/// What was asked, so far as answering again and pointing at faults needs it.
#[derive(Clone, Debug)]
pub struct Asked {
    /// The Idempotency-Key, where there is one.
    pub key: Option<String>,
    /// Method and path.
    pub route: String,
    /// SHA-256 of the body.
    pub body_hash: Vec<u8>,
    /// The name of the token it came with, where there was one.
    pub by: Option<String>,
    /// The body as JSON, where it is.
    sent: Value,
}

/// A JSON body, read and checked.
pub struct Body<T: Incoming> {
    /// What it says.
    pub value: T::Domain,
    /// What was asked.
    pub asked: Asked,
}

/// A JSON body in its documented form, whose content is still to be checked: where more is needed for that than the body
/// itself, so that all its faults are told at once.
pub struct Form<T: Incoming> {
    /// What it says.
    pub form: T,
    /// What was asked.
    pub asked: Asked,
}

impl<T: Incoming> FromRequest for Body<T> {
    type Error = Problem;
    type Future = Reading<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (request, payload) = (request.clone(), payload.take());
        Box::pin(async move {
            let bytes = read(payload).await?;
            let mut sent = parse(&bytes)?;
            let value = understand::<T>(&mut sent)?;
            Ok(Self { value, asked: Asked::new(&request, &bytes, sent)? })
        })
    }
}

impl<T: Incoming> FromRequest for Form<T> {
    type Error = Problem;
    type Future = Reading<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (request, payload) = (request.clone(), payload.take());
        Box::pin(async move {
            let bytes = read(payload).await?;
            let mut sent = parse(&bytes)?;
            let form = documented::<T>(&mut sent).map_err(Problem::faulty)?;
            Ok(Self { form, asked: Asked::new(&request, &bytes, sent)? })
        })
    }
}

/// A request without a body of its own.
impl FromRequest for Asked {
    type Error = Problem;
    type Future = Reading<Self>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let (request, payload) = (request.clone(), payload.take());
        Box::pin(async move { Asked::new(&request, &read(payload).await?, Value::Null) })
    }
}

async fn read(payload: Payload) -> Result<Bytes, Problem> {
    read_up_to(payload, BODY_LIMIT).await
}

/// A body of at most `limit` bytes.
///
/// # Errors
/// 413 where it is larger, with the limit; 400 where it broke off.
pub async fn read_up_to(mut payload: Payload, limit: usize) -> Result<Bytes, Problem> {
    let mut bytes = BytesMut::new();
    let mut seen = 0;
    while let Some(chunk) = payload.next().await {
        let chunk =
            chunk.map_err(|e| Problem::new(Kind::Malformed, format!("The body broke off while it was read: {e}.")))?;
        seen += chunk.len();
        if seen <= limit {
            bytes.extend_from_slice(&chunk);
        } else if seen > PATIENCE {
            break;
        }
    }
    if seen > limit {
        let mebibytes = limit / (1024 * 1024);
        let detail =
            format!("The body is larger than {limit} bytes ({mebibytes} MiB), the most that is taken in one request.");
        return Err(Problem::new(Kind::TooLarge, detail));
    }
    Ok(bytes.freeze())
}

fn parse(bytes: &[u8]) -> Result<Value, Problem> {
    json(bytes).map_err(|why| Problem::new(Kind::Malformed, why))
}

/// The JSON in it, or a sentence that says from where on there is none.
fn json(bytes: &[u8]) -> Result<Value, String> {
    serde_json::from_slice(bytes).map_err(|e| {
        let at = format!("line {}, column {}", e.line(), e.column());
        match e.classify() {
            serde_json::error::Category::Eof if bytes.trim_ascii().is_empty() => "It is empty: give JSON.".to_owned(),
            serde_json::error::Category::Eof => format!("The JSON breaks off at {at}: give all of it."),
            _ => format!("It is not JSON from {at} on: give one whole JSON document."),
        }
    })
}

/// A form out of a text that is no request: a file, read as a body is.
///
/// # Errors
/// Every fault of its JSON, its documented form and its content.
pub fn read_text<T: Incoming>(text: &str) -> Result<T::Domain, Vec<Fault>> {
    let mut sent = json(text.as_bytes()).map_err(|why| vec![Fault::at("", why)])?;
    made::<T>(&mut sent)
}

fn understand<T: Incoming>(sent: &mut Value) -> Result<T::Domain, Problem> {
    made::<T>(sent).map_err(Problem::faulty)
}

/// The three steps from JSON to the workshop's own words: the documented form, then the values, then the rules.
fn made<T: Incoming>(sent: &mut Value) -> Result<T::Domain, Vec<Fault>> {
    documented::<T>(sent)?.into_domain()
}

/// The first two of them.
fn documented<T: Incoming>(sent: &mut Value) -> Result<T, Vec<Fault>> {
    let faults = Schemas(&SCHEMAS).faults(&T::name(), sent);
    if !faults.is_empty() {
        return Err(faults);
    }
    serde_json::from_value(sent.clone()).map_err(|e| vec![Fault::at("", e.to_string())])
}

impl Asked {
    /// A request whose body is a file.
    ///
    /// # Errors
    /// 400 where its Idempotency-Key is none.
    pub fn with_file(request: &HttpRequest, bytes: &[u8]) -> Result<Self, Problem> {
        let mut asked = Self::new(request, bytes, Value::Null)?;
        // How a file is read is said in the query, and another reading of it is another request.
        asked.body_hash =
            Sha256::new_with_prefix(request.query_string()).chain_update([0]).chain_update(bytes).finalize().to_vec();
        Ok(asked)
    }

    fn new(request: &HttpRequest, bytes: &[u8], sent: Value) -> Result<Self, Problem> {
        Ok(Self {
            key: idempotency_key(request)?,
            route: format!("{} {}", request.method(), request.path()),
            body_hash: Sha256::digest(bytes).to_vec(),
            by: request.extensions().get::<Caller>().map(|Caller(name)| name.clone()),
            sent,
        })
    }

    /// The path that was asked.
    pub fn path(&self) -> &str {
        self.route.split_once(' ').map_or("", |(_, path)| path)
    }

    /// The body as JSON; null where there is none, or it is a file.
    pub fn sent(&self) -> &Value {
        &self.sent
    }

    /// The problem with pointers to the places where the body names what is missing.
    pub fn point(&self, mut problem: Problem) -> Problem {
        let missing = problem.take_missing();
        if missing.is_empty() {
            return problem;
        }
        let mut faults = Vec::new();
        for (noun, id) in missing {
            let mut places = Vec::new();
            places_of(&self.sent, &id, "", &mut places);
            if places.is_empty() {
                places.push(String::new());
            }
            let detail = format!("there is no {noun} '{id}': make it first, or name one that is there");
            faults.extend(places.into_iter().map(|place| Fault::at(place, detail.clone())));
        }
        *problem.errors_mut() = faults;
        problem
    }
}

fn idempotency_key(request: &HttpRequest) -> Result<Option<String>, Problem> {
    let Some(value) = request.headers().get(IDEMPOTENCY_KEY) else { return Ok(None) };
    match value.to_str() {
        Ok(key) if (1..=200).contains(&key.len()) => Ok(Some(key.to_owned())),
        _ => Err(Problem::bad_request(vec![Fault::at(
            "/header/idempotency-key",
            "the Idempotency-Key is not 1 to 200 visible ASCII characters",
        )])),
    }
}

/// Pointers to every text equal to `wanted`.
fn places_of(value: &Value, wanted: &str, pointer: &str, found: &mut Vec<String>) {
    match value {
        Value::String(text) if text == wanted => found.push(pointer.to_owned()),
        Value::Number(number) if number.to_string() == wanted => found.push(pointer.to_owned()),
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                places_of(item, wanted, &format!("{pointer}/{index}"), found);
            }
        }
        Value::Object(members) => {
            for (name, member) in members {
                places_of(member, wanted, &format!("{pointer}/{name}"), found);
            }
        }
        _ => {}
    }
}
