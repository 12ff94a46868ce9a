//! Reading a JSON value by hand: every getter answers something, and writes down what was wrong.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use chrono::NaiveDate as Day;
use serde_json::{Map, Value};

use super::Fault;

/// A value and where it stands.
pub(super) struct Node<'a> {
    value: &'a Value,
    pointer: String,
    faults: &'a RefCell<Vec<Fault>>,
}

/// An object's fields, and which of them were asked for.
pub(super) struct Fields<'a> {
    map: Option<&'a Map<String, Value>>,
    pointer: String,
    faults: &'a RefCell<Vec<Fault>>,
    known: RefCell<Vec<&'static str>>,
    closed: Cell<bool>,
}

impl<'a> Node<'a> {
    /// The whole document.
    pub fn root(value: &'a Value, faults: &'a RefCell<Vec<Fault>>) -> Self {
        Node { value, pointer: String::new(), faults }
    }

    fn fault(&self, detail: String) {
        self.faults.borrow_mut().push(Fault { pointer: self.pointer.clone(), detail });
    }

    fn child(&self, value: &'a Value, step: &str) -> Node<'a> {
        Node { value, pointer: format!("{}/{}", self.pointer, escaped(step)), faults: self.faults }
    }

    /// Reads an object; fields that `read` does not ask for are refused unless they begin with `x_`.
    pub fn object<T>(&self, read: impl FnOnce(&Fields<'a>) -> T) -> T {
        let map = self.value.as_object();
        if map.is_none() {
            self.fault(format!("{} where an object belongs; write {{\"…\": …}}", seen(self.value)));
        }
        let (known, closed) = (RefCell::new(Vec::new()), Cell::new(false));
        let fields = Fields { map, pointer: self.pointer.clone(), faults: self.faults, known, closed };
        let read = read(&fields);
        fields.refuse_unknown();
        read
    }

    /// Text.
    pub fn text(&self) -> String {
        if let Some(text) = self.value.as_str() {
            return text.to_owned();
        }
        self.fault(format!("{} where text belongs; put it in quotation marks", seen(self.value)));
        String::new()
    }

    /// A number.
    pub fn number(&self) -> f64 {
        if let Some(number) = self.value.as_f64().filter(|n| n.is_finite()) {
            return number;
        }
        self.fault(format!("{} where a number belongs", seen(self.value)));
        0.0
    }

    /// A whole number; `2.0` is one, `2.5` is not.
    pub fn whole(&self) -> i64 {
        if let Some(whole) = self.value.as_i64() {
            return whole;
        }
        match self.value.as_f64() {
            Some(number) if number.fract() == 0.0 && number.abs() < 9e15 => number as i64,
            _ => {
                self.fault(format!("{} where a whole number belongs", seen(self.value)));
                0
            }
        }
    }

    /// A day.
    pub fn day(&self) -> Day {
        match self.value.as_str().map(as_day) {
            Some(Some(day)) => day,
            _ => {
                self.fault(format!("{} where a day belongs; write it like \"2026-03-06\"", seen(self.value)));
                Day::default()
            }
        }
    }

    /// A list.
    pub fn list<T>(&self, read: impl Fn(&Node<'a>) -> T) -> Vec<T> {
        let Some(items) = self.value.as_array() else {
            self.fault(format!("{} where a list belongs; write […]", seen(self.value)));
            return Vec::new();
        };
        items.iter().enumerate().map(|(at, item)| read(&self.child(item, &at.to_string()))).collect()
    }

    /// An object whose names are ids or days.
    pub fn map<K: Ord, V>(
        &self,
        key: impl Fn(&Node<'a>, &str) -> Option<K>,
        read: impl Fn(&Node<'a>) -> V,
    ) -> BTreeMap<K, V> {
        let Some(map) = self.value.as_object() else {
            self.fault(format!("{} where an object belongs; write {{\"…\": …}}", seen(self.value)));
            return BTreeMap::new();
        };
        let child = |name: &str, value| self.child(value, name);
        map.iter()
            .filter_map(|(name, value)| {
                let node = child(name, value);
                key(&node, name).map(|key| (key, read(&node)))
            })
            .collect()
    }

    /// The key of [`Node::map`] for ids.
    pub fn id_key(&self, name: &str) -> Option<String> {
        Some(name.to_owned())
    }

    /// The key of [`Node::map`] for days.
    pub fn day_key(&self, name: &str) -> Option<Day> {
        let day = as_day(name);
        if day.is_none() {
            self.fault(format!("\"{name}\" is not a day; write it like \"2026-03-06\""));
        }
        day
    }

    /// One of a few words.
    pub fn word<T: Copy>(&self, words: &[(&str, T)]) -> T {
        let text = self.value.as_str();
        if let Some((_, meaning)) = words.iter().find(|(word, _)| Some(*word) == text) {
            return *meaning;
        }
        let names: Vec<_> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
        self.fault(format!("{} where one of {} belongs", seen(self.value), names.join(", ")));
        words[0].1
    }

    /// Writes down a fault of this value unless it is exactly `text`.
    pub fn exactly(&self, text: &str) {
        if self.value.as_str() != Some(text) {
            self.fault(format!("{} where \"{text}\" belongs; this program reads that version only", seen(self.value)));
        }
    }
}

impl<'a> Fields<'a> {
    /// A field that may be left out or null.
    pub fn optional(&self, name: &'static str) -> Option<Node<'a>> {
        self.known.borrow_mut().push(name);
        let value = self.map?.get(name).filter(|value| !value.is_null())?;
        Some(Node { value, pointer: format!("{}/{name}", self.pointer), faults: self.faults })
    }

    /// A field that must be there, read by `read`; where it is not, that is written down and the default given.
    pub fn required<T: Default>(&self, name: &'static str, read: impl FnOnce(&Node<'a>) -> T) -> T {
        match self.optional(name) {
            Some(node) => read(&node),
            None if self.map.is_none() => T::default(),
            None => {
                let detail = format!("\"{name}\" is missing; add it");
                self.faults.borrow_mut().push(Fault { pointer: self.pointer.clone(), detail });
                T::default()
            }
        }
    }

    /// Text that must be there.
    pub fn text(&self, name: &'static str) -> String {
        self.required(name, Node::text)
    }

    /// A number that must be there.
    pub fn number(&self, name: &'static str) -> f64 {
        self.required(name, Node::number)
    }

    /// A whole number that must be there.
    pub fn whole(&self, name: &'static str) -> i64 {
        self.required(name, Node::whole)
    }

    /// A day that must be there.
    pub fn day(&self, name: &'static str) -> Day {
        self.required(name, Node::day)
    }

    /// A list that must be there.
    pub fn list<T>(&self, name: &'static str, read: impl Fn(&Node<'a>) -> T) -> Vec<T> {
        self.required(name, |node| node.list(read))
    }

    /// A list that is empty where left out.
    pub fn optional_list<T>(&self, name: &'static str, read: impl Fn(&Node<'a>) -> T) -> Vec<T> {
        self.optional(name).map(|node| node.list(read)).unwrap_or_default()
    }

    /// A day that may be left out or null.
    pub fn optional_day(&self, name: &'static str) -> Option<Day> {
        self.optional(name).map(|node| node.day())
    }

    /// Text that may be left out or null.
    pub fn optional_text(&self, name: &'static str) -> Option<String> {
        self.optional(name).map(|node| node.text())
    }

    fn refuse_unknown(&self) {
        if self.closed.replace(true) {
            return;
        }
        let known = self.known.borrow();
        for name in self.map.into_iter().flat_map(Map::keys) {
            if !known.contains(&name.as_str()) && !name.starts_with("x_") {
                let pointer = format!("{}/{}", self.pointer, escaped(name));
                let detail = format!("no field is called \"{name}\" here; correct it, or begin a note's name with x_");
                self.faults.borrow_mut().push(Fault { pointer, detail });
            }
        }
    }
}

fn as_day(text: &str) -> Option<Day> {
    (text.len() == 10).then(|| text.parse().ok()).flatten()
}

fn escaped(step: &str) -> String {
    step.replace('~', "~0").replace('/', "~1")
}

fn seen(value: &Value) -> String {
    match value {
        Value::Null => "null".to_owned(),
        Value::Bool(_) | Value::Number(_) => value.to_string(),
        Value::String(text) => format!("{:?}", text.chars().take(40).collect::<String>()),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    }
}
