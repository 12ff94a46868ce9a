//! The planning documents as JSON: `facts` and `plan`, version 1. Shapes only; whether facts contradict themselves is for
//! the planner to say.
//!
//! Reading tells of every fault of the shape at once. A field this version does not know is refused, because a slip in an
//! optional field's name would otherwise change the plan without a word; only names that begin with `x_` are passed over,
//! so that a sender may keep notes of its own. Writing is the same to the byte for equal documents.

mod facts;
mod json;
mod node;
mod plan;
#[cfg(test)]
mod tests;

use std::cell::RefCell;
use std::fmt;

use workshop::documents::{Facts, Plan};

pub use plan::LATE_FIGURES;

use json::Json;
use node::Node;

/// Something in a document that is not as it should be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where, as a JSON pointer (RFC 6901); empty for the whole document.
    pub pointer: String,
    /// What is wrong and what to do about it.
    pub detail: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = if self.pointer.is_empty() { "(document)" } else { &self.pointer };
        write!(f, "{place}: {}", self.detail)
    }
}

/// Reads a facts document.
///
/// # Errors
/// Every fault of its shape, in the order of the document's fields.
pub fn read_facts(text: &str) -> Result<Facts, Vec<Fault>> {
    read(text, facts::read)
}

/// Reads a plan document.
///
/// # Errors
/// Every fault of its shape, in the order of the document's fields.
pub fn read_plan(text: &str) -> Result<Plan, Vec<Fault>> {
    read(text, plan::read)
}

/// Writes a facts document, with a line feed at its end.
pub fn write_facts(facts: &Facts) -> String {
    write(facts::write(facts))
}

/// Writes a plan document, with a line feed at its end.
pub fn write_plan(plan: &Plan) -> String {
    write(plan::write(plan))
}

fn read<T>(text: &str, shape: impl Fn(&Node) -> T) -> Result<T, Vec<Fault>> {
    let value = serde_json::from_str(text).map_err(|error| {
        let detail = format!("this is not JSON ({error}); send one whole JSON document");
        vec![Fault { pointer: String::new(), detail }]
    })?;
    let faults = RefCell::new(Vec::new());
    let document = shape(&Node::root(&value, &faults));
    let faults = faults.into_inner();
    if faults.is_empty() { Ok(document) } else { Err(faults) }
}

fn write(json: Json) -> String {
    let mut text = serde_json::to_string_pretty(&json).expect("text, numbers and lists always become JSON");
    text.push('\n');
    text
}
