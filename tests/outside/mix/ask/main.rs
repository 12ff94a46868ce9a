//! Lets another programme ask the mix library: one JSON question a line in, one JSON answer a line out.
//!
//! `{"ask": "read" | "convert" | "age" | "hold" | "recipe", …}`; the fields of each are in its function here. What the
//! library refuses is answered by `{"refused": "…"}`.

mod recipes;
mod units;

use std::io::{self, BufRead, Write};

use mix::{HoldClock, HoldKind, hold_days, maturity};
use quantities::{Celsius, Hours};
use serde_json::{Value, json};

/// An answer, or why there is none.
type Answer = Result<Value, String>;

fn main() -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    for line in io::stdin().lock().lines() {
        let answer = match serde_json::from_str(&line?) {
            Ok(question) => answer(&question).unwrap_or_else(|why| json!({ "refused": why })),
            Err(fault) => json!({ "refused": format!("no JSON: {fault}") }),
        };
        writeln!(out, "{answer}")?;
    }
    out.flush()
}

fn answer(question: &Value) -> Answer {
    match text(question, "ask")? {
        "read" => units::read(question),
        "convert" => units::convert(question),
        "age" => age(question),
        "hold" => hold(question),
        "recipe" => recipes::recipe(question),
        other => Err(format!("nothing can be asked by {other}")),
    }
}

/// `history`: pairs of hours and °C; `datum`, `reference` in °C; `q` in kelvin.
fn age(question: &Value) -> Answer {
    let history = list(question, "history")?
        .iter()
        .map(|pair| {
            let time = Hours::from_hours(of(pair, 0)?).map_err(said)?;
            let temperature = Celsius::from_celsius(of(pair, 1)?).map_err(said)?;
            Ok(maturity::Interval { time, temperature })
        })
        .collect::<Result<Vec<_>, String>>()?;
    let celsius = |field| Celsius::from_celsius(number(question, field)?).map_err(said);
    let age = maturity::equivalent_age(&history, number(question, "q")?, celsius("reference")?).map_err(said)?;
    Ok(json!({
        "temperature_time": maturity::temperature_time(&history, celsius("datum")?),
        "equivalent_age": age,
        "danish": history.iter().map(|i| maturity::age_factor_danish(i.temperature)).collect::<Vec<_>>(),
    }))
}

/// `hours` of hold, `by_trial` hours or not, `pour_day`, `daily` mean °C, `pour_hour`, `strip_hour`.
fn hold(question: &Value) -> Answer {
    let by_trial = question["by_trial"].as_bool().unwrap_or(false);
    let kind = if by_trial { HoldKind::TrialHours } else { HoldKind::PortlandMaturity };
    let daily = list(question, "daily")?
        .iter()
        .map(|mean| Celsius::from_celsius(mean.as_f64().ok_or("a mean is no number")?).map_err(said))
        .collect::<Result<Vec<_>, String>>()?;
    let clock = HoldClock { pour_hour: number(question, "pour_hour")?, strip_hour: number(question, "strip_hour")? };
    let hours = Hours::from_hours(number(question, "hours")?).map_err(said)?;
    let pour_day = question["pour_day"].as_u64().ok_or("no pour_day")? as usize;
    Ok(json!({ "days": hold_days(hours, kind, pour_day, &daily, clock).map_err(said)? }))
}

/// What the library says, as text.
fn said(fault: impl std::fmt::Display) -> String {
    fault.to_string()
}

fn text<'a>(question: &'a Value, field: &str) -> Result<&'a str, String> {
    question[field].as_str().ok_or_else(|| format!("no text {field}"))
}

fn number(question: &Value, field: &str) -> Result<f64, String> {
    question[field].as_f64().ok_or_else(|| format!("no number {field}"))
}

fn list<'a>(question: &'a Value, field: &str) -> Result<&'a [Value], String> {
    question[field].as_array().map(Vec::as_slice).ok_or_else(|| format!("no list {field}"))
}

fn of(pair: &Value, at: usize) -> Result<f64, String> {
    pair[at].as_f64().ok_or_else(|| "a pair is two numbers".to_owned())
}
