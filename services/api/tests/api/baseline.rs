//! The contract as it was promised, held against the contract as it is: what is added breaks no client, what is taken away or
//! asked for anew does.
//!
//! `openapi/baseline.yaml` is the document without its prose. `UPDATE_BASELINE=1` writes it anew: after a release, or where a
//! break is meant and told.

use std::path::PathBuf;

use api::DOCUMENT;
use serde_json::{Map, Value, json};

fn file() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../openapi/baseline.yaml")
}

/// Without what only people read.
fn bare(value: &Value) -> Value {
    const PROSE: [&str; 8] = ["description", "summary", "example", "examples", "tags", "title", "operationId", "info"];
    match value {
        // A property may be called like a word of prose: its value is a form, not a text.
        Value::Object(members) => {
            let failure = |name: &str| name.parse::<u16>().is_ok_and(|status| status >= 300);
            let keep = |name: &str, member: &Value| {
                !failure(name)
                    && (!PROSE.contains(&name) || member.is_object() && !name.starts_with("example") && name != "info")
            };
            let sorted: std::collections::BTreeMap<&String, Value> =
                members.iter().filter(|(name, member)| keep(name, member)).map(|(name, m)| (name, bare(m))).collect();
            json!(sorted)
        }
        Value::Array(items) => Value::Array(items.iter().map(bare).collect()),
        plain => plain.clone(),
    }
}

/// Paths and forms of the document as it is.
fn promised() -> Value {
    let document = &DOCUMENT.json;
    bare(&json!({ "paths": document["paths"], "components": { "schemas": document["components"]["schemas"] } }))
}

/// Which way a form goes.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    In,
    Out,
}

struct Compared<'a> {
    old: &'a Value,
    new: &'a Value,
    broken: Vec<String>,
    /// Forms under comparison, so that a form that holds itself is compared once.
    under: Vec<String>,
}

/// Everything in `new` that breaks a client of `old`.
fn broken(old: &Value, new: &Value) -> Vec<String> {
    let mut compared = Compared { old, new, broken: Vec::new(), under: Vec::new() };
    for (path, item) in members(&old["paths"]) {
        for (method, operation) in members(item) {
            let name = format!("{} {path}", method.to_uppercase());
            let now = &new["paths"][path][method];
            if now.is_null() {
                compared.broken.push(format!("{name} is gone"));
            } else {
                compared.operation(&name, operation, now);
            }
        }
    }
    compared.broken.sort();
    compared.broken.dedup();
    compared.broken
}

fn members(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flatten()
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

fn role(operation: &Value) -> usize {
    let word = operation["security"][0]["token"][0].as_str().unwrap_or("");
    ["", "reader", "bench", "office"].iter().position(|role| *role == word).unwrap_or(0)
}

impl Compared<'_> {
    fn operation(&mut self, name: &str, old: &Value, new: &Value) {
        if role(new) > role(old) {
            self.broken.push(format!("{name} needs a greater role"));
        }
        let same = |one: &Value, other: &Value| one["name"] == other["name"] && one["in"] == other["in"];
        for parameter in list(&old["parameters"]) {
            let place = format!("{name} {}", parameter["name"]);
            match list(&new["parameters"]).iter().find(|now| same(now, parameter)) {
                None => self.broken.push(format!("{place} is gone")),
                Some(now) => {
                    if now["required"] == true && parameter["required"] != true {
                        self.broken.push(format!("{place} is needed now"));
                    }
                    self.form(&place, &parameter["schema"], &now["schema"], Way::In);
                }
            }
        }
        for now in list(&new["parameters"]).iter().filter(|now| now["required"] == true) {
            if !list(&old["parameters"]).iter().any(|before| same(before, now)) {
                self.broken.push(format!("{name} {} is new and needed", now["name"]));
            }
        }
        if old["requestBody"].is_null() && new["requestBody"]["required"] == true {
            self.broken.push(format!("{name} needs a body now"));
        }
        self.media(&format!("{name} body"), &old["requestBody"], &new["requestBody"], Way::In);
        for (status, answer) in members(&old["responses"]).filter(|(status, _)| status.starts_with('2')) {
            match &new["responses"][status] {
                Value::Null => self.broken.push(format!("{name} answers {status} no more")),
                now => self.media(&format!("{name} {status}"), answer, now, Way::Out),
            }
        }
    }

    fn media(&mut self, place: &str, old: &Value, new: &Value, way: Way) {
        for (format, media) in members(&old["content"]) {
            match &new["content"][format] {
                Value::Null => self.broken.push(format!("{place}: {format} is gone")),
                now => self.form(place, &media["schema"], &now["schema"], way),
            }
        }
    }

    fn form(&mut self, place: &str, old: &Value, new: &Value, way: Way) {
        let named = |form: &Value| form["$ref"].as_str().map(|path| path.rsplit('/').next().unwrap_or(path).to_owned());
        let (was, is) = (named(old), named(new));
        let key = format!("{was:?} {is:?} {}", way == Way::In);
        if was.is_some() && self.under.contains(&key) {
            return;
        }
        let (old_document, new_document) = (self.old, self.new);
        let resolved_old = was.as_ref().map_or(old, |name| &old_document["components"]["schemas"][name]);
        let resolved_new = is.as_ref().map_or(new, |name| &new_document["components"]["schemas"][name]);
        self.under.push(key);
        self.resolved(place, resolved_old, resolved_new, way);
        self.under.pop();
    }

    fn resolved(&mut self, place: &str, old: &Value, new: &Value, way: Way) {
        let types = |form: &Value| -> Vec<Value> {
            form["type"].as_array().cloned().unwrap_or_else(|| vec![form["type"].clone()])
        };
        let (was, is) = (types(old), types(new));
        let (wider, narrower) = if way == Way::In { (&is, &was) } else { (&was, &is) };
        let number = |list: &[Value]| list.contains(&json!("number"));
        if !narrower.iter().all(|kind| wider.contains(kind) || *kind == "integer" && number(wider)) {
            self.broken.push(format!("{place} was {} and is {}", json!(was), json!(is)));
        }
        if way == Way::In {
            self.taken(place, old, new);
        }
        for (name, property) in members(&old["properties"]) {
            let place = format!("{place}/{name}");
            match &new["properties"][name] {
                Value::Null => self.broken.push(format!("{place} is gone")),
                now => self.form(&place, property, now, way),
            }
        }
        let needed = |form: &Value, name: &str| list(&form["required"]).iter().any(|one| one == name);
        for (name, _) in members(&new["properties"]) {
            match way {
                Way::In if needed(new, name) && !needed(old, name) => {
                    self.broken.push(format!("{place}/{name} is needed now"))
                }
                Way::Out if needed(old, name) && !needed(new, name) => {
                    self.broken.push(format!("{place}/{name} may be missing now"))
                }
                _ => {}
            }
        }
        if old["items"].is_object() {
            self.form(&format!("{place}/*"), &old["items"], &new["items"], way);
        }
        let (was, is) = (list(&old["oneOf"]), list(&new["oneOf"]));
        if way == Way::In && is.len() < was.len() {
            self.broken.push(format!("{place} takes fewer forms"));
        }
        for (old, new) in was.iter().zip(is) {
            self.form(place, old, new, way);
        }
    }

    /// Limits of what is sent: none may be narrower.
    fn taken(&mut self, place: &str, old: &Value, new: &Value) {
        if new["enum"].is_array()
            && (old["enum"].is_null() || list(&old["enum"]).iter().any(|word| !list(&new["enum"]).contains(word)))
        {
            self.broken.push(format!("{place} takes fewer words"));
        }
        for (limit, rises) in [
            ("minimum", true),
            ("minLength", true),
            ("minItems", true),
            ("maximum", false),
            ("maxLength", false),
            ("maxItems", false),
        ] {
            let narrower = match (old[limit].as_f64(), new[limit].as_f64()) {
                (_, None) => false,
                (None, Some(_)) => true,
                (Some(was), Some(is)) => {
                    if rises {
                        is > was
                    } else {
                        is < was
                    }
                }
            };
            if narrower {
                self.broken.push(format!("{place}: {limit} was {} and is {}", old[limit], new[limit]));
            }
        }
    }
}

#[test]
fn what_was_promised_is_kept() {
    let now = promised();
    if std::env::var_os("UPDATE_BASELINE").is_some() {
        std::fs::write(file(), yaml_serde::to_string(&now).expect("YAML")).expect("the baseline can be written");
    }
    let text = std::fs::read_to_string(file()).expect("openapi/baseline.yaml is there");
    let baseline: Value = yaml_serde::from_str(&text).expect("the baseline is YAML");
    assert!(members(&baseline["paths"]).count() > 100, "the baseline is whole");
    let broken = broken(&baseline, &now);
    assert!(broken.is_empty(), "clients of the contract would break:\n{}", broken.join("\n"));
}

#[test]
fn every_kind_of_break_is_seen_and_additions_are_none() {
    let old = promised();
    assert_eq!(broken(&old, &old), Vec::<String>::new());
    type Change = fn(&mut Value);
    let breaks: [(&str, Change); 14] = [
        ("GET /orders is gone", |d| drop(object(&mut d["paths"]["/orders"]).remove("get"))),
        ("\"state\" is gone", |d| d["paths"]["/orders"]["get"]["parameters"] = json!([])),
        ("is new and needed", |d| {
            let more = json!({ "name": "team", "in": "query", "required": true, "schema": { "type": "string" } });
            d["paths"]["/orders"]["get"]["parameters"].as_array_mut().expect("a list").push(more);
        }),
        ("needs a greater role", |d| d["paths"]["/orders"]["get"]["security"] = json!([{ "token": ["office"] }])),
        ("text/csv is gone", |d| {
            drop(object(&mut d["paths"]["/orders/import"]["post"]["requestBody"]["content"]).remove("text/csv"))
        }),
        ("POST /orders answers 201 no more", |d| {
            drop(object(&mut d["paths"]["/orders"]["post"]["responses"]).remove("201"))
        }),
        ("/note is gone", |d| drop(object(&mut d["components"]["schemas"]["Order"]["properties"]).remove("note"))),
        ("/customer is needed now", |d| {
            d["components"]["schemas"]["Order"]["required"].as_array_mut().expect("a list").push(json!("customer"));
        }),
        ("/due_on may be missing now", |d| d["components"]["schemas"]["Order"]["required"] = json!(["id", "lines"])),
        ("takes fewer words", |d| d["components"]["schemas"]["Priority"]["enum"] = json!(["low", "high"])),
        ("maximum was", |d| d["components"]["schemas"]["OrderLine"]["properties"]["quantity"]["maximum"] = json!(10)),
        ("maxItems was", |d| d["components"]["schemas"]["Order"]["properties"]["lines"]["maxItems"] = json!(1)),
        ("and is", |d| d["components"]["schemas"]["OrderLine"]["properties"]["quantity"]["type"] = json!("string")),
        ("is needed now", |d| d["paths"]["/orders"]["get"]["parameters"][0]["required"] = json!(true)),
    ];
    for (part, change) in breaks {
        let mut new = old.clone();
        change(&mut new);
        let found = broken(&old, &new);
        assert!(found.iter().any(|one| one.contains(part)), "{part}: {found:?}");
    }
    let additions: [Change; 4] = [
        |d| d["paths"]["/weather"] = json!({ "get": { "responses": {} } }),
        |d| d["components"]["schemas"]["Order"]["properties"]["colour"] = json!({ "type": "string" }),
        |d| d["components"]["schemas"]["OrderLine"]["properties"]["quantity"]["maximum"] = json!(20_000),
        |d| {
            let more = json!({ "name": "team", "in": "query", "schema": { "type": "string" } });
            d["paths"]["/orders"]["get"]["parameters"].as_array_mut().expect("a list").push(more);
        },
    ];
    for change in additions {
        let mut new = old.clone();
        change(&mut new);
        assert_eq!(broken(&old, &new), Vec::<String>::new());
    }
}

fn object(value: &mut Value) -> &mut Map<String, Value> {
    value.as_object_mut().expect("an object")
}
