//! The invented workshop's own settings and its calendar.

use chrono::{Days, NaiveTime, Weekday};
use quantities::{Grams, Millimetres, Minutes};
use workshop::site::{CalendarDay, DayWork, DisplayUnits, Policy, TakingOver, Workshop};

use super::{TODAY, day};

/// The site.
pub fn workshop() -> Workshop {
    let at = |hour, minute| NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or_default();
    Workshop {
        name: "Tern Hollow Garden Castings".into(),
        time_zone: super::ZONE.name().into(),
        currency: "EUR".into(),
        display_units: DisplayUnits::Metric,
        writing: workshop::writing::Writing::default(),
        working_weekdays: vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri],
        labour_minutes: Minutes::new(300),
        mixer_batches: 6,
        issue_at: at(5, 30),
        pour_at: at(15, 0),
        strip_at: at(8, 0),
        least_air_c: 3.0,
        usual_air_c: 12.0,
        tank_gap: Millimetres::new(15),
        rack_gap: Millimetres::new(35),
        scale_resolution: Grams::new(1),
        lifting_limit: Grams::new(20_000),
        soaking: workshop::soaking::COMMON_PRACTICE.to_vec(),
        taking_over: TakingOver::ByItself,
        policy: Policy {
            horizon_days: 60,
            unmet_days: 30,
            steady_days: 5,
            late_price: 400,
            seconds: 20,
            evaluations: Some(4_000),
            threads: 1,
            seed: 1,
            calm_seconds: Some(120),
            night_at: NaiveTime::from_hms_opt(2, 0, 0),
        },
    }
}

/// Closed days, a short day, and March's mean air temperatures: two cold spells.
pub fn calendar() -> anyhow::Result<Vec<CalendarDay>> {
    let said = |day, work, minutes: Option<i64>, air_c, note: &str| CalendarDay {
        day,
        work,
        labour_minutes: minutes.map(Minutes::new),
        air_c,
        note: Some(note.to_owned()).filter(|n| !n.is_empty()),
    };
    let mut days = vec![
        said(day(2026, 3, 17), DayWork::Closed, None, Some(8.0), "St Patrick's Day"),
        said(day(2026, 4, 3), DayWork::Usual, Some(180), Some(10.0), "Good Friday: home at noon"),
        said(day(2026, 4, 6), DayWork::Closed, None, Some(11.0), "Easter Monday"),
        said(day(2026, 5, 4), DayWork::Closed, None, Some(13.0), "May bank holiday"),
        said(day(2026, 3, 14), DayWork::Worked, Some(180), Some(9.0), "Saturday worked before the holiday"),
    ];
    let march = [7, 2, 1, 2, 2, 4, 5, 6, 7, 8, 8, 9, 9, 8, 7, 8, 8, 6, 4, 2, 1, 2, 5, 7, 9, 9, 10, 10];
    for (after, air_c) in march.into_iter().enumerate() {
        let date = TODAY + Days::new(after as u64);
        if days.iter().all(|d| d.day != date) {
            let note = if air_c < 3 { "cold: no pouring" } else { "" };
            days.push(said(date, DayWork::Usual, None, Some(f64::from(air_c)), note));
        }
    }
    Ok(days)
}
