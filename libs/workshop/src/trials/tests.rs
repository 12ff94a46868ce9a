//! What a trial found, and what a revision is put in use on.

use super::*;
use crate::checks::trial::faults;

fn trial() -> Trial {
    let strength = |age_days, mpa| StrengthFound { age_days, mpa };
    let panel = |state, grams| PanelWeighed { panel: PanelId::parse("side").unwrap(), state, mass: Grams::new(grams) };
    Trial {
        id: TrialId::parse("t-1").unwrap(),
        revision: RevisionId::parse("foamed-grey@2").unwrap(),
        mixed_on: "2026-01-05".parse().unwrap(),
        by: "Invented Tester".into(),
        batch: Some(Millilitres::new(12_000)),
        masses: vec![(MaterialId::parse("cement").unwrap(), Grams::new(7_450))],
        wet_density_kg_m3: Some(962.0),
        densities: vec![HardDensity { state: HardState::OvenDry, kg_m3: 748.0 }],
        strengths: vec![strength(28.0, 1.8), strength(28.2, 2.4), strength(7.0, 0.1)],
        panels: vec![panel(HardState::AirDry, 8_800), panel(HardState::AirDry, 9_000)],
        wear_loss_g: Some(31.0),
        cracks: Some("none seen".into()),
        warp_mm: Some(1.0),
        photos: vec!["cube-1.jpg".into()],
        note: None,
    }
}

#[test]
fn several_specimens_count_by_their_mean() {
    let trial = trial();
    assert!((trial.strength(28.0).unwrap() - 2.1).abs() < 1e-12);
    assert_eq!(trial.strength(7.4), Some(0.1));
    assert_eq!(trial.strength(14.0), None);
    assert_eq!((trial.density(HardState::OvenDry), trial.density(HardState::AirDry)), (Some(748.0), None));
    let side = PanelId::parse("side").unwrap();
    assert_eq!(trial.panel_mass(&side, HardState::AirDry), Some(8_900.0));
    assert_eq!(trial.panel_mass(&side, HardState::OvenDry), None);
    assert_eq!(trial.panel_mass(&PanelId::parse("end").unwrap(), HardState::AirDry), None);
}

#[test]
fn states_of_hardened_concrete_are_those_of_all_concrete() {
    let names = HardState::ALL.map(|state| state.of_concrete().to_string());
    assert_eq!(names, ["demoulded", "from the tank", "air-dry", "oven-dry"]);
}

#[test]
fn a_revision_is_put_in_use_on_a_trial_or_a_reason() {
    let tried = trial();
    let id = || Some(TrialId::parse("t-1").unwrap());
    let said = |text: &str| Some(text.to_owned());
    for none in [None, Some("  ")] {
        let fault = standing_on(RevisionState::InUse, none, None).unwrap_err();
        assert_eq!(fault.pointer, "/reason");
    }
    assert_eq!(standing_on(RevisionState::InUse, Some(" as ever "), None), Ok((None, said("as ever"))));
    assert_eq!(standing_on(RevisionState::InUse, None, Some(&tried)), Ok((id(), said("trial t-1 of 2026-01-05"))));
    assert_eq!(standing_on(RevisionState::InUse, Some("better"), Some(&tried)), Ok((id(), said("better"))));
    let bare = Trial { densities: vec![], strengths: vec![], ..tried.clone() };
    assert_eq!(standing_on(RevisionState::InUse, None, Some(&bare)).unwrap_err().pointer, "/reason");
    assert_eq!(standing_on(RevisionState::InUse, Some("as ever"), Some(&bare)), Ok((None, said("as ever"))));
    assert_eq!(standing_on(RevisionState::Retired, None, Some(&tried)), Ok((None, None)));
    assert_eq!(standing_on(RevisionState::OnTrial, Some("again"), None), Ok((None, said("again"))));
}

#[test]
fn what_was_found_is_only_added_to() {
    let older = Trial { cracks: None, ..trial() };
    assert!(older.only_adds_to(&older) && trial().only_adds_to(&older) && !older.only_adds_to(&trial()));
    let more = |change: fn(&mut Trial)| {
        let mut newer = trial();
        change(&mut newer);
        newer.only_adds_to(&trial())
    };
    assert!(more(|t| t.strengths.push(StrengthFound { age_days: 90.0, mpa: 3.0 })));
    assert!(more(|t| t.note = Some("looked at again".into())));
    assert!(!more(|t| t.strengths[0].mpa = 9.0));
    assert!(!more(|t| t.densities.clear()));
    assert!(!more(|t| t.wear_loss_g = None));
    assert!(!more(|t| t.mixed_on = "2026-01-06".parse().unwrap()));
}

#[test]
fn every_fault_of_a_trial_is_told_with_its_place() {
    assert_eq!(faults(&trial()), vec![]);
    let mut wrong = trial();
    wrong.mixed_on = "1026-01-05".parse().unwrap();
    wrong.by = " ".into();
    wrong.batch = Some(Millilitres::new(0));
    wrong.masses.push((MaterialId::parse("cement").unwrap(), Grams::new(0)));
    wrong.wet_density_kg_m3 = Some(f64::NAN);
    wrong.densities[0].kg_m3 = 99.0;
    wrong.strengths[1].age_days = 0.0;
    wrong.strengths[2].mpa = -0.1;
    wrong.panels[1].mass = Grams::new(0);
    wrong.wear_loss_g = Some(-1.0);
    wrong.warp_mm = Some(1_001.0);
    wrong.photos = vec!["a.jpg".into(), "a.jpg".into(), String::new()];
    wrong.cracks = Some("x".repeat(2_001));
    let mut places: Vec<String> = faults(&wrong).into_iter().map(|fault| fault.pointer).collect();
    places.sort();
    assert_eq!(
        places,
        [
            "/batch_ml",
            "/by",
            "/cracks",
            "/densities/0/density_kg_m3",
            "/masses/1/mass_g",
            "/masses/1/material",
            "/mixed_on",
            "/panels/1/mass_g",
            "/photos/1",
            "/photos/2",
            "/strengths/1/age_days",
            "/strengths/2/strength_mpa",
            "/warp_mm",
            "/wear_loss_g",
            "/wet_density_kg_m3",
        ]
    );
}
