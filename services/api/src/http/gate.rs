//! The gate every request passes before its handler: is there such a path and method, may this caller, are the formats,
//! path values and query keys right. All of it is looked up in the OpenAPI document.

use std::borrow::Cow;
use std::collections::BTreeMap;

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::{Method, Uri, header};
use actix_web::middleware::Next;
use actix_web::web::Data;
use actix_web::{Error, HttpMessage, Responder as _};
use serde_json::Value;
use workshop::Fault;

use super::access;
use super::document::{CSV, DOCUMENT};
use super::limits;
use super::problem::{Kind, Problem, of_framework};
use super::pull::FEED_TOKEN;
use super::routes::{Operation, Parameter, Route};
use super::shape::Schemas;
use crate::pages::problem_page;
use crate::resources::metrics::without_database;
use crate::state::State;

/// Where the documentation pages are; they are files, not operations.
pub const DOCS: &str = "/docs/";

/// Where the figures are for those who watch the service.
const FIGURES: &str = "/metrics";

/// Lets a request through to its handler or answers with the problem that it has.
pub async fn gate(
    state: Data<State>,
    mut request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    match check(&state, &request).await {
        Ok(Some(caller)) => drop(request.extensions_mut().insert(caller)),
        Ok(None) => {}
        Err(problem) if problem.kind() == Kind::DatabaseAway && request.path() == FIGURES => {
            let answer = without_database().respond_to(request.request()).map_into_boxed_body();
            return Ok(request.into_response(answer));
        }
        Err(problem) if is_page(request.path()) => return Ok(request.into_response(problem_page(&problem))),
        Err(problem) => return Ok(request.error_response(problem)),
    }
    let as_table = table_of(&request).is_some_and(|table| {
        request.match_info_mut().get_mut().update(&table);
        request.head_mut().uri = table;
        true
    });
    if request.method() == Method::HEAD {
        // The connection remembers that it was HEAD and sends no body.
        request.head_mut().method = Method::GET;
    }
    let page = is_page(request.path());
    let response = next.call(request).await?.map_into_boxed_body();
    let mut answer = if page { as_a_page(response) } else { in_our_form(response) };
    if as_table {
        answer.headers_mut().append(header::VARY, header::HeaderValue::from_static("Accept"));
    }
    Ok(answer)
}

/// Where a list is as a table, if whoever asks for the list accepts CSV before JSON and there is one.
fn table_of(request: &ServiceRequest) -> Option<Uri> {
    let values = request.headers().get_all(header::ACCEPT).filter_map(|value| value.to_str().ok());
    let mut accepted =
        values.flat_map(|value| value.split(',')).map(|range| range.split(';').next().unwrap_or_default().trim());
    let first =
        accepted.find(|range| [CSV, "application/json", "*/*"].iter().any(|one| range.eq_ignore_ascii_case(one)))?;
    let (route, _) = DOCUMENT.routes.find(request.path())?;
    let path = format!("{}.csv", request.path());
    let (table, _) = DOCUMENT.routes.find(&path)?;
    let fits = first.eq_ignore_ascii_case(CSV) && table.pattern == format!("{}.csv", route.pattern);
    let query = request.uri().query().map(|query| format!("?{query}")).unwrap_or_default();
    fits.then(|| format!("{path}{query}").parse().ok())?
}

/// Whether a person asked for a page, and is answered with one whatever comes of it.
pub fn is_page(path: &str) -> bool {
    path == "/" || path.starts_with("/pages/")
}

fn as_a_page(response: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let page = match response.response().error() {
        Some(error) => match error.as_error::<Problem>() {
            Some(problem) => problem_page(problem),
            None => problem_page(&of_framework(status, &error.to_string())),
        },
        None => problem_page(&of_framework(status, &status.to_string())),
    };
    response.into_response(page)
}

async fn check(state: &State, request: &ServiceRequest) -> Result<Option<access::Caller>, Problem> {
    if let Some(address) = limits::address(request) {
        state.limits.count(&address)?;
    }
    if request.path().starts_with(DOCS) {
        return access::check(state, request, None).await;
    }
    let Some((route, values)) = DOCUMENT.routes.find(request.path()) else {
        return Err(Problem::new(Kind::NoSuchPath, format!("There is no path '{}'.", shown(request.path()))));
    };
    let operation = operation(route, request.method())?;
    let in_address = feed_token(route, request);
    let caller = match &in_address {
        Some(token) => access::check_feed(state, request, route, token).await.map(|()| None)?,
        None => access::check(state, request, operation.role).await?,
    };
    // Counted once it is known: what nobody made has no share.
    if let Some(token) = limits::token(request, in_address.as_deref()).filter(|_| operation.role.is_some()) {
        state.limits.count(&token)?;
    }
    check_accept(operation, request)?;
    check_content_type(operation, request)?;
    let mut faults = path_faults(operation, &values);
    faults.extend(query_faults(route, operation, request.query_string()));
    if faults.is_empty() { Ok(caller) } else { Err(Problem::bad_request(faults)) }
}

/// The feed token in the address of a feed, where no header says who asks.
fn feed_token(route: &Route, request: &ServiceRequest) -> Option<String> {
    if !route.is_feed() || request.headers().contains_key(header::AUTHORIZATION) {
        return None;
    }
    let pairs = actix_web::web::Query::<Vec<(String, String)>>::from_query(request.query_string()).ok()?;
    pairs.into_inner().into_iter().find(|(name, _)| name == FEED_TOKEN).map(|(_, token)| token)
}

/// A path, short enough to be repeated in an answer.
fn shown(path: &str) -> String {
    path.chars().take(100).collect()
}

fn operation<'r>(route: &'r Route, method: &Method) -> Result<&'r Operation, Problem> {
    let wanted = if method == Method::HEAD { "GET" } else { method.as_str() };
    route.operations.get(wanted).ok_or_else(|| {
        let allow = route.allow();
        Problem::new(Kind::MethodNotAllowed, format!("{method} is not known on {}; there are {allow}.", route.pattern))
            .with_header(header::ALLOW, allow)
    })
}

fn check_accept(operation: &Operation, request: &ServiceRequest) -> Result<(), Problem> {
    let accepts: Vec<&str> =
        request.headers().get_all(header::ACCEPT).filter_map(|v| v.to_str().ok()).flat_map(|v| v.split(',')).collect();
    let wanted = accepts
        .iter()
        .filter(|range| !range.replace(' ', "").contains(";q=0.0") && !range.replace(' ', "").ends_with(";q=0"));
    let mut wanted = wanted.map(|range| range.split(';').next().unwrap_or_default().trim().to_ascii_lowercase());
    let fits = |range: &str| operation.produces.iter().any(|format| range_holds(range, format));
    if accepts.is_empty() || operation.produces.is_empty() || wanted.any(|range| fits(&range)) {
        return Ok(());
    }
    let detail = format!("The answer can be had as {} only.", operation.produces.join(", "));
    Err(Problem::new(Kind::NotAcceptable, detail))
}

/// Whether a media range such as `*/*`, `text/*` or `text/csv` holds `format`.
fn range_holds(range: &str, format: &str) -> bool {
    match range.split_once('/') {
        Some(("*", "*")) => true,
        Some((kind, "*")) => format.split('/').next() == Some(kind),
        _ => range == format.split(';').next().unwrap_or(format),
    }
}

fn check_content_type(operation: &Operation, request: &ServiceRequest) -> Result<(), Problem> {
    if operation.consumes.is_empty() {
        return Ok(());
    }
    let sent = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok()).unwrap_or_default();
    let mut parts = sent.split(';').map(|part| part.trim().to_ascii_lowercase());
    let format = parts.next().unwrap_or_default();
    let utf8 =
        parts.filter_map(|p| p.strip_prefix("charset=").map(|c| c.trim_matches('"').to_owned())).all(|c| c == "utf-8");
    if utf8 && operation.consumes.contains(&format) {
        return Ok(());
    }
    let known = operation.consumes.join(" or ");
    let detail = match sent {
        "" => format!("The request has no Content-Type: send {known}."),
        sent => format!("'{}' is not read here: send {known}, in UTF-8.", shown(sent)),
    };
    Err(Problem::new(Kind::UnsupportedFormat, detail).with_header(header::ACCEPT, known))
}

fn path_faults(operation: &Operation, values: &BTreeMap<String, Cow<'_, str>>) -> Vec<Fault> {
    let known = operation.path.iter().filter_map(|p| values.get(&p.name).map(|value| (p, value.as_ref())));
    known.flat_map(|(parameter, text)| text_faults(parameter, text, "path")).collect()
}

fn query_faults(route: &Route, operation: &Operation, query: &str) -> Vec<Fault> {
    let Ok(pairs) = actix_web::web::Query::<Vec<(String, String)>>::from_query(query) else {
        return vec![Fault::at(
            "/query",
            "the query cannot be read: give it as key=value&key=value, percent-encoded in UTF-8",
        )];
    };
    let mut faults = Vec::new();
    for (index, (name, text)) in pairs.iter().enumerate() {
        let Some(parameter) = operation.query.iter().find(|p| p.name == *name) else {
            if !route.is_feed() {
                faults.push(unknown_key(operation, name));
            }
            continue;
        };
        if pairs[..index].iter().any(|(earlier, _)| earlier == name) {
            faults.push(Fault::at(format!("/query/{name}"), format!("{name} is given twice: give it once")));
        }
        faults.extend(text_faults(parameter, text, "query"));
    }
    let missing = operation.query.iter().filter(|p| p.required && !pairs.iter().any(|(name, _)| *name == p.name));
    faults.extend(missing.map(|p| Fault::at(format!("/query/{}", p.name), format!("{} is missing: give it", p.name))));
    faults
}

fn unknown_key(operation: &Operation, name: &str) -> Fault {
    let known: Vec<&str> = operation.query.iter().map(|p| p.name.as_str()).collect();
    let known =
        if known.is_empty() { "there are none here".to_owned() } else { format!("there are {}", known.join(", ")) };
    let name = shown(name);
    Fault::at(format!("/query/{name}"), format!("the query key '{name}' is not known: {known}"))
}

/// Faults of one value given as text, held against its documented form.
fn text_faults(parameter: &Parameter, text: &str, place: &str) -> Vec<Fault> {
    let types = parameter.schema.get("type");
    let is = |name: &str| types.is_some_and(|t| t == name || t.as_array().is_some_and(|a| a.iter().any(|t| t == name)));
    let mut value = match text.parse::<i64>() {
        Ok(number) if is("integer") => Value::from(number),
        _ => Value::String(text.to_owned()),
    };
    let mut faults = Vec::new();
    let pointer = format!("/{place}/{}", parameter.name);
    Schemas(DOCUMENT.schemas).check(&parameter.schema, &mut value, &pointer, &mut faults);
    for fault in &mut faults {
        fault.detail = format!("{}: {}", parameter.name, fault.detail);
    }
    faults
}

/// What the framework or a file service answered in its own words is said in ours.
fn in_our_form(response: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
    let status = response.status();
    let ours = |v: &header::HeaderValue| v == "application/problem+json" || v == "application/json";
    let ours = response.headers().get(header::CONTENT_TYPE).is_some_and(ours);
    if ours || !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let said = response.response().error().map_or_else(|| status.to_string(), ToString::to_string);
    let (request, _) = response.into_parts();
    let problem: Error = of_framework(status, &said).into();
    let answer = actix_web::HttpResponse::from_error(problem);
    ServiceResponse::new(request, answer)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn media_ranges() {
        let cases = [
            ("*/*", "application/json", true),
            ("text/*", "text/csv", true),
            ("text/*", "application/json", false),
            ("text/csv", "text/csv; charset=utf-8", true),
            ("application/xml", "application/json", false),
        ];
        for (range, format, holds) in cases {
            assert_eq!(range_holds(range, format), holds, "{range} {format}");
        }
    }
}
