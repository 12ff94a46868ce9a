//! Which weighings speak of a load, and what is wrong with those that cannot.

use chrono::DateTime;

use super::*;
use crate::checks::correction::{done_faults, weighing_faults};

fn correction(sequence: i64, place: WeighedAt, answer: LoadAnswer, kg_m3: f64) -> Correction {
    Correction {
        ticket: TicketNumber::parse("2026-05-04-01").unwrap(),
        sequence,
        at: DateTime::UNIX_EPOCH,
        by: "the bench".into(),
        place,
        measured_wet_density_kg_m3: kg_m3,
        volume: Millilitres::new(30_000),
        minutes_since_foaming: 3.0,
        foam_density_kg_m3: Some(50.0),
        slurry_density_kg_m3: None,
        mixer_most: None,
        generator_l_per_minute: None,
        answer,
        sentence: String::new(),
        added: None,
        added_mass: None,
        generator_seconds: None,
        volume_then: Millilitres::new(30_000),
        panels_then: None,
        rise_percent: None,
        note: None,
        done: None,
    }
}

#[test]
fn a_load_that_was_corrected_must_be_weighed_again_to_be_held_against() {
    use LoadAnswer::{Accept, AddFoam};
    use WeighedAt::{Mixer, Mould};
    let accepted = correction(1, Mixer, Accept, 962.0);
    let heavy = correction(2, Mixer, AddFoam, 1_040.0);
    let again = correction(3, Mixer, Accept, 958.0);
    let at_mould = correction(4, Mould, Accept, 970.0);
    assert_eq!(accepted_at_the_mixer(&[]), None);
    assert_eq!(accepted_at_the_mixer(std::slice::from_ref(&accepted)), Some(962.0));
    assert_eq!(accepted_at_the_mixer(&[accepted.clone(), heavy.clone()]), None);
    assert_eq!(accepted_at_the_mixer(&[accepted, heavy, again.clone(), at_mould]), Some(958.0));
    for (did, held) in
        [(Did::Poured, true), (Did::FoamAdded, false), (Did::SlurryAdded, false), (Did::ThrownAway, false)]
    {
        let then = Correction { done: Some(done(did, None)), ..again.clone() };
        assert_eq!(accepted_at_the_mixer(&[then]), held.then_some(958.0), "{did:?}");
    }
}

fn done(did: Did, added: Option<i64>) -> Done {
    let added = added.map(Millilitres::new);
    Done { at: DateTime::UNIX_EPOCH, by: "the bench".into(), did, added, note: None }
}

#[test]
fn what_was_done_as_answered_has_the_amount_answered() {
    let heavy = Correction {
        added: Some(Millilitres::new(2_700)),
        ..correction(1, WeighedAt::Mixer, LoadAnswer::AddFoam, 1_040.0)
    };
    let amount = |did, said| heavy.done_as_answered(done(did, said)).added.map(Millilitres::get);
    assert_eq!(amount(Did::FoamAdded, None), Some(2_700));
    assert_eq!(amount(Did::FoamAdded, Some(2_000)), Some(2_000));
    assert_eq!((amount(Did::SlurryAdded, None), amount(Did::Poured, None)), (None, None));
}

#[test]
fn every_fault_of_a_weighing_is_told_with_its_place() {
    let sound = Weighing {
        by: "the bench".into(),
        place: WeighedAt::Mixer,
        measured_wet_density_kg_m3: 960.0,
        volume: Some(Millilitres::new(30_000)),
        minutes_since_foaming: 3.0,
        foam_density_kg_m3: Some(51.0),
        slurry_density_kg_m3: None,
        mixer_most: Some(Millilitres::new(36_000)),
        generator_l_per_minute: Some(45.0),
        note: None,
    };
    assert_eq!(weighing_faults(&sound), vec![]);
    let wrong = Weighing {
        by: String::new(),
        measured_wet_density_kg_m3: 99.0,
        volume: Some(Millilitres::new(0)),
        minutes_since_foaming: -1.0,
        foam_density_kg_m3: Some(5.0),
        slurry_density_kg_m3: Some(f64::INFINITY),
        mixer_most: Some(Millilitres::new(0)),
        generator_l_per_minute: Some(0.0),
        note: Some("x".repeat(2_001)),
        ..sound
    };
    let mut places: Vec<String> = weighing_faults(&wrong).into_iter().map(|fault| fault.pointer).collect();
    places.sort();
    assert_eq!(
        places,
        [
            "/by",
            "/foam_density_kg_m3",
            "/generator_l_per_minute",
            "/measured_wet_density_kg_m3",
            "/minutes_since_foaming",
            "/mixer_most_ml",
            "/note",
            "/slurry_density_kg_m3",
            "/volume_ml",
        ]
    );
}

#[test]
fn only_what_was_added_has_an_amount() {
    for good in [done(Did::FoamAdded, Some(2_600)), done(Did::SlurryAdded, None), done(Did::Poured, None)] {
        assert_eq!(done_faults(&good), vec![], "{good:?}");
    }
    for wrong in [done(Did::Poured, Some(1)), done(Did::ThrownAway, Some(1)), done(Did::FoamAdded, Some(0))] {
        let places: Vec<_> = done_faults(&wrong).into_iter().map(|fault| fault.pointer).collect();
        assert_eq!(places, ["/added_ml"], "{wrong:?}");
    }
}
