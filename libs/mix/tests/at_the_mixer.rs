//! What happens at the mixer: amounts as stated, today's foam and sand, whole bags, corrections.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::bags::whole_bags;
use mix::correction::{Bounds, Measured, Verdict, at_the_mixer, at_the_mould, panels_filled};
use mix::stated::{Amount, Stated, making, read};
use mix::{Cement, FoamAmount, Ingredient, Recipe, RecipeDraft, Role, Target, Today, batch_sheet, batch_sheet_today};
use proptest::prelude::*;
use quantities::{Density, Fresh, Grams, OfMaterial, Ratio, RelativeDensity, Unclear, Volume};

fn stated(name: &str, role: Role, amount: &str, relative_density: f64) -> Stated {
    Stated {
        name: name.into(),
        role,
        amount: read(amount, None).unwrap(),
        relative_density: rd(relative_density),
        water_share: Ratio::ZERO,
        absorption: Ratio::ZERO,
    }
}

fn pail(cement: &str, water: &str, sand: &str) -> Vec<Stated> {
    vec![
        stated("cement", Role::Cement(Cement::Portland), cement, 3.15),
        stated("water", Role::Water, water, 1.0),
        stated("sand", Role::Aggregate, sand, 2.65),
    ]
}

fn contents(stated: &[Stated]) -> Vec<f64> {
    let making = making(stated).unwrap();
    let recipe = Recipe::new(&plain(making.ingredients, 2.0)).unwrap();
    recipe.proportions().iter().map(|part| part.content.kg_m3()).collect()
}

#[test]
fn one_mix_in_every_form() {
    let metric = contents(&pail("20 kg", "10 kg", "40 kg"));
    let forms = [
        pail("44.092452436975514 lb", "22.046226218487757 lb", "88.18490487395103 lb"),
        pail("0.8 x 25 kg", "10 L", "40 kg"),
        pail("1 part", "0.5 parts", "2 parts"),
        pail("300 kg/m³", "150 kg/m³", "600 kg/m³"),
        pail("500 lb/yd³", "250 lb/yd³", "1000 lb/yd³"),
    ];
    for form in forms {
        for (got, expected) in contents(&form).iter().zip(&metric) {
            near(*got, *expected, 1e-9 * expected);
        }
    }
}

#[test]
fn capitals_and_spaces_do_not_matter() {
    for (one, other) in [
        ("300 kg/m³", "300KG/M³"),
        ("300 kg/m3", " 300  Kg / m3 "),
        ("590 lb/yd³", "590 LB/YD³"),
        ("5 % of cementitious", "5% Of Cementitious"),
        ("2 % of mix", "2 %  OF MIX"),
        ("650 ml per 100 kg", "650 mL per 100 KG"),
        ("650 ml/100 kg", "650 ML / 100 kg"),
        ("3 parts", "3 Parts"),
        ("2 x 25 kg", "2 X 25 KG"),
        ("15 lb", "15 LB"),
    ] {
        assert_eq!(read(one, None), read(other, None), "{other}");
        assert!(read(one, None).is_ok(), "{one}");
    }
    // What cannot be read is named as it was written.
    assert!(matches!(read(" Some KG/M³", None), Err(Unclear::NoNumber { written }) if written == "Some KG/M³"));
}

#[test]
fn a_loose_measure_needs_its_bulk_density() {
    let bulk = Density::<OfMaterial>::from_kg_m3(1600.0).unwrap();
    assert!(matches!(read("4 ft³", Some(bulk)), Ok(Amount::Loose { .. })));
    assert!(matches!(read("4 ft³", None), Ok(Amount::Liquid(_))));
    let mut loose = pail("20 kg", "10 kg", "1 kg");
    loose[2].amount = read("25 L", Some(bulk)).unwrap();
    for (got, expected) in contents(&loose).iter().zip(contents(&pail("20 kg", "10 kg", "40 kg"))) {
        near(*got, expected, 1e-9 * expected);
    }
}

#[test]
fn doses_follow_what_they_are_doses_of() {
    let mut mix = pail("20 kg", "10 kg", "40 kg");
    mix.push(stated("red oxide", Role::Pigment, "5 % of cementitious", 5.0));
    mix.push(stated("plasticiser", Role::Admixture, "650 ml per 100 kg", 1.05));
    mix.push(stated("glass fibre", Role::Fibre, "2 % of mix", 2.68));
    let making = making(&mix).unwrap();
    let masses: Vec<f64> = making.ingredients.iter().map(|item| item.mass.kg()).collect();
    near(masses[3], 1.0, 1e-12);
    near(masses[4], 0.130 * 1.05, 1e-12);
    near(masses[5] / masses.iter().sum::<f64>(), 0.02, 1e-12);
    assert_eq!(making.claimed_yield, None);
}

#[test]
fn unclear_amounts_are_refused() {
    for (text, choice) in
        [("5 %", "% of cementitious or % of mix"), ("2 gal", "US gal"), ("1 bag", "25 kg"), ("3 oz", "oz av")]
    {
        let error = read(text, None).unwrap_err();
        assert!(error.to_string().contains(choice), "{text}: {error}");
    }
    assert!(matches!(read("x kg/m³", None), Err(Unclear::NoNumber { .. })));
    assert!(matches!(read("-5 % of mix", None), Err(Unclear::OutOfRange(_))));
    let mut mixed = pail("20 kg", "150 kg/m³", "40 kg");
    let error = making(&mixed).unwrap_err().to_string();
    assert!(error.contains("side by side"), "{error}");
    mixed[0].amount = read("5 % of cementitious", None).unwrap();
    assert_eq!(making(&mixed).unwrap_err().all().len(), 2);
    let mut fibre = pail("20 kg", "10 kg", "40 kg");
    fibre[2].amount = read("60 % of mix", None).unwrap();
    assert!(making(&fibre).is_err());
}

/// Stated per cubic metre, a recipe claims a yield, and the absolute volumes answer.
#[test]
fn contents_are_a_claim() {
    let making = making(&pail("300 kg/m³", "150 kg/m³", "1500 kg/m³")).unwrap();
    let mut draft = plain(making.ingredients, 2.0);
    draft.claimed_yield = making.claimed_yield;
    let claim = Recipe::new(&draft).unwrap().yield_claim().unwrap();
    let absolute = (300.0 / 3.15 + 150.0 + 1500.0 / 2.65) / 0.98;
    near(claim.absolute.litres(), absolute, 1e-9);
    assert!(claim.is_contradicted());
}

fn light() -> Recipe {
    let foam = foam_of(50.0, true, FoamAmount::ToTarget);
    let mut draft = foamed(0.5, foam, Some(800.0));
    draft.ingredients.push(Ingredient { absorption: per_cent(1.0), ..part("sand", Role::Aggregate, kg(50.5), 2.65) });
    Recipe::new(&draft).unwrap()
}

/// Wetter foam today: less of it by volume would be too light or too heavy, so everything is found anew.
#[test]
fn foam_weighed_today_changes_the_sheet() {
    let today = Today { foam: Some(Density::from_kg_m3(65.0).unwrap()), moisture: Vec::new() };
    let sheet = batch_sheet_today(&light(), litres(18.0), Grams::new(5), &today).unwrap();
    let usual = batch_sheet(&light(), litres(18.0), Grams::new(5)).unwrap();
    near(sheet.wet_density.kg_m3(), 800.0, 1e-9);
    let mass = |sheet: &mix::BatchSheet| {
        sheet.lines.iter().map(|l| l.exact.kg()).sum::<f64>() + sheet.foam.unwrap().exact.kg()
    };
    near(mass(&sheet), mass(&usual), 1e-9);
    assert!(sheet.foam.unwrap().volume > usual.foam.unwrap().volume);
    assert!(sheet.lines[1].exact < usual.lines[1].exact);
}

#[test]
fn wet_sand_changes_the_sheet() {
    let wet = |moisture: f64| {
        let today = Today { foam: None, moisture: vec![("sand".into(), per_cent(moisture))] };
        batch_sheet_today(&light(), litres(100.0), Grams::new(1), &today)
    };
    let usual = batch_sheet(&light(), litres(100.0), Grams::new(1)).unwrap();
    let sheet = wet(5.0).unwrap();
    let change = |i: usize| sheet.lines[i].exact.kg() - usual.lines[i].exact.kg();
    let dry = usual.lines[2].exact.kg() / 1.01;
    near(change(2), dry * 0.04, 1e-9);
    near(change(1), -dry * 0.04, 1e-9);
    near(change(0), 0.0, 0.0);
    let bone_dry = wet(0.0).unwrap();
    assert!(bone_dry.lines[1].exact > usual.lines[1].exact);
    assert!(wet(200.0).is_err());
    let names = ["gravel", "sand", "sand", "water"];
    let unknown = Today { foam: None, moisture: names.map(|name| (name.into(), per_cent(1.0))).to_vec() };
    let error = batch_sheet_today(&light(), litres(1.0), Grams::new(1), &unknown).unwrap_err();
    let fields: Vec<&str> = error.all().iter().map(|fault| fault.field.as_str()).collect();
    assert_eq!(fields, ["/moisture/0", "/moisture/2", "/moisture/3"]);
}

#[test]
fn whole_bags_around_a_load() {
    let foam = foam_of(50.0, true, FoamAmount::ToTarget);
    let recipe = Recipe::new(&foamed(0.5, foam, Some(800.0))).unwrap();
    let bags = whole_bags(&recipe, "Portland cement", kg(25.0), litres(60.0)).unwrap();
    near(bags.needed.kg(), 32.0, 0.01);
    near(bags.left_over.kg(), 18.0, 0.01);
    near(bags.below.unwrap().litres.litres(), 46.9, 0.05);
    near(bags.above.litres.litres(), 93.75, 0.05);
    let exact = whole_bags(&recipe, "Portland cement", kg(25.0), bags.above.litres).unwrap();
    assert_eq!(exact.below, Some(exact.above));
    let goes = bags.left_over_goes("cement").unwrap();
    assert!(goes.starts_with("18.00 kg of cement stay") && goes.contains("33.8 L more"), "{goes}");
    assert_eq!(exact.left_over_goes("cement"), None);
    assert_eq!(whole_bags(&recipe, "Portland cement", kg(25.0), litres(10.0)).unwrap().below, None);
    assert!(whole_bags(&recipe, "lime", kg(25.0), litres(60.0)).is_err());
    assert!(whole_bags(&recipe, "water", kg(0.0), litres(60.0)).is_err());
}

fn bounds() -> Bounds {
    let target = Target { wet: fresh(800.0), lower: fresh(760.0), upper: fresh(840.0) };
    let foam = Density::from_kg_m3(50.0).unwrap();
    Bounds { target, most_minutes: 15.0, most: litres(25.0), foam, slurry: fresh(1830.0) }
}

fn verdict(wet: f64, minutes: f64) -> Verdict {
    let measured = Measured { wet: fresh(wet), volume: litres(18.0), minutes_since_foaming: minutes };
    at_the_mixer(measured, &bounds()).unwrap()
}

#[test]
fn a_load_is_accepted_corrected_or_refused() {
    assert_eq!(verdict(840.0, 3.0), Verdict::Accept);
    let Verdict::AddFoam { foam, mass, volume } = verdict(900.0, 3.0) else { panic!("foam was wanted") };
    near(foam.litres(), 18.0 * 100.0 / 750.0, 1e-9);
    near((900.0 * 18.0 + mass.grams()) / volume.litres(), 800.0, 1e-9);
    let Verdict::AddSlurry { mass, volume, .. } = verdict(700.0, 3.0) else { panic!("slurry was wanted") };
    near((700.0 * 18.0 + mass.grams()) / volume.litres(), 800.0, 1e-9);
    assert_eq!(panels_filled(volume, litres(6.0)), 3);
    assert!(matches!(verdict(900.0, 16.0), Verdict::Reject { .. }));
    assert!(matches!(verdict(1300.0, 3.0), Verdict::Reject { why } if why.contains("mixer holds")));
    let measured = Measured { wet: fresh(900.0), volume: litres(18.0), minutes_since_foaming: f64::NAN };
    let slurry = fresh(700.0);
    assert_eq!(at_the_mixer(measured, &Bounds { slurry, ..bounds() }).unwrap_err().all().len(), 2);
}

/// California and Los Angeles building code, 721.2.1: design 50 lb/ft³ is refused above 52.5; the density may rise by 5 %
/// from mixer to mould.
#[test]
fn field_density_at_the_mould() {
    let lb_ft3 = |d: f64| Density::<Fresh>::from_lb_ft3(d).unwrap();
    let target = Target { wet: lb_ft3(50.0), lower: lb_ft3(47.0), upper: lb_ft3(55.0) };
    assert_eq!(at_the_mould(lb_ft3(50.0), lb_ft3(52.5), &target), Verdict::Accept);
    assert!(
        matches!(at_the_mould(lb_ft3(52.0), lb_ft3(52.6), &target), Verdict::Reject { why } if why.contains("design"))
    );
    assert!(
        matches!(at_the_mould(lb_ft3(48.0), lb_ft3(50.5), &target), Verdict::Reject { why } if why.contains("rose"))
    );
    assert!(
        matches!(at_the_mould(lb_ft3(46.0), lb_ft3(46.0), &target), Verdict::Reject { why } if why.contains("outside"))
    );
}

#[test]
fn rapid_cement_and_portland_need_a_washout_between_them() {
    let rapid = |role| {
        let mut draft: RecipeDraft = foamed(0.5, foam_of(50.0, true, FoamAmount::ToTarget), Some(800.0));
        draft.ingredients[0].role = Role::Cement(role);
        Recipe::new(&draft).unwrap()
    };
    let (portland, csa) = (rapid(Cement::Portland), rapid(Cement::RapidSettingCsa));
    assert!(portland.needs_washout_before(&csa) && csa.needs_washout_before(&portland));
    assert!(!portland.needs_washout_before(&portland) && !csa.needs_washout_before(&csa));
}

proptest! {
    /// Any load that can be corrected comes out at its target.
    #[test]
    fn corrections_reach_the_target(wet in 300.0..1600.0f64, volume in 1.0..20.0f64) {
        let measured = Measured { wet: fresh(wet), volume: litres(volume), minutes_since_foaming: 0.0 };
        let (before, bounds) = (wet * volume, Bounds { most: Volume::CUBIC_METRE, ..bounds() });
        match at_the_mixer(measured, &bounds).unwrap() {
            Verdict::AddFoam { mass, volume, .. } | Verdict::AddSlurry { mass, volume, .. } => {
                prop_assert!(((before + mass.grams()) / volume.litres() - 800.0).abs() < 1e-9 * 800.0);
            }
            Verdict::Accept => prop_assert!((760.0..=840.0).contains(&wet)),
            Verdict::Reject { why } => prop_assert!(false, "{}", why),
        }
    }

    /// No text makes the reader fall over, and what it reads is an amount of something.
    #[test]
    fn any_text_is_read_or_refused(text in "[0-9.x×% -]{0,6}( ?(kg|lb|gal|US gal|L|% of mix|parts|ml per 100 kg|kg/m³))?") {
        if let Ok(Amount::Mass(mass)) = read(&text, None) {
            prop_assert!(mass.kg().is_finite());
        }
    }
}

#[test]
fn slurry_weighs_what_the_mix_weighs_without_foam() {
    let foam = foam_of(50.0, false, FoamAmount::ToTarget);
    let recipe = Recipe::new(&foamed(0.5, foam, Some(800.0))).unwrap();
    let paste = 1.5 / (1.0 / 3150.0 + 0.5 / RelativeDensity::WATER.density().kg_m3());
    near(recipe.slurry_density().unwrap().kg_m3(), paste, 1e-9);
}

/// Two waters, cold and warm: the foam takes of both, and gives back to both when its density changes.
#[test]
fn foam_takes_of_every_water() {
    let mut draft = foamed(0.25, foam_of(50.0, true, FoamAmount::ToTarget), Some(800.0));
    draft.ingredients.push(Ingredient::water("warm water", kg(25.0)));
    let recipe = Recipe::new(&draft).unwrap();
    let one = Recipe::new(&foamed(0.5, foam_of(50.0, true, FoamAmount::ToTarget), Some(800.0))).unwrap();
    let same = recipe.with_foam_of(Density::from_kg_m3(50.0).unwrap()).unwrap();
    for mix in [&recipe, &same] {
        near(mix.proportions()[1].content.kg_m3(), one.proportions()[1].content.kg_m3() / 2.0, 1e-9);
        near(mix.proportions()[2].content.kg_m3(), mix.proportions()[1].content.kg_m3(), 1e-9);
    }
}
