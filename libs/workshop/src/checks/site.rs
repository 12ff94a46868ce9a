//! Faults of the workshop's own settings.

use super::found::Found;
use crate::Fault;
use crate::site::{Policy, Workshop};
use crate::soaking::SoakStep;

/// Every fault of the workshop, except whether its time zone is one: that list is not kept here.
pub fn faults(workshop: &Workshop) -> Vec<Fault> {
    let mut found = Found::new();
    found.name("/name", &workshop.name);
    let three_capitals = workshop.currency.len() == 3 && workshop.currency.chars().all(|c| c.is_ascii_uppercase());
    found.ensure(three_capitals, "/currency", || {
        format!("'{}' is no ISO 4217 code: give three capitals, as EUR", workshop.currency)
    });
    found.ensure(!workshop.working_weekdays.is_empty(), "/working_weekdays", || {
        "is empty: name one weekday at least; close single days in the calendar".to_owned()
    });
    let weekdays: Vec<_> = workshop.working_weekdays.iter().map(|w| format!("{w:?}")).collect();
    found.distinct(weekdays.iter(), |i| format!("/working_weekdays/{i}"));
    found.whole("/labour_minutes", workshop.labour_minutes.get(), 0..=100_000);
    found.whole("/mixer_batches", workshop.mixer_batches, 0..=1000);
    found.number("/least_air_c", workshop.least_air_c, -40.0..=60.0);
    found.number("/usual_air_c", workshop.usual_air_c, -40.0..=60.0);
    found.whole("/tank_gap_mm", workshop.tank_gap.get(), 0..=1000);
    found.whole("/rack_gap_mm", workshop.rack_gap.get(), 0..=1000);
    found.whole("/scale_resolution_g", workshop.scale_resolution.get(), 1..=10_000);
    found.whole("/lifting_limit_g", workshop.lifting_limit.get(), 1000..=1_000_000);
    soaking(&workshop.soaking, &mut found);
    policy(&workshop.policy, &mut found);
    found.all()
}

/// Most steps of the table of soaking.
const STEPS_MOST: usize = 20;

fn soaking(steps: &[SoakStep], found: &mut Found) {
    found.ensure(steps.len() <= STEPS_MOST, "/soaking", || {
        format!("has {} steps: give {STEPS_MOST} at most", steps.len())
    });
    for (index, step) in steps.iter().enumerate() {
        found.number(&format!("/soaking/{index}/water_c"), step.water_c, 0.0..=60.0);
        found.whole(&format!("/soaking/{index}/least_days"), step.least_days, 1..=90);
        if let Some(other) = steps[..index].iter().find(|other| other.water_c == step.water_c) {
            found
                .add(format!("/soaking/{index}/water_c"), format!("{} °C is there twice: name it once", other.water_c));
        }
        let quicker = steps.iter().find(|other| other.water_c > step.water_c && other.least_days > step.least_days);
        if let Some(warmer) = quicker {
            let detail = format!(
                "{} days are fewer than the {} at {} °C: nothing soaks quicker in colder water",
                step.least_days, warmer.least_days, warmer.water_c
            );
            found.add(format!("/soaking/{index}/least_days"), detail);
        }
    }
}

fn policy(policy: &Policy, found: &mut Found) {
    found.whole("/policy/horizon_days", policy.horizon_days, 1..=300);
    found.whole("/policy/unmet_days", policy.unmet_days, 0..=400);
    found.whole("/policy/steady_days", policy.steady_days, 0..=30);
    found.whole("/policy/late_price_minor", policy.late_price, 0..=super::found::MONEY_MOST);
    found.whole("/policy/seconds", policy.seconds, 1..=3600);
    if let Some(evaluations) = policy.evaluations {
        found.whole("/policy/evaluations", evaluations, 1..=1_000_000_000);
    }
    found.whole("/policy/threads", policy.threads, 1..=64);
    found.whole("/policy/seed", policy.seed, 0..=i64::from(i32::MAX));
    if let Some(calm) = policy.calm_seconds {
        found.whole("/policy/calm_seconds", calm, 0..=86_400);
    }
}
