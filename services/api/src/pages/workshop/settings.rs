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
use super::super::words::workshop as words;
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
            h2 #settings { (words::SETTINGS) }
            details open[!begun] {
                summary { @if begun { (words::LOOK_AT_THEM_CHANGE) } @else { (words::RECORD_THE_WORKSHOP) } }
                form.entry.settings data-send="/workshop" data-method="PUT" data-match=[seen.as_ref().map(Shown::tag)] data-named=(words::SETTINGS) data-then="reload" {
                    (who_and_where(&value)) (work(&value)) (limits(frame, &value)) (soaking(frame, &value)) (planning(frame, &value))
                    button { (words::KEEP) }
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

const WEEK: [(Weekday, &str); 7] = [
    (Weekday::Mon, "monday"),
    (Weekday::Tue, "tuesday"),
    (Weekday::Wed, "wednesday"),
    (Weekday::Thu, "thursday"),
    (Weekday::Fri, "friday"),
    (Weekday::Sat, "saturday"),
    (Weekday::Sun, "sunday"),
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
        fieldset { legend { (words::THE_WORKSHOP) }
            (form::text(words::NAME, "name", &w.name, true))
            (form::text(words::TIME_ZONE, "time_zone", &w.time_zone, true))
            (form::text(words::CURRENCY, "currency", &w.currency, true))
            (form::choice(words::DAYS_ARE_WRITTEN, "writing.dates", &[("day_first", words::DAY_FIRST), ("month_first", words::MONTH_FIRST), ("year_first", words::YEAR_FIRST)], dates))
            (form::choice(words::BEFORE_DECIMALS_STANDS, "writing.decimals", &[("point", words::POINT), ("comma", words::COMMA)], decimals))
            (form::choice(words::TIMES_OF_DAY, "writing.clock", &[("hours_24", words::HOURS_24), ("hours_12", words::HOURS_12)], clock))
            (form::choice(words::UNITS_PEOPLE_SEE, "display_units", &[("metric", words::METRIC), ("us_customary", words::US_CUSTOMARY)], units))
        }
    }
}

fn work(w: &Workshop) -> Markup {
    html! {
        fieldset { legend { (words::WORK) }
            fieldset { legend { (words::DAYS_USUALLY_WORKED) }
                @for ((day, word), said) in WEEK.into_iter().zip(words::WEEKDAYS) {
                    label.tick { input type="checkbox" name="working_weekdays" value=(word) data-kind="listed" checked[w.working_weekdays.contains(&day)]; " " (said) }
                }
            }
            (form::count(words::WORK_IN_A_DAY, "labour_minutes", Some(w.labour_minutes.get()), 0, 100_000, true))
            (form::count(words::MOST_BATCHES, "mixer_batches", Some(w.mixer_batches), 0, 1000, true))
            (form::time(words::ISSUE_AT, "issue_at", &time(w.issue_at), true))
            (form::time(words::POUR_AT, "pour_at", &time(w.pour_at), true))
            (form::time(words::STRIP_AT, "strip_at", &time(w.strip_at), true))
        }
    }
}

fn limits(frame: &Frame, w: &Workshop) -> Markup {
    let said = &frame.said;
    let grams = Typed { sign: "g", whole: true, ..said.plain_typed() };
    html! {
        fieldset { legend { (words::LIMITS) }
            (form::measure(words::LEAST_AIR, "least_air_c", said.temperature_typed(), Some(w.least_air_c), true))
            (form::measure(words::USUAL_AIR, "usual_air_c", said.temperature_typed(), Some(w.usual_air_c), true))
            (form::measure(words::TANK_GAP, "tank_gap_mm", said.length_typed(), Some(w.tank_gap.get() as f64), true))
            (form::measure(words::RACK_GAP, "rack_gap_mm", said.length_typed(), Some(w.rack_gap.get() as f64), true))
            (form::measure(words::SCALE_STEP, "scale_resolution_g", grams, Some(w.scale_resolution.get() as f64), true))
            (form::measure(words::LIFTING_LIMIT, "lifting_limit_g", said.mass_typed(), Some(w.lifting_limit.get() as f64), true))
        }
    }
}

/// The days soaking takes by the water's temperature, with room for two steps more; a step left empty goes.
fn soaking(frame: &Frame, w: &Workshop) -> Markup {
    let steps = w.soaking.iter().map(Some).chain([None, None]);
    html! {
        fieldset { legend { (words::COLD_WATER) }
            p { (words::ABOUT_COLD_WATER) }
            @for (n, step) in steps.enumerate() {
                div.line {
                    (form::measure(words::WATER_OF, &format!("soaking.{n}.water_c"), frame.said.temperature_typed(), step.map(|s| s.water_c), false))
                    (form::count(words::LEAST_SOAK_DAYS, &format!("soaking.{n}.least_days"), step.map(|s| s.least_days), 1, 90, false))
                }
            }
        }
    }
}

fn planning(frame: &Frame, w: &Workshop) -> Markup {
    let p = &w.policy;
    let taking = if w.taking_over == TakingOver::ByItself { "by_itself" } else { "wait_for_a_person" };
    let money = frame.said.money_typed();
    html! {
        fieldset { legend { (words::PLANNING) }
            (form::choice(words::A_NEW_PLAN, "taking_over", &[("by_itself", words::BY_ITSELF), ("wait_for_a_person", words::WAITS_FOR_PERSON)], taking))
            (form::count(words::HORIZON, "policy.horizon_days", Some(p.horizon_days), 1, 300, true))
            (form::count(words::A_RUN_MAY_TAKE, "policy.seconds", Some(p.seconds), 1, 3600, true))
            (form::count(words::CALM, "policy.calm_seconds", p.calm_seconds, 0, 86_400, false))
            (form::time(words::NIGHT_AT, "policy.night_at", &p.night_at.map(time).unwrap_or_default(), false))
            details { summary { (words::FINER) }
                (form::count(words::STEADY_DAYS, "policy.steady_days", Some(p.steady_days), 0, 30, true))
                (form::measure(&words::late_price(frame.said.currency()), "policy.late_price_minor", money, Some(p.late_price as f64), true))
                (form::count(words::UNMET, "policy.unmet_days", Some(p.unmet_days), 0, 400, true))
                (form::count(words::THREADS, "policy.threads", Some(p.threads), 1, 64, true))
                (form::count(words::STEPS, "policy.evaluations", p.evaluations, 1, 1_000_000_000, false))
                (form::count(words::SEED, "policy.seed", Some(p.seed), 0, 2_147_483_647, true))
            }
        }
    }
}
