//! Panels of a mix that soaks five days, in the tank since Monday 27 April.

use super::*;
use crate::ids::{FinishId, LotId};
use crate::planning::example::{day, snapshot};

fn since() -> Day {
    day("2026-04-27")
}

fn tank() -> TankId {
    TankId::parse("north").unwrap()
}

fn lot(revision: &str, quantity: i64) -> Lot {
    Lot {
        id: LotId::new(1),
        panel: PanelId::parse("bed-side").unwrap(),
        revision: RevisionId::parse(revision).unwrap(),
        finish: FinishId::parse("grey-smooth").unwrap(),
        poured_on: day("2026-04-24"),
        ticket: None,
        stage: Stage::Soaking,
        since: since(),
        quantity,
        tank: Some(tank()),
        rack: None,
        row: None,
    }
}

/// Common practice, no source: five days above 20 °C, seven at 15 °C, eleven at 10 °C.
#[test]
fn five_days_of_soaking_are_as_many_as_the_table_says() {
    for (water_c, days) in [(25.0, 5), (20.0, 5), (15.0, 7), (10.0, 11)] {
        let readings = Readings::from([(since(), water_c)]);
        let until = soaked_on(since(), 5, Some(&readings), &COMMON_PRACTICE);
        assert_eq!((until - since()).num_days(), days, "{water_c} °C");
    }
    // Fourteen days at 15 °C are 14 · 7/5, at 10 °C 14 · 11/5, rounded up.
    for (water_c, days) in [(15.0, 20), (10.0, 31)] {
        let readings = Readings::from([(since(), water_c)]);
        assert_eq!(
            (soaked_on(since(), 14, Some(&readings), &COMMON_PRACTICE) - since()).num_days(),
            days,
            "{water_c} °C"
        );
    }
}

/// ASTM C1074, equivalent age, Q = 5000 K, at 20 °C: its factors are never below what a day counts here.
#[test]
fn a_day_never_counts_more_than_its_equivalent_age() {
    let mut before = 1.0;
    for water_c in (0..=20).rev().map(f64::from) {
        let share = share(&COMMON_PRACTICE, water_c);
        let factor = (-5000.0 * (1.0 / (water_c + 273.15) - 1.0 / 293.15_f64)).exp();
        assert!(share <= factor + 1e-9 && share <= before && share > 0.0, "{water_c} °C: {share}, {factor}");
        before = share;
    }
    assert_eq!(share(&[], 5.0), 1.0, "no table, no difference");
    assert_eq!(share(&COMMON_PRACTICE[..1], 5.0), 1.0);
    let mut turned = COMMON_PRACTICE;
    turned.reverse();
    assert_eq!(share(&turned, 12.5), share(&COMMON_PRACTICE, 12.5), "in whatever order they stand");
}

#[test]
fn a_temperature_holds_until_the_next_one_and_days_before_the_first_count_in_full() {
    let until = |readings: &[(&str, f64)]| {
        let readings = readings.iter().map(|(on, c)| (day(on), *c)).collect();
        soaked_on(since(), 5, Some(&readings), &COMMON_PRACTICE).to_string()
    };
    assert_eq!(until(&[]), "2026-05-02");
    // Four full days, then 5/11 of a day each.
    assert_eq!(until(&[("2026-05-01", 10.0)]), "2026-05-04");
    assert_eq!(until(&[("2026-04-27", 10.0), ("2026-04-28", 21.0)]), "2026-05-03", "5/11 and then five full ones");
    assert_eq!(until(&[("2026-04-20", 10.0)]), "2026-05-08", "measured before they came");
    assert_eq!(until(&[("2026-05-02", 1.0)]), "2026-05-02", "they are through");
    let always = (0..400).map(|days| (since() + Days::new(days), 0.0)).collect();
    assert_eq!(soaked_on(since(), 90, Some(&always), &COMMON_PRACTICE), since() + Days::new(400));
    assert_eq!(soaked_on(since(), 0, Some(&Readings::from([(since(), 0.0)])), &COMMON_PRACTICE), since());
}

#[test]
fn a_cold_reading_of_winter_does_not_hold_in_spring() {
    let until = |measured_on: Day| {
        soaked_on(since(), 5, Some(&Readings::from([(measured_on, 10.0)])), &COMMON_PRACTICE).to_string()
    };
    assert_eq!(until(since() - Days::new(HOLDS_DAYS)), "2026-05-02", "too old: five days in full");
    assert_eq!(until(since() - Days::new(HOLDS_DAYS - 1)), "2026-05-03", "5/11 on its last day, then five in full");
}

#[test]
fn lots_in_cold_water_are_slow_but_for_rapid_cement_and_a_measure_says_what_it_moves() {
    let shop = snapshot();
    let (none, cold) = (Water::new(), Water::from([(tank(), Readings::from([(since(), 15.0)]))]));
    let soaking = |water| Soaking::new(&shop.workshop, &shop.revisions, &shop.materials, water);
    let lots = [lot("grey@2", 6), lot("rapid@1", 4)];
    assert_eq!(soaking(&none).slow(&lots, since()), []);
    let slow = soaking(&cold).slow(&lots, since());
    assert_eq!(slow.len(), 1, "rapid cement soaks by its own trials: {slow:?}");
    assert_eq!((slow[0].quantity, slow[0].usual, slow[0].until), (6, day("2026-05-02"), day("2026-05-04")));
    assert_eq!((slow[0].water_c, slow[0].measured_on), (15.0, since()));
    assert_eq!(soaking(&cold).slow(&lots, day("2026-05-05")), [], "they are through");
    assert_eq!(soaking(&cold).moved(&soaking(&none), &lots, &tank()), Some((6, day("2026-05-04"))));
    assert_eq!(soaking(&cold).moved(&soaking(&cold), &lots, &tank()), None);
    let ready = [Lot { stage: Stage::Ready, ..lot("grey@2", 6) }];
    assert_eq!(soaking(&cold).moved(&soaking(&none), &ready, &tank()), None);
}
