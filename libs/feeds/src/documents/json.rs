//! A JSON value that keeps its fields in the order they were written.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use serde::ser::{Serialize, SerializeMap, Serializer};

/// What is to be written.
pub(super) enum Json {
    Null,
    Whole(i64),
    Number(f64),
    Text(String),
    List(Vec<Json>),
    Object(Vec<(String, Json)>),
}

impl Serialize for Json {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Json::Null => to.serialize_unit(),
            Json::Whole(whole) => to.serialize_i64(*whole),
            // A whole number is written without a decimal point, as long as it is exact.
            Json::Number(number) if number.fract() == 0.0 && number.abs() < 9e15 => to.serialize_i64(*number as i64),
            Json::Number(number) => to.serialize_f64(*number),
            Json::Text(text) => to.serialize_str(text),
            Json::List(items) => to.collect_seq(items),
            Json::Object(fields) => {
                let mut map = to.serialize_map(Some(fields.len()))?;
                for (name, value) in fields {
                    map.serialize_entry(name, value)?;
                }
                map.end()
            }
        }
    }
}

impl From<i64> for Json {
    fn from(whole: i64) -> Self {
        Json::Whole(whole)
    }
}

impl From<f64> for Json {
    fn from(number: f64) -> Self {
        Json::Number(number)
    }
}

impl From<&str> for Json {
    fn from(text: &str) -> Self {
        Json::Text(text.to_owned())
    }
}

impl From<&String> for Json {
    fn from(text: &String) -> Self {
        Json::Text(text.clone())
    }
}

impl From<Day> for Json {
    fn from(day: Day) -> Self {
        Json::Text(day.to_string())
    }
}

impl From<&Option<String>> for Json {
    fn from(text: &Option<String>) -> Self {
        text.as_ref().map_or(Json::Null, Json::from)
    }
}

impl<V: Copy + Into<Json>> From<&BTreeMap<String, V>> for Json {
    fn from(map: &BTreeMap<String, V>) -> Self {
        Json::Object(map.iter().map(|(name, value)| (name.clone(), (*value).into())).collect())
    }
}

impl<V: Copy + Into<Json>> From<&BTreeMap<Day, V>> for Json {
    fn from(map: &BTreeMap<Day, V>) -> Self {
        Json::Object(map.iter().map(|(day, value)| (day.to_string(), (*value).into())).collect())
    }
}

/// A list, each item written by `write`.
pub(super) fn list<T>(items: impl IntoIterator<Item = T>, write: impl Fn(T) -> Json) -> Json {
    Json::List(items.into_iter().map(write).collect())
}

/// An object of the fields given.
pub(super) fn object<const N: usize>(fields: [(&str, Json); N]) -> Json {
    Json::Object(fields.into_iter().map(|(name, value)| (name.to_owned(), value)).collect())
}

impl Json {
    /// With one more field, where there is something to say.
    pub fn and(mut self, name: &str, value: Option<Json>) -> Json {
        if let (Json::Object(fields), Some(value)) = (&mut self, value) {
            fields.push((name.to_owned(), value));
        }
        self
    }

    /// With one more field, unless its list or object is empty.
    pub fn and_unless_empty(self, name: &str, value: Json) -> Json {
        let empty = match &value {
            Json::List(items) => items.is_empty(),
            Json::Object(fields) => fields.is_empty(),
            _ => false,
        };
        self.and(name, (!empty).then_some(value))
    }
}
