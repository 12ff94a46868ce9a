//! Loads, sheets and pails: sizes at the limits, and what is said about bad input.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::{
    Caution, CautionFacts, Dilution, FoamAmount, Ingredient, MixerLimits, Pail, Recipe, RecipeDraft, Role, Target,
    batch_sheet, cautions, equal_batches, foam, weighing,
};
use quantities::{Density, Grams, Length, Mass, Millilitres, Ratio, RelativeDensity, Volume};

fn limits(least: f64, most: f64) -> MixerLimits {
    MixerLimits { least: litres(least), most: litres(most) }
}

fn sizes(asked: f64, least: f64, most: f64) -> (i64, f64, f64) {
    let batches = equal_batches(litres(asked), limits(least, most)).unwrap();
    (batches.count.get(), batches.each.litres(), batches.spare.litres())
}

#[test]
fn loads_are_equal_and_few() {
    assert_eq!(sizes(100.0, 10.0, 40.0), (3, 100.0 / 3.0, 0.0));
    assert_eq!(sizes(40.0, 10.0, 40.0), (1, 40.0, 0.0));
    assert_eq!(sizes(4.0, 10.0, 40.0), (1, 10.0, 6.0));
    assert_eq!(sizes(0.0, 10.0, 40.0), (0, 0.0, 0.0));
    // Three tenths are not quite 0.3 in binary, and still three loads of a tenth.
    assert_eq!(sizes(0.1 + 0.2, 0.01, 0.1).0, 3);
    assert_eq!(sizes(50.0, 30.0, 40.0), (2, 30.0, 10.0));
}

#[test]
fn all_loads_together_are_what_was_asked_and_the_spare() {
    let batches = equal_batches(litres(50.0), limits(30.0, 40.0)).unwrap();
    near(batches.made().litres(), 60.0, 1e-12);
    assert!(batches.litres().eq([litres(30.0); 2]));
}

#[test]
fn mixers_that_cannot_be() {
    for (least, most) in [(41.0, 40.0), (0.0, 0.0)] {
        let error = equal_batches(litres(10.0), limits(least, most)).unwrap_err();
        assert!(error.to_string().contains("cannot be mixed"), "{error}");
    }
    assert!(MixerLimits::of_vessel(litres(60.0), per_cent(120.0), litres(5.0)).is_err());
    let drum = MixerLimits::of_vessel(litres(60.0), per_cent(70.0), litres(5.0)).unwrap();
    near(drum.most.litres(), 42.0, 1e-9);
}

/// Twelve minutes of pot life less two of mixing, three a panel of 8 L: three panels, 24 L.
#[test]
fn pot_life_limits_the_load() {
    let narrowed = limits(5.0, 42.0).within_pot_life(12.0, 2.0, 3.0, litres(8.0)).unwrap();
    near(narrowed.most.litres(), 24.0, 1e-9);
    let slow = limits(5.0, 42.0).within_pot_life(12.0, 2.0, 11.0, litres(8.0)).unwrap_err();
    assert!(slow.to_string().contains("retard the mix"), "{slow}");
    for senseless in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(limits(5.0, 42.0).within_pot_life(senseless, 2.0, 3.0, litres(8.0)).is_err());
    }
    // Three times a tenth of a minute fit into three tenths, though not in binary.
    let exact = limits(5.0, 42.0).within_pot_life(0.3, 0.0, 0.1, litres(8.0)).unwrap();
    near(exact.most.litres(), 24.0, 1e-9);
}

fn pigmented() -> Recipe {
    let mut foam = foam_of(50.0, true, FoamAmount::ToTarget);
    foam.dilution =
        Some(Dilution { concentrate: litres(1.0), water: litres(24.0), concentrate_relative_density: rd(1.02) });
    let mut draft = foamed(0.5, foam, Some(800.0));
    draft.ingredients.push(part("red oxide", Role::Pigment, kg(3.0), 5.0));
    Recipe::new(&draft).unwrap()
}

#[test]
fn a_sheet_in_mixing_order_at_the_scales_resolution() {
    let sheet = batch_sheet(&pigmented(), litres(18.0), Grams::new(10)).unwrap();
    let names: Vec<&str> = sheet.lines.iter().map(|line| line.name.as_str()).collect();
    assert_eq!(names, ["Portland cement", "water", "red oxide"]);
    assert!(sheet.lines.iter().all(|line| line.weighed.get() % 10 == 0));
    let foam = sheet.foam.unwrap();
    assert_eq!(foam.volume_ml, Millilitres::new((foam.volume.millilitres()).round() as i64));
    let concentrate = foam.concentrate.unwrap().get() as f64 * 1.02;
    near(concentrate + foam.water.get() as f64, foam.exact.grams(), 1.5);
    assert!(sheet.target.unwrap().accepts(sheet.wet_density) && sheet.remarks.is_empty());
}

#[test]
fn what_is_finer_than_the_scale_is_said() {
    let sheet = batch_sheet(&pigmented(), litres(1.0), Grams::new(50)).unwrap();
    let remark = sheet.remarks.iter().find(|remark| remark.starts_with("red oxide")).unwrap();
    assert!(remark.contains("finer scale"), "{remark}");
}

#[test]
fn no_sheet_for_nothing() {
    let faults = batch_sheet(&pigmented(), Volume::ZERO, Grams::ZERO).unwrap_err();
    let fields: Vec<&str> = faults.all().iter().map(|fault| fault.field.as_str()).collect();
    assert_eq!(fields, ["/litres", "/resolution"]);
}

/// All faults of a draft come together, each with its place.
#[test]
fn all_faults_at_once() {
    let draft = RecipeDraft {
        ingredients: vec![Ingredient { absorption: per_cent(150.0), ..part(" ", Role::Aggregate, kg(1.0), 2.6) }],
        air: per_cent(40.0),
        foam: None,
        target: Some(Target { wet: fresh(900.0), lower: fresh(950.0), upper: fresh(850.0) }),
        claimed_yield: Some(Volume::ZERO),
    };
    let faults = Recipe::new(&draft).unwrap_err();
    let fields: Vec<&str> = faults.all().iter().map(|fault| fault.field.as_str()).collect();
    let expected = [
        "/ingredients/0/name",
        "/ingredients/0/absorption",
        "/ingredients",
        "/ingredients",
        "/air",
        "/target",
        "/claimed_yield",
    ];
    assert_eq!(fields, expected);
    assert!(faults.to_string().lines().count() == expected.len());
    assert!(faults.all().iter().all(|fault| !fault.what.is_empty() && !fault.remedy.is_empty()));
}

/// Each way in which foam cannot do what is asked of it, and what is said.
#[test]
fn foam_that_cannot_be() {
    let cases = [
        (50.0, true, FoamAmount::ToTarget, None, "there is none"),
        (50.0, false, FoamAmount::ToTarget, Some(2500.0), "without foam"),
        (300.0, false, FoamAmount::ToTarget, Some(250.0), "foam's own"),
        (1000.0, true, FoamAmount::ToTarget, Some(800.0), "no lighter than water"),
        (90.0, true, FoamAmount::ToTarget, Some(150.0), "more than the"),
        (50.0, true, FoamAmount::Mass(kg(10.0)), Some(1500.0), "outside"),
        (50.0, true, FoamAmount::Filling, Some(800.0), "outside"),
    ];
    for (density, counted, amount, target, said) in cases {
        let draft = foamed(0.5, foam_of(density, counted, amount), target);
        let error = Recipe::new(&draft).unwrap_err().to_string();
        assert!(error.contains(said), "expected {said:?} in: {error}");
    }
}

#[test]
fn foam_is_checked_before_use() {
    let check = |kg_m3: f64| foam::check_foam(Density::from_kg_m3(kg_m3).unwrap(), &foam::USUAL_FOAM_KG_M3);
    check(50.0).unwrap();
    assert!(check(25.0).unwrap_err().remedy.contains("dry"));
    assert!(check(90.0).unwrap_err().remedy.contains("wet"));
    near(foam::generator_seconds(litres(11.24), 90.0).unwrap(), 7.49, 0.01);
    assert!(foam::generator_seconds(litres(1.0), 0.0).is_err());
}

#[test]
fn pails_that_cannot_be() {
    let mm = |mm: f64| Length::from_mm(mm).unwrap();
    assert_eq!(Pail::new(Length::ZERO, mm(1.0), Length::ZERO).unwrap_err().all().len(), 2);
    let straight = Pail::new(mm(200.0), mm(200.0), mm(300.0)).unwrap();
    near(straight.brim().unwrap().litres(), core::f64::consts::PI * 3.0, 1e-9);
    near(straight.mark_for(litres(5.0)).unwrap().mm(), 159.155, 0.001);
    assert!(straight.mark_for(litres(10.0)).unwrap_err().to_string().contains("do not fit"));
    assert!(straight.volume_to(mm(301.0)).is_err());
    near(straight.mark_for(Volume::ZERO).unwrap().mm(), 0.0, 0.0);
    let wide = Pail::new(mm(262.0), mm(290.0), mm(368.0)).unwrap();
    let half = wide.volume_to(mm(184.0)).unwrap();
    let worked = wide.worked(mm(184.0), half);
    assert_eq!(worked.numbers, "h = 184.0 mm, r0 = 131.0 mm, r = 138.0 mm");
    near(worked.result, half.litres(), 0.0);
}

#[test]
fn worked_lines_lead_to_the_results() {
    let recipe = pigmented();
    let lines = recipe.worked();
    let find = |what: &str| lines.iter().find(|line| line.what == what).unwrap_or_else(|| panic!("no line {what}"));
    near(find("wet density").result, recipe.wet_density().kg_m3(), 1e-9);
    near(find("water/cement").result, 0.5, 1e-12);
    near(find("oven-dry density").result, recipe.oven_dry_density().unwrap().kg_m3(), 1e-9);
    near(find("volume of all parts of a cubic metre").result, 1.0, 1e-9);
    assert!(find("water/cement").numbers.contains('+'), "{:?}", find("water/cement"));
    assert!(lines.iter().all(|line| !line.formula.is_empty() && !line.source.cite().is_empty()));
}

/// The formulas as a reader sees them.
#[test]
fn worked_formulas_are_those_of_the_trade() {
    let formulas = |counted| {
        let mut draft = foamed(0.5, foam_of(50.0, counted, FoamAmount::ToTarget), Some(800.0));
        draft.air = per_cent(2.0);
        let recipe = Recipe::new(&draft).unwrap();
        let lines = recipe.worked();
        let volume = lines.iter().find(|line| line.unit == "m³" && line.what.starts_with("volume of all")).unwrap();
        near(volume.result, 1.0, 1e-9);
        near(lines.iter().find(|line| line.what == "air").unwrap().result, recipe.air().number(), 1e-12);
        lines.iter().map(|line| line.formula).collect::<Vec<_>>()
    };
    let counted = [
        "V = M / (G ρw)",
        "V = M / (G ρw)",
        "Vf = (M / D - V) / (1 - ρf / ρw), foam water counted",
        "Σ M / (G ρw) + Vf + a",
        "D = Σ M + ρf Vf, in one cubic metre",
        "w/c = (W + ρf Vf) / C, foam water counted",
        "O = dry solids + 0.2 · Portland cement (that is, dry aggregates + 1.2 C)",
        "A = a + Vf (1 - ρf / ρw)",
    ];
    assert_eq!(formulas(true), counted);
    assert_eq!(formulas(false)[2], "Vf = (M - D V) / (D - ρf), foam water not counted");
    assert_eq!(formulas(false)[5], "w/c = W / C, foam water not counted");
}

#[test]
fn a_sheets_worked_lines_end_in_its_masses() {
    let sheet = batch_sheet(&pigmented(), litres(18.0), Grams::new(10)).unwrap();
    let lines = sheet.worked();
    assert_eq!(lines.len(), sheet.lines.len() + 1);
    for (worked, line) in lines.iter().zip(&sheet.lines) {
        near(worked.result, line.weighed.get() as f64, 0.0);
        assert!(worked.what.ends_with(&line.name) && worked.numbers.contains("0.0180 m³"), "{worked:?}");
    }
    near(lines[3].result, sheet.foam.unwrap().volume.litres(), 0.0);
}

/// ASTM C94/C94M-15a: a scale is accurate to the greater of 0.15 % of its capacity and 0.4 % of the load.
#[test]
fn accuracy_of_a_scale() {
    near(weighing::scale_accuracy(kg(50.0), kg(10.0)).kg(), 0.075, 1e-12);
    near(weighing::scale_accuracy(kg(50.0), kg(40.0)).kg(), 0.160, 1e-12);
}

/// EN 206 batching tolerances, as given by a European concrete handbook.
#[test]
fn tolerance_of_the_other_ingredients() {
    for (role, of_cement, expected) in
        [(Role::Water, 50.0, 3.0), (Role::Addition, 6.0, 3.0), (Role::Addition, 5.0, 5.0), (Role::Admixture, 1.0, 5.0)]
    {
        near(weighing::en_206_tolerance(role, per_cent(of_cement)).per_cent(), expected, 1e-12);
    }
}

/// Arithmetic: 1 % of 10.09 kg of cement is 0.10 kg, so a scale must show steps of 200 g or finer to halve them in it.
#[test]
fn least_weighable_amount() {
    near(weighing::least_weighable(Grams::new(5), per_cent(1.0)).unwrap().grams(), 250.0, 1e-9);
    assert!(weighing::least_weighable(Grams::new(200), per_cent(1.0)).unwrap() < kg(10.09));
    assert!(weighing::least_weighable(Grams::new(5), Ratio::ZERO).is_err());
}

#[test]
fn cautions_that_apply() {
    assert!(cautions(&CautionFacts::default()).is_empty());
    let lift = |panel: f64| CautionFacts { wet_panel_and_limit: Some((kg(panel), kg(25.0))), ..Default::default() };
    assert_eq!(cautions(&lift(25.0)), []);
    assert_eq!(cautions(&lift(25.1)), [Caution::HeavyPanel]);
    let tank = CautionFacts { tank: true, ..Default::default() };
    assert_eq!(cautions(&tank), [Caution::TankWater, Caution::TankOnTheFloor, Caution::Drowning]);
    let everything = CautionFacts {
        cement: true,
        silica: true,
        rapid_cement: true,
        foam: true,
        pressure_generator: true,
        powered_mixer: true,
        wet_panel_and_limit: Some((kg(30.0), kg(25.0))),
        tank: true,
        open_water: true,
        washout: true,
        holds_soil: true,
    };
    assert_eq!(cautions(&everything), Caution::ALL);
    for caution in Caution::ALL {
        assert!(caution.text().ends_with('.') && caution.text().len() > 60, "{caution:?}");
        assert!(!caution.text().contains("  ") && !caution.source().cite().is_empty(), "{caution:?}");
    }
}

#[test]
fn a_dilution_of_nothing_is_water() {
    let dilution = Dilution {
        concentrate: Volume::ZERO,
        water: Volume::ZERO,
        concentrate_relative_density: RelativeDensity::WATER,
    };
    assert!(dilution.parts_of_water().is_err() && dilution.concentrate_share().is_err());
    let solution = dilution.solution(kg(1.0));
    assert_eq!((solution.concentrate, solution.water), (Volume::ZERO, kg(1.0)));
    assert_eq!(Mass::ZERO * Ratio::ONE, Mass::ZERO);
}
