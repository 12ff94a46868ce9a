//! Whatever is wished for: an answer that keeps every limit, in numbers and never below nothing, or a reason.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::wishes::*;

use std::cell::Cell;

use mix::Role;
use mix::cheapest::{Band, Cheapest, Choice, Dosing, NoMix, Price, Wish, cheapest};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use quantities::{Content, Density, Ratio};

/// Numbers as people give them, and the senseless.
fn any_number(most: f64) -> BoxedStrategy<f64> {
    prop_oneof![
        1 => Just(0.0),
        1 => Just(f64::NAN),
        1 => Just(1.0e9),
        30 => 0.0..most,
    ]
    .boxed()
}

/// No limit, or one or two ends.
fn any_band(most: f64) -> BoxedStrategy<(Option<f64>, Option<f64>)> {
    prop_oneof![
        4 => Just((None, None)),
        2 => any_number(most).prop_map(|least| (Some(least), None)),
        2 => any_number(most).prop_map(|most| (None, Some(most))),
        2 => any_number(most).prop_map(|value| (Some(value), Some(value))),
        2 => (any_number(most), any_number(most)).prop_map(|(a, b)| (Some(a.min(b)), Some(a.max(b)))),
    ]
    .boxed()
}

prop_compose! {
    fn any_wish()(
        prices in proptest::collection::vec(any_number(500.0), 5),
        wet in any_band(2500.0),
        oven_dry in any_band(2200.0),
        water_cement in any_band(1.0),
        water_cementitious in any_band(1.0),
        cement_content in any_band(800.0),
        sand_content in any_band(1500.0),
        pigment in any_band(0.12),
        foam_volume in any_band(1.0),
        counted: bool,
        foamed: bool,
        air in 0.0..0.35f64,
    ) -> Option<Wish> {
        let priced = |choice: Choice, at: usize| Choice { price: Price::PerKg(prices[at]), ..choice };
        let red = Choice {
            dosing: Some(Dosing::OfCementitious(read(pigment, Ratio::from_number)?)),
            ..choice("red oxide", Role::Pigment, 5.0, 0.0)
        };
        let sand = Choice { content: read(sand_content, Content::from_kg_m3)?, ..sand() };
        let materials = [cement(), water(), sand, perlite(), red];
        let foam = mix::cheapest::FoamChoice { volume: read(foam_volume, Ratio::from_number)?, ..foam(counted) };
        Some(Wish {
            foam: foamed.then_some(foam),
            air: ratio(air),
            wet: read(wet, Density::from_kg_m3)?,
            oven_dry: read(oven_dry, Density::from_kg_m3)?,
            water_cement: read(water_cement, Ratio::from_number)?,
            water_cementitious: read(water_cementitious, Ratio::from_number)?,
            cement: read(cement_content, Content::from_kg_m3)?,
            ..Wish::of(materials.into_iter().enumerate().map(|(at, choice)| priced(choice, at)).collect())
        })
    }
}

/// A band of a quantity; none where a number is refused at the door.
fn read<T: Copy, E>(band: (Option<f64>, Option<f64>), of: impl Fn(f64) -> Result<T, E>) -> Option<Band<T>> {
    let end = |end: Option<f64>| end.map(&of).transpose().ok();
    Some(Band { least: end(band.0)?, most: end(band.1)? })
}

fn within(got: f64, band: Band<f64>) -> bool {
    band.least.is_none_or(|least| got >= least - 1e-6 * least.max(1.0))
        && band.most.is_none_or(|most| got <= most + 1e-6 * most.max(1.0))
}

fn sound(wish: &Wish, found: &Cheapest) -> Result<(), TestCaseError> {
    let sound = |x: f64| x.is_finite() && x >= 0.0;
    prop_assert!(found.parts.iter().all(|part| sound(part.content_kg_m3) && sound(part.cost_per_m3)), "{found:?}");
    prop_assert!(sound(found.cost_per_m3) && found.worked.iter().all(|line| sound(line.result)));
    for relaxed in found.binding.iter().filter_map(|binding| binding.relaxed) {
        prop_assert!(sound(relaxed.saves_per_m3) && sound(relaxed.cost_per_m3), "{relaxed:?}");
        prop_assert!(relaxed.cost_per_m3 <= found.cost_per_m3 * (1.0 + 1e-6) + 1e-6, "{relaxed:?}");
    }
    prop_assert!(within(found.recipe.wet_density().kg_m3(), wish.wet.map(Density::kg_m3)));
    let ratios = found.recipe.water_ratios().unwrap();
    let cementitious = if wish.foam.is_some_and(|foam| foam.water_counted) {
        ratios.cementitious_with_foam
    } else {
        ratios.cementitious_without_foam
    };
    prop_assert!(within(ratios.water_cement().number(), wish.water_cement.map(Ratio::number)));
    prop_assert!(within(cementitious.number(), wish.water_cementitious.map(Ratio::number)));
    let cement = found.recipe.content_of(|role| matches!(role, Role::Cement(_))).kg_m3();
    prop_assert!(within(cement, wish.cement.map(Content::kg_m3)));
    let dry = found.recipe.oven_dry_density().unwrap().kg_m3();
    prop_assert!(within(dry, wish.oven_dry.map(Density::kg_m3)));
    keeps_the_limits_of_its_parts(wish, found)
}

/// Sand, pigment and foam against the limits drawn for them; doses from the recipe's contents, not from the worked lines.
fn keeps_the_limits_of_its_parts(wish: &Wish, found: &Cheapest) -> Result<(), TestCaseError> {
    let content = |name: &str| -> f64 {
        let named = found.recipe.proportions().iter().filter(|part| part.written.name == name);
        named.map(|part| part.content.kg_m3()).sum()
    };
    let offered = |name: &str| wish.materials.iter().find(|choice| choice.name == name).unwrap();
    prop_assert!(within(content("sand"), offered("sand").content.map(Content::kg_m3)), "{found:?}");
    let Some(Dosing::OfCementitious(dose)) = offered("red oxide").dosing else { panic!("the dose was drawn") };
    let per_cent = 100.0 * content("red oxide") / content("cement");
    prop_assert!(within(per_cent, dose.map(Ratio::per_cent)) && per_cent <= 10.0 + 1e-6, "{per_cent} {found:?}");
    if let Some(foam) = wish.foam {
        let volume = found.recipe.foam().map_or(0.0, |foam| foam.volume.number());
        prop_assert!(within(volume, foam.volume.map(Ratio::number)), "{volume} {found:?}");
    }
    Ok(())
}

/// Four hundred, or as many as `PROPTEST_CASES` asks for.
fn cases() -> u32 {
    ProptestConfig::default().cases.max(400)
}

#[test]
fn an_answer_or_a_reason() {
    let answers = Cell::new(0);
    let config = ProptestConfig { cases: cases(), failure_persistence: None, ..ProptestConfig::default() };
    let run = TestRunner::new(config).run(&any_wish(), |wish| {
        let Some(wish) = wish else { return Ok(()) };
        match cheapest(&wish) {
            Ok(found) => {
                answers.set(answers.get() + 1);
                sound(&wish, &found)?;
            }
            Err(NoMix::Conflict(conflict)) => {
                prop_assert!(!conflict.limits.is_empty(), "{}", conflict.sentence);
                prop_assert!(
                    conflict.limits.iter().all(|reach| reach.nearest.is_none_or(|nearest| nearest.is_finite()))
                );
            }
            Err(NoMix::Faulty(faults)) => {
                prop_assert!(faults.all().iter().all(|fault| !fault.field.is_empty()), "{faults}");
            }
        }
        Ok(())
    });
    run.unwrap_or_else(|error| panic!("{error}"));
    // About one wish in ten has an answer; were they to dry up, the property would hold of nothing.
    assert!(answers.get() >= cases() / 40, "{} answers to {} wishes", answers.get(), cases());
}
