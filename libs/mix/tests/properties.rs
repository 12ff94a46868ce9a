//! What holds for every mix: balances close, batches add up, foam goes there and back, units agree, nothing turns into
//! NaN or less than nothing.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::{Cement, FoamAmount, Ingredient, MixerLimits, Pail, Recipe, RecipeDraft, Role, batch_sheet, equal_batches};
use proptest::prelude::*;
use quantities::{Grams, Length, Mass, Ratio, Volume};

prop_compose! {
    /// Any foamed mix that can be made: some cement, sand or none, water, foam and a target below the bare density.
    fn foamed_mix()(
        cement in 200.0..900.0f64,
        water_cement in 0.35..0.8f64,
        sand in 0.0..1200.0f64,
        lightweight in 0.0..60.0f64,
        foam in 30.0..70.0f64,
        counted: bool,
        air in 0.0..5.0f64,
        target_share in 0.6..0.98f64,
    ) -> RecipeDraft {
        let ingredients = vec![
            portland(kg(cement)),
            Ingredient::water("water", kg(cement * water_cement)),
            part("sand", Role::Aggregate, kg(sand), 2.65),
            part("perlite", Role::LightweightAggregate, kg(lightweight), 0.3),
        ];
        let mut draft = plain(ingredients, air);
        let bare = Recipe::new(&draft).unwrap().wet_density().kg_m3();
        draft.foam = Some(foam_of(foam, counted, FoamAmount::ToTarget));
        draft.target = Some(exactly(bare * target_share));
        draft
    }
}

/// Any numbers at all, the sensible and the senseless.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        1 => Just(0.0),
        1 => Just(f64::MIN_POSITIVE),
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(-1.0),
        1 => 1e-9..1e9f64,
        12 => 0.0..1.0f64,
        12 => 0.0..1000.0f64,
    ]
}

proptest! {
    // Senseless drafts are refused at the door; a thousand leave hundreds that get through it.
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn balances_close(draft in foamed_mix()) {
        let recipe = Recipe::new(&draft).unwrap();
        prop_assert!(recipe.volume_balance().abs() < 1e-9 * 1000.0, "volume {}", recipe.volume_balance());
        prop_assert!(recipe.mass_balance().abs() < 1e-9 * recipe.wet_density().kg_m3(), "mass {}", recipe.mass_balance());
        let target = draft.target.unwrap().wet.kg_m3();
        prop_assert!((recipe.wet_density().kg_m3() - target).abs() < 1e-9 * target);
    }

    #[test]
    fn foam_goes_there_and_back(draft in foamed_mix()) {
        let there = Recipe::new(&draft).unwrap();
        let share = there.foam().unwrap();
        let mut back = draft.clone();
        let volume = there.making() * share.volume;
        back.foam.as_mut().unwrap().amount = FoamAmount::Volume(volume);
        let by_volume = Recipe::new(&back).unwrap();
        back.foam.as_mut().unwrap().amount = FoamAmount::Mass(share.density * volume);
        let by_mass = Recipe::new(&back).unwrap();
        let target = draft.target.unwrap().wet.kg_m3();
        for recipe in [by_volume, by_mass] {
            prop_assert!((recipe.wet_density().kg_m3() - target).abs() < 1e-9 * target);
        }
    }

    /// What is kept on record, contents and foam density, gives the same mix again.
    #[test]
    fn a_recipe_on_record_reads_back(draft in foamed_mix(), foam_today in 30.0..70.0f64) {
        let there = Recipe::new(&draft).unwrap();
        let record = on_record(&there, &draft);
        let back = Recipe::new(&record).unwrap();
        let litre = |recipe: &Recipe| {
            let per_litre = recipe.per_litre();
            per_litre.grams.iter().map(|(_, grams)| *grams).chain([per_litre.foam_water_g]).collect::<Vec<_>>()
        };
        for (x, y) in litre(&there).iter().zip(litre(&back)) {
            prop_assert!((x - y).abs() < 1e-9 * x.max(1.0), "{} {}", x, y);
        }
        let (a, b) = (there.water_ratios().unwrap(), back.water_ratios().unwrap());
        prop_assert!((a.water_cement().number() - b.water_cement().number()).abs() < 1e-9);
        // Foam of another density on the day makes the same mix of both.
        let measured = quantities::Density::from_kg_m3(foam_today).unwrap();
        let (one, two) = (there.with_foam_of(measured), back.with_foam_of(measured));
        if let (Ok(one), Ok(two)) = (&one, &two) {
            for (x, y) in litre(one).iter().zip(litre(two)) {
                prop_assert!((x - y).abs() < 1e-8 * x.max(1.0), "{} {}", x, y);
            }
        }
        prop_assert_eq!(one.is_ok(), two.is_ok());
    }

    #[test]
    fn batches_add_up(draft in foamed_mix(), a in 0.1..500.0f64, b in 0.1..500.0f64) {
        let recipe = Recipe::new(&draft).unwrap();
        let sheet = |l: f64| batch_sheet(&recipe, litres(l), Grams::new(5)).unwrap();
        let (one, two, both) = (sheet(a), sheet(b), sheet(a + b));
        for ((x, y), sum) in one.lines.iter().zip(&two.lines).zip(&both.lines) {
            let (got, expected) = (x.exact.kg() + y.exact.kg(), sum.exact.kg());
            prop_assert!((got - expected).abs() <= 1e-9 * expected.max(1.0));
        }
        let foam = |sheet: &mix::BatchSheet| sheet.foam.unwrap().volume.litres();
        prop_assert!((foam(&one) + foam(&two) - foam(&both)).abs() <= 1e-9 * (a + b));
    }

    #[test]
    fn a_sheet_weighs_what_it_makes(draft in foamed_mix(), l in 1.0..500.0f64) {
        let recipe = Recipe::new(&draft).unwrap();
        let sheet = batch_sheet(&recipe, litres(l), Grams::new(5)).unwrap();
        let mass: f64 = sheet.lines.iter().map(|line| line.exact.kg()).sum::<f64>() + sheet.foam.unwrap().exact.kg();
        prop_assert!((mass - recipe.wet_density().kg_m3() * l / 1000.0).abs() < 1e-9 * mass);
        for line in &sheet.lines {
            prop_assert!((line.weighed.get() as f64 - line.exact.grams()).abs() <= 2.5 + 1e-6);
            prop_assert_eq!(line.weighed.get() % 5, 0);
        }
        let per_litre: f64 = recipe.per_litre().grams.iter().map(|(_, g)| g).sum::<f64>() + recipe.per_litre().foam_water_g;
        prop_assert!((per_litre - recipe.wet_density().kg_m3()).abs() < 1e-9 * per_litre);
    }

    /// The size of the making does not matter, nor whether it was weighed in pounds or kilograms.
    #[test]
    fn any_making_gives_the_same_mix(draft in foamed_mix(), factor in 0.001..1000.0f64) {
        let recipe = Recipe::new(&draft).unwrap();
        let mut other = draft.clone();
        for item in &mut other.ingredients {
            item.mass = Mass::from_pounds(item.mass.kg() * factor / 0.45359237).unwrap();
        }
        let other = Recipe::new(&other).unwrap();
        for (x, y) in recipe.proportions().iter().zip(other.proportions()) {
            prop_assert!((x.content.kg_m3() - y.content.kg_m3()).abs() <= 1e-9 * x.content.kg_m3().max(1.0));
        }
    }

    /// Whatever numbers come in: an error, or amounts that are numbers and not below nothing.
    #[test]
    fn never_nan_never_negative(numbers in proptest::collection::vec(any_number(), 10), counted: bool, litres in any_number()) {
        let Some(draft) = senseless(&numbers, counted) else { return Ok(()) };
        let Ok(recipe) = Recipe::new(&draft) else { return Ok(()) };
        let sound = |x: f64| x.is_finite() && x >= 0.0;
        prop_assert!(recipe.proportions().iter().all(|part| sound(part.content.kg_m3())));
        prop_assert!(sound(recipe.wet_density().kg_m3()) && sound(recipe.air().number()));
        prop_assert!(recipe.worked().iter().all(|line| sound(line.result)));
        if let Ok(dry) = recipe.oven_dry_density() {
            prop_assert!(sound(dry.kg_m3()));
        }
        let Ok(litres) = Volume::from_litres(litres) else { return Ok(()) };
        let Ok(sheet) = batch_sheet(&recipe, litres, Grams::new(1)) else { return Ok(()) };
        prop_assert!(sheet.lines.iter().all(|line| sound(line.exact.kg()) && line.weighed >= Grams::ZERO));
        prop_assert!(sheet.foam.is_none_or(|foam| sound(foam.volume.litres()) && foam.water >= Grams::ZERO));
    }

    #[test]
    fn equal_batches_keep_the_mixers_limits(asked in 0.0..5000.0f64, most in 5.0..200.0f64, share in 0.0..1.0f64) {
        let limits = MixerLimits { least: litres(most * share), most: litres(most) };
        let batches = equal_batches(litres(asked), limits).unwrap();
        let made: f64 = batches.litres().map(|batch| batch.litres()).sum();
        prop_assert!((made - asked - batches.spare.litres()).abs() < 1e-6);
        prop_assert!(batches.litres().all(|batch| limits.least <= batch && batch <= limits.most));
        // One load fewer would not hold it.
        prop_assert!((batches.count.get() - 1) as f64 * most < asked || batches.count.get() == 0);
    }

    #[test]
    fn a_fill_mark_goes_there_and_back(bottom in 50.0..600.0f64, top in 50.0..600.0f64, height in 50.0..900.0f64, at in 0.0..1.0f64) {
        let mm = |mm: f64| Length::from_mm(mm).unwrap();
        let pail = Pail::new(mm(bottom), mm(top), mm(height)).unwrap();
        let volume = pail.volume_to(mm(height * at)).unwrap();
        let mark = pail.mark_for(volume).unwrap();
        prop_assert!((mark.mm() - height * at).abs() < 1e-6, "{} for {}", mark, height * at);
    }
}

/// The contents as weighed, to be filled with foam.
fn on_record(recipe: &Recipe, draft: &RecipeDraft) -> RecipeDraft {
    let mut record = draft.clone();
    for (item, part) in record.ingredients.iter_mut().zip(recipe.proportions()) {
        item.mass = part.content * Volume::CUBIC_METRE;
    }
    record.foam.as_mut().unwrap().amount = FoamAmount::Filling;
    record.claimed_yield = Some(Volume::CUBIC_METRE);
    record
}

fn senseless(n: &[f64], counted: bool) -> Option<RecipeDraft> {
    let mass = |i: usize| Mass::from_kg(n[i]).ok();
    let ingredients = vec![
        part("cement", Role::Cement(Cement::Portland), mass(0)?, 3.15),
        Ingredient::water("water", mass(1)?),
        Ingredient {
            relative_density: quantities::RelativeDensity::from_number(n[3]).ok()?,
            water_share: Ratio::from_number(n[4]).ok()?,
            absorption: Ratio::from_number(n[5]).ok()?,
            ..part("stuff", Role::Aggregate, mass(2)?, 1.0)
        },
    ];
    let foam = quantities::Density::from_kg_m3(n[6]).ok()?;
    let amount = match Mass::from_kg(n[7]) {
        Ok(mass) => FoamAmount::Mass(mass),
        Err(_) => FoamAmount::ToTarget,
    };
    let target = quantities::Density::from_kg_m3(n[8]).ok().map(|wet| mix::Target { wet, lower: wet, upper: wet });
    Some(RecipeDraft {
        ingredients,
        air: Ratio::from_number(n[9]).unwrap_or(Ratio::ZERO),
        foam: Some(mix::FoamDraft { density: foam, water_counted: counted, amount, dilution: None }),
        target: if n[7] > 5.0 { None } else { target },
        claimed_yield: None,
    })
}
