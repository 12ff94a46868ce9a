//! The OpenAPI document: generated from the handlers, completed by a few rules, and then used as the one table of what
//! the service knows: paths, methods, roles, formats, query keys and the forms of bodies.

use std::sync::LazyLock;

use serde_json::{Map, Value, json};
use utoipa::OpenApi;
use utoipa_actix_web::AppExt;

use super::access::Role;
use super::gate::is_page;
use super::problem::Kind;
use super::pull::FEED_TOKEN;
use super::routes::{Routes, is_feed};
use super::shape::{KEY_PATTERN, TAGS_PATTERN, TIME_OF_DAY};
use crate::resources;

/// Name, summary and tags of the document.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "Mouldboard",
        description = "Plans the work of a small workshop that casts garden panels. JSON with the unit in each field's name, days as ISO 8601 dates, instants as RFC 3339. Every failure is an RFC 9457 problem that lists all faults at once; a pointer beginning with /query, /path or /header speaks of that part of the request, any other of the body.",
        license(name = "Apache-2.0", identifier = "Apache-2.0")
    ),
    components(schemas(crate::wire::problem::Problem))
)]
struct Base;

/// The document and what is read from it.
pub struct Document {
    /// The whole of it.
    pub json: Value,
    /// Its forms by name.
    pub schemas: &'static Map<String, Value>,
    /// Its paths as a table to look requests up in.
    pub routes: Routes,
}

/// The document of this program; it never changes while the program runs.
pub static DOCUMENT: LazyLock<Document> = LazyLock::new(|| {
    let json = complete(GENERATED.clone());
    let routes = Routes::from_document(&json);
    Document { json, schemas: &SCHEMAS, routes }
});

/// The document as the handlers give it, nothing completed yet.
static GENERATED: LazyLock<Value> = LazyLock::new(generated);

/// The forms by name. To read a form nothing else of the document is needed, and so no example is worked out for it.
pub static SCHEMAS: LazyLock<Map<String, Value>> =
    LazyLock::new(|| GENERATED["components"]["schemas"].as_object().cloned().unwrap_or_default());

impl Document {
    /// The document as YAML, as it is committed: names in alphabetical order, however the parts were put together.
    ///
    /// # Errors
    /// Where YAML cannot hold it.
    pub fn yaml(&self) -> Result<String, String> {
        yaml_serde::to_string(&sorted(&self.json)).map_err(|e| format!("the document cannot be written as YAML: {e}"))
    }
}

fn sorted(value: &Value) -> Value {
    match value {
        Value::Object(members) => {
            let by_name: std::collections::BTreeMap<&String, &Value> = members.iter().collect();
            Value::Object(by_name.into_iter().map(|(name, member)| (name.clone(), sorted(member))).collect())
        }
        Value::Array(items) => Value::Array(items.iter().map(sorted).collect()),
        plain => plain.clone(),
    }
}

fn generated() -> Value {
    let app = actix_web::App::new().into_utoipa_app().openapi(Base::openapi()).configure(resources::configure);
    let (_, document) = app.split_for_parts();
    let mut document = serde_json::to_value(document).expect("a document made of maps, lists and texts is JSON");
    name_times(&mut document);
    document
}

/// A time of JSON Schema has seconds and an offset; ours is one of the workshop's clock, as 07:00.
fn name_times(value: &mut Value) {
    match value {
        Value::Object(members) => {
            if members.get("format").is_some_and(|format| format == "time") {
                members.insert("format".to_owned(), Value::from(TIME_OF_DAY));
            }
            members.values_mut().for_each(name_times);
        }
        Value::Array(items) => items.iter_mut().for_each(name_times),
        _ => {}
    }
}

/// Adds what holds for every operation, so that no handler has to repeat it.
fn complete(mut document: Value) -> Value {
    document["components"]["securitySchemes"] = json!({
        "token": { "type": "http", "scheme": "bearer", "description": "A token made by the office; its role must be the one named or a greater one (reader, bench, office). On loopback, and as long as no token has been made, none is needed." },
        "feed_token": { "type": "apiKey", "in": "query", "name": FEED_TOKEN, "description": "A token that opens single feeds, for programs that can send no header." }
    });
    document["components"]["responses"] = problem_answers();
    add_tables(&mut document);
    let paths = document["paths"].as_object_mut().into_iter().flatten();
    for (path, item) in paths {
        for (method, operation) in item.as_object_mut().into_iter().flatten() {
            if !operation.is_object() {
                continue;
            }
            operation["operationId"] = Value::String(operation_id(method, path));
            name_role(method, operation);
            add_headers(method, path, operation);
            add_failures(method, path, operation);
            add_examples(operation, &SCHEMAS);
            add_found(path, operation);
        }
    }
    document
}

/// What is there as CSV under a path of its own is there under the path itself too, for whoever accepts CSV and no JSON.
fn add_tables(document: &mut Value) {
    let table = |path: &String| document["paths"][format!("{path}.csv")]["get"]["responses"]["200"]["content"].get(CSV);
    let named = document["paths"].as_object().into_iter().flatten().map(|(path, _)| path);
    let tables: Vec<(String, Value)> = named.filter_map(|path| Some((path.clone(), table(path)?.clone()))).collect();
    for (path, table) in tables {
        if let Some(content) = document["paths"][&path]["get"]["responses"]["200"]["content"].as_object_mut() {
            content.entry(CSV).or_insert(table);
        }
    }
}

/// The media type of a table, as the document says it.
pub const CSV: &str = "text/csv";

/// `get_orders_id` for `GET /orders/{id}`: unique, because a path and a method are.
fn operation_id(method: &str, path: &str) -> String {
    let words = path.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    std::iter::once(method).chain(words).collect::<Vec<_>>().join("_")
}

/// Reading wants a reader, changing the office, unless the handler says otherwise.
fn name_role(method: &str, operation: &mut Value) {
    if operation.get("security").is_none() {
        let role = if method == "get" { Role::Reader } else { Role::Office };
        operation["security"] = json!([{ "token": [role.name()] }]);
    }
}

fn add_headers(method: &str, path: &str, operation: &mut Value) {
    let header = |name: &str, required: bool, about: &str| json!({ "name": name, "in": "header", "required": required, "description": about, "schema": { "type": "string", "maxLength": 200 } });
    let written = |mut header: Value, pattern: &str| {
        header["schema"]["pattern"] = Value::from(pattern);
        header["schema"]["minLength"] = Value::from(1);
        header
    };
    let more = match method {
        // An answer that shows a secret once is not kept to be given again.
        "post" if ["/tokens", "/feed-tokens", "/web-hooks"].contains(&path) => return,
        "post" => vec![written(
            header(
                "Idempotency-Key",
                false,
                "A text of your choice, new for each new thing: the same key and body again gives the same answer and makes nothing twice.",
            ),
            KEY_PATTERN,
        )],
        "put" | "delete" => vec![written(
            header(
                "If-Match",
                false,
                "The ETag of what is changed, as it was read; needed wherever something is there to be changed.",
            ),
            TAGS_PATTERN,
        )],
        "get" if operation["responses"]["200"].is_object() => {
            operation["responses"]["304"] = json!({ "description": "What the client has is still right" });
            let tags = &mut operation["responses"]["200"]["headers"]["ETag"];
            if tags.is_null() {
                *tags = json!({ "description": "stands for this content", "schema": { "type": "string" } });
            }
            let known = header("If-None-Match", false, "An ETag: where it is still right the answer is 304.");
            let since = || {
                header(
                    "If-Modified-Since",
                    false,
                    "The Last-Modified of what the client has; read where there is no If-None-Match.",
                )
            };
            if is_feed(path) {
                // A feed that more than reading is needed for is opened by no token in an address.
                if operation["security"] == json!([{ "token": [Role::Reader.name()] }]) {
                    operation["security"] = json!([{ "token": [Role::Reader.name()] }, { "feed_token": [] }]);
                }
                vec![known, since()]
            } else {
                vec![known]
            }
        }
        _ => return,
    };
    let mut parameters = operation["parameters"].as_array().cloned().unwrap_or_default();
    parameters.extend(more);
    operation["parameters"] = Value::Array(parameters);
}

/// Every failure an operation can answer with, by what it takes.
fn add_failures(method: &str, path: &str, operation: &mut Value) {
    let mut kinds = vec![Kind::BadRequest, Kind::NotAcceptable, Kind::TooMany, Kind::Internal];
    let open = operation["security"] == json!([{}]);
    kinds.push(Kind::Foreign);
    if !open {
        kinds.push(Kind::NotFound);
    }
    if !open || method == "post" {
        kinds.extend([Kind::TokenNeeded, Kind::DatabaseAway]);
    }
    if operation.get("requestBody").is_some() {
        kinds.extend([Kind::Malformed, Kind::TooLarge, Kind::UnsupportedFormat, Kind::Faulty]);
    }
    let in_path = |p: &Value| p["in"] == "path";
    if operation["parameters"].as_array().is_some_and(|list| list.iter().any(in_path)) {
        kinds.push(Kind::NotFound);
    }
    match method {
        "post" => kinds.extend([Kind::AlreadyThere, Kind::KeyReused, Kind::DatabaseFull]),
        "put" | "delete" => {
            kinds.extend([Kind::InUse, Kind::ChangedMeanwhile, Kind::ConditionNeeded, Kind::DatabaseFull]);
        }
        _ => {}
    }
    for (_, status, title) in kinds.into_iter().map(Kind::row) {
        let slot = &mut operation["responses"][status.to_string()];
        if slot.is_null() && is_page(path) {
            *slot = json!({ "description": title, "content": { "text/html": {
                "schema": { "type": "string" }, "example": "<!DOCTYPE html>…",
            } } });
        } else if slot.is_null() {
            *slot = json!({ "$ref": format!("#/components/responses/Problem{status}") });
        }
    }
}

/// One answer for each status of a problem, with an example of every kind that has it.
fn problem_answers() -> Value {
    let mut answers = Map::new();
    for kind in Kind::ALL {
        let (name, status, title) = kind.row();
        let example = json!({
            "summary": title,
            "value": { "type": format!("/problems/{name}"), "title": title, "status": status, "detail": kind.advice(), "errors": [] },
        });
        let answer = answers.entry(format!("Problem{status}")).or_insert_with(|| {
            json!({ "description": "", "content": { "application/problem+json": {
                "schema": { "$ref": "#/components/schemas/Problem" }, "examples": {},
            } } })
        });
        let before = answer["description"].as_str().unwrap_or_default();
        let said = if before.is_empty() { title.to_owned() } else { format!("{before}; or: {title}") };
        answer["description"] = Value::String(said);
        answer["content"]["application/problem+json"]["examples"][name] = example;
    }
    Value::Object(answers)
}

/// Gives each body the example of its form.
fn add_examples(operation: &mut Value, schemas: &Map<String, Value>) {
    let mut media: Vec<&mut Value> = Vec::new();
    let (body, responses) = {
        let operation = operation.as_object_mut().expect("an operation is an object");
        let mut body = None;
        let mut responses = None;
        for (name, value) in operation.iter_mut() {
            match name.as_str() {
                "requestBody" => body = Some(value),
                "responses" => responses = Some(value),
                _ => {}
            }
        }
        (body, responses)
    };
    let answers = responses.and_then(Value::as_object_mut).into_iter().flatten().map(|(_, response)| response);
    for part in body.into_iter().chain(answers) {
        media.extend(part.get_mut("content").and_then(Value::as_object_mut).into_iter().flatten().map(|(_, m)| m));
    }
    for medium in media.into_iter().filter(|m| m.get("example").is_none()) {
        if let Some(example) = example_of(&medium["schema"], schemas) {
            medium["example"] = example;
        }
    }
}

/// Gives a calculation's answer the example that its request's example really leads to.
fn add_found(path: &str, operation: &mut Value) {
    let asked = &operation["requestBody"]["content"]["application/json"]["example"];
    if let Some(mut found) = resources::calculations::example(path, asked) {
        shorten(&mut found);
        operation["responses"]["200"]["content"]["application/json"]["example"] = found;
    }
}

/// Lists that go on in the same way and are cut in an example. All others are whole: parts add up.
const GO_ON: [&str; 2] = ["worked", "days"];
/// How many of such a list are shown.
const SHOWN: usize = 3;

/// Numbers to four decimals, worked lines and lists of days to the first few: an example is read by people.
fn shorten(value: &mut Value) {
    match value {
        Value::Number(number) if !number.is_i64() && !number.is_u64() => {
            if let Some(read) = number.as_f64() {
                *value = json!((read * 10_000.0).round() / 10_000.0);
            }
        }
        Value::Array(items) => items.iter_mut().for_each(shorten),
        Value::Object(members) => {
            for (name, member) in members {
                if let (true, Value::Array(items)) = (GO_ON.contains(&name.as_str()), &mut *member) {
                    items.truncate(SHOWN);
                }
                shorten(member);
            }
        }
        _ => {}
    }
}

fn example_of(schema: &Value, schemas: &Map<String, Value>) -> Option<Value> {
    if let Some(items) = schema.get("items") {
        return example_of(items, schemas).map(|one| json!([one]));
    }
    let name = schema.get("$ref")?.as_str()?.rsplit('/').next()?;
    let form = schemas.get(name)?;
    form.get("example").or_else(|| form.get("examples")?.get(0)).cloned()
}
