//! Holds a JSON value against a schema of our own OpenAPI document and says every fault in a plain sentence.
//!
//! Only the keywords that the document uses are known here; a test refuses any other.

use chrono::{DateTime, NaiveDate};
use serde_json::{Map, Number, Value};
use workshop::Fault;

/// Schema keywords this module acts on.
pub const ACTED_ON: [&str; 16] = [
    "$ref",
    "additionalProperties",
    "enum",
    "format",
    "items",
    "maxItems",
    "maxLength",
    "maximum",
    "minItems",
    "minLength",
    "minimum",
    "oneOf",
    "pattern",
    "properties",
    "required",
    "type",
];

/// Schema keywords that only describe.
pub const DESCRIPTIVE: [&str; 7] =
    ["default", "description", "example", "examples", "propertyNames", "title", "writeOnly"];

/// How an id is written: the only pattern of a body or an address.
pub const ID_PATTERN: &str = "^[A-Za-z0-9][A-Za-z0-9._@-]*$";
/// How an Idempotency-Key is written; [`super::body`] holds it.
pub const KEY_PATTERN: &str = "^[!-~]+$";
/// How an If-Match is written; [`super::reply`] holds it.
pub const TAGS_PATTERN: &str = r#"^(\*|(W/)?"[!#-+\-.-~]*"(, ?(W/)?"[!#-+\-.-~]*")*)$"#;
/// The format of a time of day without seconds, which is none of JSON Schema's.
pub const TIME_OF_DAY: &str = "time-of-day";

/// Schemas by name, from the document's components.
pub struct Schemas<'a>(pub &'a Map<String, Value>);

impl Schemas<'_> {
    /// Every fault of `value` against the schema called `name`. Whole numbers written with a fraction of zero (`2.0`) are
    /// made whole in place.
    pub fn faults(&self, name: &str, value: &mut Value) -> Vec<Fault> {
        let mut faults = Vec::new();
        match self.0.get(name) {
            Some(schema) => self.check(schema, value, "", &mut faults),
            None => faults.push(Fault::at("", format!("no form called {name} is documented"))),
        }
        faults
    }

    /// Adds every fault of `value` at `pointer` against `schema`.
    pub fn check(&self, schema: &Value, value: &mut Value, pointer: &str, faults: &mut Vec<Fault>) {
        let schema = self.resolve(schema);
        if let Some(branches) = schema.get("oneOf").and_then(Value::as_array) {
            return self.check_branches(branches, value, pointer, faults);
        }
        make_whole(schema, value);
        if !type_fits(schema, value) {
            faults.push(Fault::at(pointer, wrong_type(schema, value)));
            return;
        }
        if let Some(allowed) = schema.get("enum").and_then(Value::as_array)
            && !allowed.contains(value)
        {
            let list: Vec<&str> = allowed.iter().filter_map(Value::as_str).collect();
            faults
                .push(Fault::at(pointer, format!("{} is none of {}: give one of them", short(value), list.join(", "))));
            return;
        }
        match value {
            Value::Number(number) => check_number(schema, number, pointer, faults),
            Value::String(text) => check_text(schema, text, pointer, faults),
            Value::Array(items) => self.check_list(schema, items, pointer, faults),
            Value::Object(members) => self.check_object(schema, members, pointer, faults),
            Value::Null | Value::Bool(_) => {}
        }
    }

    fn resolve<'s>(&'s self, schema: &'s Value) -> &'s Value {
        let target = schema.get("$ref").and_then(Value::as_str).and_then(|path| path.rsplit('/').next());
        target.and_then(|name| self.0.get(name)).unwrap_or(schema)
    }

    /// Either nothing or one form (what an optional field is), or forms told apart by their `kind`-like single member.
    fn check_branches(&self, branches: &[Value], value: &mut Value, pointer: &str, faults: &mut Vec<Fault>) {
        let nothing = |b: &Value| b.get("type").and_then(Value::as_str) == Some("null");
        if value.is_null() && branches.iter().any(nothing) {
            return;
        }
        let mut fewest: Option<Vec<Fault>> = None;
        for branch in branches.iter().filter(|b| !nothing(b)) {
            let mut found = Vec::new();
            self.check(branch, value, pointer, &mut found);
            if fewest.as_ref().is_none_or(|best| found.len() < best.len()) {
                fewest = Some(found);
            }
        }
        faults.extend(fewest.unwrap_or_default());
    }

    fn check_list(&self, schema: &Value, items: &mut [Value], pointer: &str, faults: &mut Vec<Fault>) {
        let count = items.len() as u64;
        if let Some(least) = schema.get("minItems").and_then(Value::as_u64).filter(|least| count < *least) {
            faults.push(Fault::at(pointer, format!("there are {count} entries: give {least} or more")));
        }
        if let Some(most) = schema.get("maxItems").and_then(Value::as_u64).filter(|most| count > *most) {
            faults.push(Fault::at(pointer, format!("there are {count} entries: give at most {most}")));
            return;
        }
        if let Some(each) = schema.get("items") {
            for (index, item) in items.iter_mut().enumerate() {
                self.check(each, item, &format!("{pointer}/{index}"), faults);
            }
        }
    }

    fn check_object(&self, schema: &Value, members: &mut Map<String, Value>, pointer: &str, faults: &mut Vec<Fault>) {
        let none = Map::new();
        let known = schema.get("properties").and_then(Value::as_object).unwrap_or(&none);
        let required = schema.get("required").and_then(Value::as_array).into_iter().flatten().filter_map(Value::as_str);
        for name in required.filter(|name| !members.contains_key(*name)) {
            faults.push(Fault::at(format!("{pointer}/{name}"), "is missing: give it".to_owned()));
        }
        for (name, value) in members.iter_mut() {
            let place = format!("{pointer}/{}", escaped(name));
            match (known.get(name), schema.get("additionalProperties")) {
                (Some(schema), _) => self.check(schema, value, &place, faults),
                (None, Some(Value::Bool(false))) => {
                    let mut names: Vec<&str> = known.keys().map(String::as_str).collect();
                    names.sort_unstable();
                    faults.push(Fault::at(place, format!("is not known here: there are {}", names.join(", "))));
                }
                (None, Some(each @ Value::Object(_))) => self.check(each, value, &place, faults),
                (None, _) => {}
            }
        }
    }
}

/// One reference token of an RFC 6901 pointer.
fn escaped(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

fn types(schema: &Value) -> Vec<&str> {
    match schema.get("type") {
        Some(Value::String(one)) => vec![one],
        Some(Value::Array(many)) => many.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    }
}

/// JSON does not tell 2 from 2.0, so neither do we.
fn make_whole(schema: &Value, value: &mut Value) {
    let wants_whole = types(schema).contains(&"integer");
    if let Some(number) = value.as_f64().filter(|n| wants_whole && n.fract() == 0.0 && n.abs() < 9e15)
        && value.as_i64().is_none()
    {
        *value = Value::Number(Number::from(number as i64));
    }
}

fn type_fits(schema: &Value, value: &Value) -> bool {
    let types = types(schema);
    types.is_empty()
        || types.iter().any(|wanted| match *wanted {
            "null" => value.is_null(),
            "boolean" => value.is_boolean(),
            "integer" => value.as_i64().is_some(),
            "number" => value.is_number(),
            "string" => value.is_string(),
            "array" => value.is_array(),
            "object" => value.is_object(),
            _ => false,
        })
}

fn wrong_type(schema: &Value, value: &Value) -> String {
    let wanted = types(schema).into_iter().find(|t| *t != "null").unwrap_or("another");
    let range = range_in_words(schema);
    match (wanted, value) {
        ("integer", Value::Number(_)) => format!("{} is not a whole number: give {range}", short(value)),
        ("integer", _) => format!("{} is not a number: give a whole one{}", short(value), after_comma(&range)),
        ("number", _) => format!("{} is not a number: give one{}", short(value), after_comma(&range)),
        ("string", _) => format!("{} is not text: put it in quotation marks", short(value)),
        ("boolean", _) => format!("{} is neither true nor false: give one of them", short(value)),
        ("array", _) => format!("{} is not a list: give one in [ ]", short(value)),
        ("object", _) => format!("{} is not an object: give one in {{ }}", short(value)),
        _ => format!("{} is not the kind of value wanted here", short(value)),
    }
}

fn after_comma(range: &str) -> String {
    if range == "a whole one" { String::new() } else { format!(", {range}") }
}

fn range_in_words(schema: &Value) -> String {
    match (schema.get("minimum"), schema.get("maximum")) {
        (Some(least), Some(most)) => format!("{} to {}", plain(least), plain(most)),
        (Some(least), None) => format!("{} or more", plain(least)),
        (None, Some(most)) => format!("at most {}", plain(most)),
        (None, None) => "a whole one".to_owned(),
    }
}

/// A limit of the schema without a needless fraction.
fn plain(limit: &Value) -> String {
    match limit.as_f64() {
        Some(number) if number.fract() == 0.0 && number.abs() < 9e15 => (number as i64).to_string(),
        _ => limit.to_string(),
    }
}

fn check_number(schema: &Value, number: &Number, pointer: &str, faults: &mut Vec<Fault>) {
    let value = number.as_f64().unwrap_or(f64::MAX);
    let below = schema.get("minimum").and_then(Value::as_f64).is_some_and(|least| value < least);
    let above = schema.get("maximum").and_then(Value::as_f64).is_some_and(|most| value > most);
    if below || above {
        faults.push(Fault::at(pointer, format!("{number} is out of range: give {}", range_in_words(schema))));
    }
}

fn check_text(schema: &Value, text: &str, pointer: &str, faults: &mut Vec<Fault>) {
    let number = |key: &str| schema.get(key).and_then(Value::as_u64);
    let length = text.chars().count() as u64;
    if let Some(wrong) = text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t' | '\r')) {
        faults.push(Fault::at(
            pointer,
            format!("has the control character {wrong:?}, which cannot be kept: take it out"),
        ));
    }
    if let Some(least) = number("minLength").filter(|least| length < *least) {
        faults.push(Fault::at(pointer, format!("has {length} characters: give {least} or more")));
    } else if let Some(most) = number("maxLength").filter(|most| length > *most) {
        faults.push(Fault::at(pointer, format!("has {length} characters: give at most {most}")));
    } else if schema.get("pattern").is_some_and(|pattern| pattern == ID_PATTERN) && !is_id(text) {
        faults.push(Fault::at(
            pointer,
            format!("'{text}' is no id: use letters a-z and A-Z, digits, '-', '_', '.' and '@', beginning with a letter or digit"),
        ));
    }
    let wrong_format = match schema.get("format").and_then(Value::as_str) {
        Some("date") => day(text).is_none().then_some("a day: give it as 2026-05-04"),
        Some("date-time") => {
            DateTime::parse_from_rfc3339(text).is_err().then_some("an instant: give it as 2026-05-04T06:00:00Z")
        }
        Some(TIME_OF_DAY) => time(text).is_none().then_some("a time of day: give it as 07:00"),
        _ => None,
    };
    if let Some(wanted) = wrong_format {
        faults.push(Fault::at(pointer, format!("'{}' is not {wanted}", cut(text))));
    }
}

fn is_id(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_alphanumeric())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.' | '@'))
}

/// A day written `2026-05-04`, and in no other way.
pub fn day(text: &str) -> Option<NaiveDate> {
    let day = text.parse::<NaiveDate>().ok()?;
    (text.len() == 10 && day.to_string() == text).then_some(day)
}

/// A time of day written `07:00`, and in no other way.
pub fn time(text: &str) -> Option<chrono::NaiveTime> {
    let time = chrono::NaiveTime::parse_from_str(text, "%H:%M").ok()?;
    (time.format("%H:%M").to_string() == text).then_some(time)
}

fn cut(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// The value as the caller wrote it, shortened.
fn short(value: &Value) -> String {
    match value {
        Value::Null => "nothing (null)".to_owned(),
        Value::Bool(_) | Value::Number(_) => value.to_string(),
        Value::String(text) => format!("'{}'", cut(text)),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn schemas() -> Map<String, Value> {
        let schemas = json!({
            "Line": {
                "type": "object", "additionalProperties": false, "required": ["finish", "quantity"],
                "properties": {
                    "finish": { "$ref": "#/components/schemas/Id" },
                    "quantity": { "type": "integer", "minimum": 1, "maximum": 10000 },
                    "kg": { "type": ["number", "null"], "minimum": 0.5 },
                    "on": { "type": "string", "format": "date" },
                    "state": { "type": "string", "enum": ["open", "shut"] },
                    "other": { "oneOf": [{ "type": "null" }, { "$ref": "#/components/schemas/Id" }] },
                },
            },
            "Id": { "type": "string", "minLength": 1, "maxLength": 60, "pattern": ID_PATTERN },
        });
        schemas.as_object().unwrap().clone()
    }

    #[test]
    fn each_fault_has_its_sentence() {
        let good = json!({ "finish": "grey", "quantity": 2 });
        let cases = [
            (json!({}), "/finish", "is missing: give it"),
            (json!({ "quantity": 2.5 }), "/quantity", "2.5 is not a whole number: give 1 to 10000"),
            (json!({ "quantity": 0 }), "/quantity", "0 is out of range: give 1 to 10000"),
            (json!({ "quantity": "two" }), "/quantity", "'two' is not a number: give a whole one, 1 to 10000"),
            (json!({ "quantity": null }), "/quantity", "nothing (null) is not a number: give a whole one, 1 to 10000"),
            (json!({ "kg": 0.1 }), "/kg", "0.1 is out of range: give 0.5 or more"),
            (json!({ "on": "2026-13-01" }), "/on", "'2026-13-01' is not a day: give it as 2026-05-04"),
            (json!({ "on": "2026-1-1" }), "/on", "'2026-1-1' is not a day: give it as 2026-05-04"),
            (json!({ "state": "ajar" }), "/state", "'ajar' is none of open, shut: give one of them"),
            (json!({ "a/b": 1 }), "/a~1b", "is not known here: there are finish, kg, on, other, quantity, state"),
            (json!({ "other": "" }), "/other", "has 0 characters: give 1 or more"),
            (json!({ "finish": "a\u{0}" }), "/finish", "control character"),
        ];
        for (changes, pointer, sentence) in cases {
            let mut value = good.clone();
            for (name, change) in changes.as_object().unwrap() {
                value[name] = change.clone();
            }
            if changes == json!({}) {
                value.as_object_mut().unwrap().remove("finish");
            }
            let faults = Schemas(&schemas()).faults("Line", &mut value);
            let found = faults.iter().any(|fault| fault.pointer == pointer && fault.detail.contains(sentence));
            assert!(found, "{changes}: {faults:?}");
        }
    }

    #[test]
    fn all_faults_come_at_once_and_whole_floats_are_whole() {
        let schemas = schemas();
        let mut value = json!({ "quantity": 0, "kg": 0, "what": 1 });
        assert_eq!(Schemas(&schemas).faults("Line", &mut value).len(), 4);
        let mut value = json!({ "finish": "grey", "quantity": 2.0, "kg": null, "other": null });
        assert_eq!(Schemas(&schemas).faults("Line", &mut value), []);
        assert_eq!(value["quantity"], json!(2));
    }
}
