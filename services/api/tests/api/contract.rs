//! The committed OpenAPI document, and what it promises.

use std::collections::BTreeSet;
use std::path::Path;

use api::DOCUMENT;
use api::http::shape::{ACTED_ON, DESCRIPTIVE, ID_PATTERN, KEY_PATTERN, Schemas, TAGS_PATTERN};
use serde_json::Value;

#[test]
fn the_committed_document_is_the_one_in_the_code() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../openapi/mouldboard.yaml");
    let now = DOCUMENT.yaml().expect("the document is OpenAPI");
    if std::env::var_os("UPDATE_OPENAPI").is_some() {
        std::fs::write(&file, &now).expect("the document can be written");
    }
    let committed = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(committed == now, "openapi/mouldboard.yaml is not what the code says: write it anew with UPDATE_OPENAPI=1");
}

/// Every operation with its path and method.
fn operations() -> Vec<(String, Value)> {
    let paths = DOCUMENT.json["paths"].as_object().expect("paths");
    let each = paths.iter().flat_map(|(path, item)| {
        item.as_object()
            .into_iter()
            .flatten()
            .map(move |(method, operation)| (format!("{method} {path}"), operation.clone()))
    });
    each.collect()
}

#[test]
fn every_operation_is_described_with_examples_and_failures() {
    let mut ids = BTreeSet::new();
    for (name, operation) in operations() {
        for member in ["summary", "description", "operationId"] {
            assert!(operation[member].as_str().is_some_and(|t| !t.is_empty()), "{name} has no {member}");
        }
        assert!(operation["tags"][0].is_string(), "{name} has no tag");
        assert!(
            ids.insert(operation["operationId"].to_string()),
            "{name}: {} is there twice",
            operation["operationId"]
        );
        let responses = operation["responses"].as_object().expect("responses");
        let good = |status: &String| status.starts_with('2') || status == "303";
        assert!(responses.keys().any(good), "{name} never succeeds");
        assert!(responses.contains_key("500") && responses.contains_key("400"), "{name} never fails");
        let bodies = std::iter::once(&operation["requestBody"]).chain(responses.values());
        for media in bodies.filter_map(|body| body["content"].as_object()).flatten().map(|(_, media)| media) {
            assert!(!media["example"].is_null(), "{name} has a body without an example: {media}");
        }
    }
}

#[test]
fn every_example_of_a_form_is_accepted_by_the_form() {
    let schemas = Schemas(DOCUMENT.schemas);
    let mut held = 0;
    for (name, operation) in operations() {
        let responses = operation["responses"].as_object().into_iter().flatten().map(|(_, response)| response);
        for body in std::iter::once(&operation["requestBody"]).chain(responses) {
            for media in body["content"].as_object().into_iter().flatten().map(|(_, media)| media) {
                let mut faults = Vec::new();
                schemas.check(&media["schema"], &mut media["example"].clone(), "", &mut faults);
                assert!(faults.is_empty(), "{name}: {faults:?} in {}", media["example"]);
                held += 1;
            }
        }
    }
    assert!(held > 80, "only {held} examples");
    for (name, answer) in DOCUMENT.json["components"]["responses"].as_object().expect("answers") {
        let media = &answer["content"]["application/problem+json"];
        for (kind, example) in media["examples"].as_object().expect("examples") {
            let mut faults = Vec::new();
            schemas.check(&media["schema"], &mut example["value"].clone(), "", &mut faults);
            assert!(faults.is_empty(), "{name} {kind}: {faults:?}");
        }
    }
}

#[test]
fn the_document_uses_only_what_the_checker_knows() {
    fn walk(schema: &Value, place: &str, unknown: &mut Vec<String>) {
        let Some(members) = schema.as_object() else { return };
        for (keyword, value) in members {
            if !ACTED_ON.contains(&keyword.as_str()) && !DESCRIPTIVE.contains(&keyword.as_str()) {
                unknown.push(format!("{place}: {keyword}"));
            }
            if keyword == "pattern" && ![ID_PATTERN, KEY_PATTERN, TAGS_PATTERN].iter().any(|known| value == known) {
                unknown.push(format!("{place}: pattern {value}"));
            }
        }
        for (name, property) in schema["properties"].as_object().into_iter().flatten() {
            walk(property, &format!("{place}/{name}"), unknown);
        }
        for branch in schema["oneOf"].as_array().into_iter().flatten() {
            walk(branch, place, unknown);
        }
        walk(&schema["items"], &format!("{place}/items"), unknown);
    }
    let mut unknown = Vec::new();
    for (name, schema) in DOCUMENT.schemas {
        walk(schema, name, &mut unknown);
    }
    for (name, operation) in operations() {
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            walk(&parameter["schema"], &format!("{name} {}", parameter["name"]), &mut unknown);
        }
    }
    assert!(unknown.is_empty(), "{}", unknown.join("\n"));
}

#[test]
fn forms_that_are_sent_refuse_what_they_do_not_know() {
    for (name, operation) in operations() {
        if let Some(form) = operation["requestBody"]["content"]["application/json"]["schema"]["$ref"].as_str() {
            let form = form.rsplit('/').next().expect("a name");
            assert_eq!(DOCUMENT.schemas[form]["additionalProperties"], false, "{name}: {form}");
        }
    }
}
