//! The paths of the OpenAPI document as a table: what a request asks for, who may, in which formats, with which keys.

use std::collections::{BTreeMap, BTreeSet};

use percent_encoding::percent_decode_str;
use serde_json::{Map, Value};

use super::access::Role;

/// A value in the path or the query.
#[derive(Clone, Debug)]
pub struct Parameter {
    /// Its name.
    pub name: String,
    /// Its form.
    pub schema: Value,
    /// Whether it has to be there.
    pub required: bool,
}

/// One method of one path.
#[derive(Clone, Debug)]
pub struct Operation {
    /// Who may; none where anyone may.
    pub role: Option<Role>,
    /// Whether a feed token may open it.
    pub by_feed_token: bool,
    /// Formats it answers in.
    pub produces: Vec<String>,
    /// Formats it reads.
    pub consumes: Vec<String>,
    /// Values in its path.
    pub path: Vec<Parameter>,
    /// Keys of its query.
    pub query: Vec<Parameter>,
}

/// One path.
#[derive(Clone, Debug)]
pub struct Route {
    /// As documented, `/orders/{id}`.
    pub pattern: String,
    segments: Vec<String>,
    /// By method, in capitals.
    pub operations: BTreeMap<String, Operation>,
}

impl Route {
    /// Its methods, as an `Allow` header lists them.
    pub fn allow(&self) -> String {
        let mut methods: Vec<&str> = self.operations.keys().map(String::as_str).collect();
        if methods.contains(&"GET") {
            methods.push("HEAD");
        }
        methods.join(", ")
    }

    /// Whether it is a feed: those are pulled by programs that add query keys of their own.
    pub fn is_feed(&self) -> bool {
        is_feed(&self.pattern)
    }
}

/// Whether a path gives a file for spreadsheets or calendars.
pub fn is_feed(pattern: &str) -> bool {
    feed_of(pattern).is_some()
}

/// The feed a path gives in one of its formats: the path without the format.
pub fn feed_of(pattern: &str) -> Option<&str> {
    [".csv", ".xlsx", ".ics"].iter().find_map(|end| pattern.strip_suffix(end))
}

/// All paths.
#[derive(Clone, Debug, Default)]
pub struct Routes(Vec<Route>);

impl Routes {
    /// Reads them from an OpenAPI document.
    pub fn from_document(document: &Value) -> Self {
        let none = Map::new();
        let paths = document["paths"].as_object().unwrap_or(&none);
        let routes = paths.iter().map(|(pattern, item)| Route {
            pattern: pattern.clone(),
            segments: pattern.split('/').map(str::to_owned).collect(),
            operations: item
                .as_object()
                .into_iter()
                .flatten()
                .filter(|(_, operation)| operation.is_object())
                .map(|(method, operation)| (method.to_uppercase(), Operation::from_document(operation)))
                .collect(),
        });
        Self(routes.collect())
    }

    /// All of them.
    pub fn all(&self) -> &[Route] {
        &self.0
    }

    /// All feeds that a feed token can open, without their formats.
    pub fn feeds(&self) -> BTreeSet<&str> {
        let open = self.0.iter().filter(|route| route.operations.values().all(|operation| operation.by_feed_token));
        open.filter_map(|route| feed_of(&route.pattern)).collect()
    }

    /// The path that `path` asks for and the values in it, percent-decoded; literal segments go before values. None where
    /// there is no such path, or a value is not UTF-8.
    pub fn find<'p>(&self, path: &'p str) -> Option<(&Route, BTreeMap<String, std::borrow::Cow<'p, str>>)> {
        let asked: Vec<&str> = path.split('/').collect();
        let fitting = self.0.iter().filter(|route| route.segments.len() == asked.len());
        let fitting =
            fitting.filter(|route| route.segments.iter().zip(&asked).all(|(segment, part)| fits(segment, part)));
        let route = fitting.min_by_key(|route| route.segments.iter().filter(|s| s.contains('{')).count())?;
        let mut values = BTreeMap::new();
        for (segment, part) in route.segments.iter().zip(&asked) {
            if let Some((name, end)) = value_name(segment) {
                let raw = part.strip_suffix(end)?;
                values.insert(name.to_owned(), percent_decode_str(raw).decode_utf8().ok()?);
            }
        }
        Some((route, values))
    }
}

/// The name and the literal end of a segment such as `{day}` or `{day}.csv`.
fn value_name(segment: &str) -> Option<(&str, &str)> {
    segment.strip_prefix('{')?.split_once('}')
}

fn fits(segment: &str, part: &str) -> bool {
    match value_name(segment) {
        Some((_, end)) => part.len() > end.len() && part.ends_with(end),
        None => segment == part,
    }
}

impl Operation {
    fn from_document(operation: &Value) -> Self {
        let parameters = |place: &str| -> Vec<Parameter> {
            let all = operation["parameters"].as_array().into_iter().flatten();
            all.filter(|p| p["in"] == place)
                .map(|p| Parameter {
                    name: p["name"].as_str().unwrap_or_default().to_owned(),
                    schema: p["schema"].clone(),
                    required: p["required"] == true,
                })
                .collect()
        };
        let formats = |content: &Value| -> Vec<String> {
            content.as_object().into_iter().flatten().map(|(format, _)| format.clone()).collect()
        };
        let good =
            operation["responses"].as_object().into_iter().flatten().filter(|(status, _)| status.starts_with('2'));
        Self {
            role: operation["security"][0]["token"][0].as_str().and_then(Role::parse),
            by_feed_token: operation["security"]
                .as_array()
                .into_iter()
                .flatten()
                .any(|way| way["feed_token"].is_array()),
            produces: good.flat_map(|(_, response)| formats(&response["content"])).collect(),
            consumes: formats(&operation["requestBody"]["content"]),
            path: parameters("path"),
            query: parameters("query"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn literal_segments_go_before_values() {
        let document = json!({ "paths": {
            "/orders/{id}": { "get": {}, "put": {} }, "/orders/import": { "post": {} }, "/orders.csv": { "get": {} },
            "/days/{day}/tickets.csv": { "get": {} },
        } });
        let routes = Routes::from_document(&document);
        let cases = [
            ("/orders/TH-1", Some("/orders/{id}")),
            ("/orders/import", Some("/orders/import")),
            ("/orders.csv", Some("/orders.csv")),
            ("/days/today/tickets.csv", Some("/days/{day}/tickets.csv")),
            ("/orders/", None),
            ("/orders/a/b", None),
            ("/nothing", None),
        ];
        for (path, pattern) in cases {
            assert_eq!(routes.find(path).map(|(route, _)| route.pattern.as_str()), pattern, "{path}");
        }
        let (route, values) = routes.find("/orders/a%20b").unwrap();
        assert_eq!(values["id"], "a b");
        assert_eq!(route.allow(), "GET, PUT, HEAD");
        assert!(routes.find("/orders/%ff").is_none());
    }
}
