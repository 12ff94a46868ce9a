//! What the sweep found, as a JSON document.

use serde::Serialize;
use workshop::audit::Break;

const FORMAT: &str = "mouldboard-audit/1";

#[derive(Serialize)]
struct Document<'a> {
    format: &'static str,
    clean: bool,
    looked_at: Vec<Looked<'a>>,
    breaks: Vec<Found<'a>>,
}

#[derive(Serialize)]
struct Looked<'a> {
    what: &'a str,
    count: usize,
}

#[derive(Serialize)]
struct Found<'a> {
    rule: &'a str,
    place: &'a str,
    sentence: &'a str,
}

/// Writes what was looked at, how much of it, and everything that does not hold, with a line feed at its end.
///
/// # Errors
/// Never in practice: every part of it is text or a whole number.
pub fn write(looked_at: &[(&str, usize)], breaks: &[Break]) -> Result<String, serde_json::Error> {
    let document = Document {
        format: FORMAT,
        clean: breaks.is_empty(),
        looked_at: looked_at.iter().map(|(what, count)| Looked { what, count: *count }).collect(),
        breaks: breaks.iter().map(|b| Found { rule: b.rule, place: &b.place, sentence: &b.sentence }).collect(),
    };
    Ok(serde_json::to_string_pretty(&document)? + "\n")
}
