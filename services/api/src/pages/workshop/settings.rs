//! The workshop's settings as a form; sensible ones stand in it where none are recorded yet.

use chrono::{NaiveTime, Weekday};
use maud::{Markup, html};
use quantities::{Grams, Millimetres, Minutes};
use store::Versioned;
use workshop::site::{DisplayUnits, Policy, TakingOver, Workshop};
use workshop::writing::{Clock, DateOrder, DecimalSign, Writing};

use super::super::form;
use super::super::frame::Frame;
use super::super::said::Typed;
use crate::http::problem::Problem;
use crate::http::reply::Shown;
use crate::wire::site::Workshop as Form;

/// The form: open where nothing is recorded yet.
///
/// # Errors
/// Settings on record that cannot be written.
pub fn section(frame: &Frame, site: Option<&Versioned<Workshop>>) -> Result<Markup, Problem> {
    let seen = site.map(|site| Shown::new(site.version, &Form::from(site.value.clone()))).transpose()?;
    let (value, begun) = (site.map_or_else(at_first, |site| site.value.clone()), site.is_some());
    Ok(html! {
        section aria-labelledby="settings" {
            h2 #settings { "Settings" }
            details open[!begun] {
                summary { @if begun { "Look at them, change them" } @else { "Record the workshop" } }
                form.entry.settings data-send="/workshop" data-method="PUT" data-match=[seen.as_ref().map(Shown::tag)] data-named="Settings" data-then="reload" {
                    (who_and_where(&value)) (work(&value)) (limits(frame, &value)) (planning(frame, &value))
                    button { "Keep" }
                    output {}
                }
            }
        }
    })
}

/// What stands in the form at first: to be looked over, nothing of it is known.
fn at_first() -> Workshop {
    let at = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap_or_default();
    Workshop {
        name: String::new(),
        time_zone: String::new(),
        currency: String::new(),
        display_units: DisplayUnits::Metric,
        writing: Writing::default(),
        working_weekdays: vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri],
        labour_minutes: Minutes::new(480),
        mixer_batches: 6,
        issue_at: at(6),
        pour_at: at(15),
        strip_at: at(8),
        least_air_c: 5.0,
        usual_air_c: 15.0,
        tank_gap: Millimetres::new(15),
        rack_gap: Millimetres::new(40),
        scale_resolution: Grams::new(5),
        lifting_limit: Grams::new(25_000),
        soaking: workshop::soaking::COMMON_PRACTICE.to_vec(),
        taking_over: TakingOver::ByItself,
        policy: Policy {
            horizon_days: 60,
            unmet_days: 30,
            steady_days: 3,
            late_price: 500,
            seconds: 30,
            evaluations: None,
            threads: 1,
            seed: 1,
            calm_seconds: Some(120),
            night_at: Some(at(2)),
        },
    }
}

fn time(time: NaiveTime) -> String {
    time.format("%H:%M").to_string()
}

const WEEK: [(Weekday, &str, &str); 7] = [
    (Weekday::Mon, "monday", "Monday"),
    (Weekday::Tue, "tuesday", "Tuesday"),
    (Weekday::Wed, "wednesday", "Wednesday"),
    (Weekday::Thu, "thursday", "Thursday"),
    (Weekday::Fri, "friday", "Friday"),
    (Weekday::Sat, "saturday", "Saturday"),
    (Weekday::Sun, "sunday", "Sunday"),
];

fn who_and_where(w: &Workshop) -> Markup {
    let dates = match w.writing.dates {
        DateOrder::DayFirst => "day_first",
        DateOrder::MonthFirst => "month_first",
        DateOrder::YearFirst => "year_first",
    };
    let decimals = if w.writing.decimals == DecimalSign::Point { "point" } else { "comma" };
    let clock = if w.writing.clock == Clock::Hours24 { "hours_24" } else { "hours_12" };
    let units = if w.display_units == DisplayUnits::Metric { "metric" } else { "us_customary" };
    html! {
        fieldset { legend { "The workshop" }
            (form::text("Name", "name", &w.name, true))
            (form::text("Time zone, as Europe/Dublin", "time_zone", &w.time_zone, true))
            (form::text("Currency, as EUR", "currency", &w.currency, true))
            (form::choice("Days are written", "writing.dates", &[("day_first", "Mon 2 March"), ("month_first", "Mon, March 2"), ("year_first", "Mon 2026-03-02")], dates))
            (form::choice("Before decimals stands", "writing.decimals", &[("point", "a point: 10.5"), ("comma", "a comma: 10,5")], decimals))
            (form::choice("Times of day", "writing.clock", &[("hours_24", "15:30"), ("hours_12", "3:30 pm")], clock))
            (form::choice("Units people see", "display_units", &[("metric", "kg, L, mm, °C"), ("us_customary", "lb, US gal, in, °F")], units))
        }
    }
}

fn work(w: &Workshop) -> Markup {
    html! {
        fieldset { legend { "Work" }
            fieldset { legend { "Days usually worked" }
                @for (day, word, said) in WEEK {
                    label.tick { input type="checkbox" name="working_weekdays" value=(word) data-kind="listed" checked[w.working_weekdays.contains(&day)]; " " (said) }
                }
            }
            (form::count("Work in a day, all hands together, minutes", "labour_minutes", Some(w.labour_minutes.get()), 0, 100_000, true))
            (form::count("Most batches a day", "mixer_batches", Some(w.mixer_batches), 0, 1000, true))
            (form::time("Tickets of the day go out at", "issue_at", &time(w.issue_at), true))
            (form::time("The hold in the mould counts from", "pour_at", &time(w.pour_at), true))
            (form::time("Panels are stripped at", "strip_at", &time(w.strip_at), true))
        }
    }
}

fn limits(frame: &Frame, w: &Workshop) -> Markup {
    let said = &frame.said;
    let grams = Typed { sign: "g", whole: true, ..said.plain_typed() };
    html! {
        fieldset { legend { "Limits" }
            (form::measure("No pouring on a day colder than", "least_air_c", said.temperature_typed(), Some(w.least_air_c), true))
            (form::measure("Air where the calendar says nothing", "usual_air_c", said.temperature_typed(), Some(w.usual_air_c), true))
            (form::measure("Gap between panels in a tank", "tank_gap_mm", said.length_typed(), Some(w.tank_gap.get() as f64), true))
            (form::measure("Gap between panels on a rack", "rack_gap_mm", said.length_typed(), Some(w.rack_gap.get() as f64), true))
            (form::measure("Smallest step of the scale", "scale_resolution_g", grams, Some(w.scale_resolution.get() as f64), true))
            (form::measure("Lifted by two people above", "lifting_limit_g", said.mass_typed(), Some(w.lifting_limit.get() as f64), true))
        }
    }
}

fn planning(frame: &Frame, w: &Workshop) -> Markup {
    let p = &w.policy;
    let taking = if w.taking_over == TakingOver::ByItself { "by_itself" } else { "wait_for_a_person" };
    let money = frame.said.money_typed();
    html! {
        fieldset { legend { "Planning" }
            (form::choice("A new plan", "taking_over", &[("by_itself", "takes over by itself"), ("wait_for_a_person", "waits for a person")], taking))
            (form::count("Planned ahead at least, days", "policy.horizon_days", Some(p.horizon_days), 1, 300, true))
            (form::count("A run may take, seconds", "policy.seconds", Some(p.seconds), 1, 3600, true))
            (form::count("Planned anew so long after the last change, seconds (empty: only by hand)", "policy.calm_seconds", p.calm_seconds, 0, 86_400, false))
            (form::time("And every night at (empty: not)", "policy.night_at", &p.night_at.map(time).unwrap_or_default(), false))
            details { summary { "Finer" }
                (form::count("Near days kept steady, working days", "policy.steady_days", Some(p.steady_days), 0, 30, true))
                (form::measure(&format!("A day late of a usual order is worth {}", frame.said.currency()), "policy.late_price_minor", money, Some(p.late_price as f64), true))
                (form::count("What is never ready counts as so many days later", "policy.unmet_days", Some(p.unmet_days), 0, 400, true))
                (form::count("Processors a run may use", "policy.threads", Some(p.threads), 1, 64, true))
                (form::count("Steps instead of seconds, for runs that repeat exactly", "policy.evaluations", p.evaluations, 1, 1_000_000_000, false))
                (form::count("Where chance begins (seed)", "policy.seed", Some(p.seed), 0, 2_147_483_647, true))
            }
        }
    }
}
