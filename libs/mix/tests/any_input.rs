//! No NaN and nothing below nothing, whatever numbers come in: one property for each calculation beside the recipe's own.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::*;

use mix::bags::whole_bags;
use mix::correction::{Bounds, Measured, Verdict, at_the_mixer};
use mix::moisture::{Basis, Moisture, bulked_sand, moist, water_to_add};
use mix::stated::{Amount, Stated, making};
use mix::{
    Cement, FoamAmount, Ingredient, MixerLimits, Pail, Recipe, RecipeDraft, Role, Target, admixture, equal_batches,
    fibre, fill, foam, maturity, mesh, strength, unit_weight, weighing,
};
use proptest::prelude::*;
use quantities::{
    Area, Celsius, Content, Density, Fresh, Grams, Hours, Length, Mass, OfMaterial, Ratio, RelativeDensity, Volume,
};

/// The sensible, the senseless and the edges.
fn any_number() -> BoxedStrategy<f64> {
    prop_oneof![
        1 => Just(0.0),
        1 => Just(f64::MIN_POSITIVE),
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(f64::NEG_INFINITY),
        1 => -1e6..0.0f64,
        2 => 1e-9..1e9f64,
        10 => 0.0..1.0f64,
        10 => 0.0..3000.0f64,
    ]
    .boxed()
}

fn numbers(many: usize) -> BoxedStrategy<Vec<f64>> {
    proptest::collection::vec(any_number(), many).boxed()
}

fn sound(number: f64) -> bool {
    number.is_finite() && number >= 0.0
}

/// A number that is sound or was refused.
fn or_refused<T, E>(result: Result<T, E>, number: impl Fn(T) -> f64) -> bool {
    result.map_or(true, |value| sound(number(value)))
}

fn mass(number: f64) -> Mass {
    Mass::from_kg(number).unwrap_or(kg(1.0))
}

fn volume(number: f64) -> Volume {
    Volume::from_litres(number).unwrap_or(litres(1.0))
}

fn share(number: f64) -> Ratio {
    Ratio::from_number(number).unwrap_or(Ratio::ONE)
}

fn wet(number: f64) -> Density<Fresh> {
    Density::from_kg_m3(number).unwrap_or(fresh(800.0))
}

fn length(number: f64) -> Length {
    Length::from_mm(number).unwrap_or(Length::ZERO)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn aggregates(n in numbers(6)) {
        let total = Moisture::Total { moisture: share(n[1]), absorption: share(n[2]) };
        let free = Moisture::FreeSurface(share(n[1]));
        for (basis, moisture) in
            [(Basis::OvenDry, total), (Basis::SaturatedSurfaceDry, total), (Basis::SaturatedSurfaceDry, free)]
        {
            let Ok(aggregate) = moist(mass(n[0]), basis, moisture) else { continue };
            prop_assert!(sound(aggregate.weigh.kg()) && aggregate.free_water_kg.is_finite());
            prop_assert!(or_refused(water_to_add(mass(n[3]), &[aggregate]), Mass::kg));
        }
        let bulk = Density::<OfMaterial>::from_kg_m3(n[4]).unwrap_or(Density::from_kg_m3(1600.0).unwrap());
        prop_assert!(or_refused(bulked_sand(volume(n[0]), bulk, share(n[5])), Mass::kg));
        let filler = RelativeDensity::from_number(n[5]).unwrap_or(RelativeDensity::WATER);
        let left = fill::by_difference(volume(n[0]), &[(mass(n[1]), filler)], share(n[2]), filler);
        prop_assert!(or_refused(left, Mass::kg));
        prop_assert!(or_refused(fill::coarse_share(fill::Largest::ThreeEighthsInch, n[3]), Ratio::number));
    }

    #[test]
    fn doses(n in numbers(3)) {
        prop_assert!(or_refused(admixture::volume(n[0], mass(n[1])), Volume::litres));
        prop_assert!(or_refused(fibre::of_mix(mass(n[0]), share(n[1])), Mass::kg));
        let liquid = mix::pigment::liquid(mass(n[0]), share(n[1]));
        prop_assert!(or_refused(liquid, |(solids, water)| solids.kg().min(water.kg())));
        prop_assert!(or_refused(mesh::wire_area(n[2]), Area::mm2));
        let sheet = Area::from_mm2(n[0]).unwrap_or(Area::from_mm2(1.0e6).unwrap());
        let wire = Area::from_mm2(n[1]).unwrap_or(Area::from_mm2(9.0).unwrap());
        prop_assert!(or_refused(mesh::mass(sheet, wire, length(n[2])), Mass::kg));
        prop_assert!(or_refused(mesh::steel_in(length(n[0]), wire, length(n[2])), Area::mm2));
    }

    #[test]
    fn scales(n in numbers(3)) {
        prop_assert!(or_refused(unit_weight::density(mass(n[0]), mass(n[1]), volume(n[2])), Density::<Fresh>::kg_m3));
        prop_assert!(or_refused(unit_weight::yield_of(mass(n[0]), wet(n[1])), Volume::litres));
        prop_assert!(or_refused(unit_weight::gravimetric_air(wet(n[0]), wet(n[1])), Ratio::number));
        prop_assert!(or_refused(unit_weight::relative_yield(volume(n[0]), volume(n[1])), Ratio::number));
        prop_assert!(sound(weighing::scale_accuracy(mass(n[0]), mass(n[1])).kg()));
        let (least, most) = weighing::cement_band(mass(n[0]), mass(n[1]));
        prop_assert!(sound(least.kg()) && least <= most);
        prop_assert!(or_refused(weighing::least_weighable(Grams::new(5), share(n[0])), Mass::kg));
        prop_assert!(or_refused(foam::generator_seconds(volume(n[0]), n[1]), |seconds| seconds));
    }

    #[test]
    fn vessels(n in numbers(5)) {
        if let Ok(pail) = Pail::new(length(n[0]), length(n[1]), length(n[2])) {
            prop_assert!(or_refused(pail.volume_to(length(n[3])), Volume::litres));
            prop_assert!(or_refused(pail.mark_for(volume(n[4])), Length::mm));
        }
        let limits = MixerLimits::of_vessel(volume(n[0]), share(n[1]), volume(n[2]));
        let Ok(limits) = limits else { return Ok(()) };
        let narrowed = limits.within_pot_life(n[2], n[3], n[4], volume(n[1]));
        prop_assert!(or_refused(narrowed, |narrowed| narrowed.most.litres()));
        prop_assert!(or_refused(equal_batches(volume(n[3]), limits), |batches| batches.each.litres()));
    }

    #[test]
    fn corrections(n in numbers(8)) {
        let target = Target { wet: wet(n[0]), lower: wet(n[1]), upper: wet(n[2]) };
        let foam = Density::from_kg_m3(n[3]).unwrap_or(Density::from_kg_m3(50.0).unwrap());
        let bounds = Bounds { target, most_minutes: n[4], most: volume(n[5]), foam, slurry: wet(n[6]) };
        let measured = Measured { wet: wet(n[7]), volume: volume(n[0]), minutes_since_foaming: n[1] };
        match at_the_mixer(measured, &bounds) {
            Ok(Verdict::AddFoam { foam: added, mass, volume } | Verdict::AddSlurry { slurry: added, mass, volume }) => {
                prop_assert!(sound(added.litres()) && sound(mass.kg()) && volume <= bounds.most);
            }
            Ok(Verdict::Accept) => prop_assert!(target.accepts(measured.wet)),
            Ok(Verdict::Reject { why }) => prop_assert!(!why.contains("NaN"), "{}", why),
            Err(faults) => prop_assert!(!faults.all().is_empty()),
        }
    }

    #[test]
    fn time_and_strength(n in numbers(5)) {
        let temperature = Celsius::from_celsius(n[0]).unwrap_or(Celsius::from_celsius(20.0).unwrap());
        let datum = Celsius::from_celsius(n[1]).unwrap_or(Celsius::from_celsius(0.0).unwrap());
        let time = Hours::from_hours(n[2]).unwrap_or(Hours::from_hours(1.0).unwrap());
        let history = [maturity::Interval { time, temperature }];
        prop_assert!(sound(maturity::temperature_time(&history, datum)));
        prop_assert!(sound(maturity::age_factor(temperature)) && sound(maturity::age_factor_danish(temperature)));
        prop_assert!(or_refused(maturity::equivalent_age(&history, n[3], datum), |hours| hours));
        for air in [true, false] {
            prop_assert!(or_refused(strength::ordinary(share(n[3]), air), |found| found.strength.mpa()));
        }
        prop_assert!(or_refused(strength::porosity(wet(n[3]), share(n[4])), Ratio::number));
        prop_assert!(or_refused(strength::foamed_paste(share(n[4]), time, wet(n[3])), |found| found.strength.mpa()));
        prop_assert!(or_refused(strength::gain(time, Cement::Portland, strength::Speed::HighEarly), Ratio::number));
        prop_assert!(or_refused(strength::least_placing_temperature(length(n[3])), |least| least.fahrenheit()));
    }

    /// Bags of any mass for any load of a mix, and a making stated in any amounts.
    #[test]
    fn bags_and_amounts(n in numbers(6)) {
        let recipe = Recipe::new(&foamed(0.5, foam_of(50.0, true, FoamAmount::ToTarget), Some(800.0))).unwrap();
        if let Ok(bags) = whole_bags(&recipe, "Portland cement", mass(n[0]), volume(n[1])) {
            prop_assert!(sound(bags.needed.kg()) && sound(bags.left_over.kg()) && sound(bags.above.litres.litres()));
            prop_assert!(bags.above.spare <= bags.above.litres);
            prop_assert!(bags.below.is_none_or(|below| below.spare == Volume::ZERO && sound(below.litres.litres())));
        }
        let stated = |role, amount| Stated {
            name: "stuff".into(),
            role,
            amount,
            relative_density: RelativeDensity::from_number(n[2]).unwrap_or(RelativeDensity::WATER),
            water_share: Ratio::ZERO,
            absorption: Ratio::ZERO,
        };
        let all = [
            stated(Role::Cement(Cement::Portland), Amount::Mass(mass(n[0]))),
            stated(Role::Water, Amount::Liquid(volume(n[1]))),
            stated(Role::Pigment, Amount::OfCementitious(share(n[3]))),
            stated(Role::Fibre, Amount::OfMix(share(n[4]))),
            stated(Role::Admixture, Amount::MlPer100Kg(n[5])),
        ];
        if let Ok(making) = making(&all) {
            prop_assert!(making.ingredients.iter().all(|item| sound(item.mass.kg())));
        }
    }

    /// The same mix in kilograms, litres and kg/m³ and in pounds, gallons and lb/ft³ is the same to the exact factors.
    #[test]
    fn si_and_us_units_agree(
        cement in 100.0..600.0f64,
        water_cement in 0.35..0.7f64,
        sand in 0.0..1000.0f64,
        foam in 32.0..64.0f64,
        light in 0.6..0.95f64,
        counted: bool,
    ) {
        const POUND: f64 = 0.45359237;
        const GALLON: f64 = 3.785411784;
        const CUBIC_FOOT: f64 = 28.316846592;
        let water = RelativeDensity::WATER.density();
        let making = |cement: Mass, waters: Volume, sand: Mass, foam: Density<OfMaterial>| RecipeDraft {
            ingredients: vec![
                portland(cement),
                Ingredient::water("water", water * waters),
                part("sand", Role::Aggregate, sand, 2.65),
            ],
            foam: Some(mix::FoamDraft { density: foam, water_counted: counted, amount: FoamAmount::ToTarget, dilution: None }),
            ..plain(Vec::new(), 1.0)
        };
        let mut si = making(
            kg(cement),
            litres(cement * water_cement),
            kg(sand),
            Density::from_kg_m3(foam).unwrap(),
        );
        let mut us = making(
            lb(cement / POUND),
            Volume::from_us_gallons(cement * water_cement / GALLON).unwrap(),
            lb(sand / POUND),
            Density::from_lb_ft3(foam / 1000.0 * CUBIC_FOOT / POUND).unwrap(),
        );
        let bare = Recipe::new(&RecipeDraft { foam: None, ..si.clone() }).unwrap().wet_density().kg_m3();
        si.target = Some(exactly(bare * light));
        let target = Density::<Fresh>::from_lb_ft3(bare * light / 1000.0 * CUBIC_FOOT / POUND).unwrap();
        us.target = Some(Target { wet: target, lower: target, upper: target });
        let (si, us) = (Recipe::new(&si).unwrap(), Recipe::new(&us).unwrap());
        for (a, b) in si.proportions().iter().zip(us.proportions()) {
            prop_assert!((a.content.kg_m3() - b.content.kg_m3()).abs() <= 1e-11 * a.content.kg_m3().max(1.0));
            let yards = Content::from_lb_yd3(b.content.lb_yd3()).unwrap();
            prop_assert!((yards.kg_m3() - b.content.kg_m3()).abs() <= 1e-11 * yards.kg_m3().max(1.0));
        }
        prop_assert!((si.foam().unwrap().volume.number() - us.foam().unwrap().volume.number()).abs() <= 1e-11);
        prop_assert!((si.wet_density().lb_ft3() - us.wet_density().lb_ft3()).abs() <= 1e-9);
    }
}
