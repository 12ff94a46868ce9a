//! Cheapest proportions: against mixes worked by hand and by trying, and back through the ordinary proportioning.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::wishes::*;
use common::*;

use mix::cheapest::{
    Band, Cheapest, Choice, Dosing, End, FoamChoice, Limit, Measured, PartCost, Price, Wish, cheapest,
};
use mix::{Cement, FoamAmount, Recipe, RecipeDraft, Role, Source};
use quantities::{MinorUnits, Ratio};

/// Neat foamed cement at 800 kg/m³ and w/c 0.5, foam water counted, has no freedom: 533.3 kg of cement, 237.0 of mixing
/// water, 0.594 m³ of foam; worked by hand from the balances.
#[test]
fn a_mix_without_freedom_is_the_balance() {
    let wish = Wish {
        foam: Some(foam(true)),
        wet: Band::exactly(fresh(800.0)),
        water_cement: Band::exactly(ratio(0.5)),
        ..Wish::of(vec![cement(), water()])
    };
    let found = cheapest(&wish).unwrap();
    near(found.parts[0].content_kg_m3, 533.3, 0.05);
    near(found.parts[1].content_kg_m3, 237.0, 0.05);
    near(found.recipe.foam().unwrap().volume.number(), 0.594, 0.0005);
    // By hand: cement at 30, water at 0.2, a litre of foam holds 50 / 21 g of concentrate at 400 to the kilogram.
    let foam = 593.99 * (0.05 / 21.0 * 400.0 + 0.05 * 20.0 / 21.0 * 0.2);
    near(found.cost_per_m3, 533.333 * 30.0 + 236.97 * 0.2 + foam, 1.0);
}

/// By hand: cement is the dearest litre, so it stays at its least, 300; water follows at 0.5; gravel is the cheapest and
/// goes to its most, 1000; sand fills 1000 - 300/3.15 - 150 - 1000/2.6 = 370.147 L, 980.89 kg.
#[test]
fn a_corner_worked_by_hand() {
    let gravel = Choice { content: Band::at_most(content(1000.0)), ..choice("gravel", Role::Aggregate, 2.6, 3.0) };
    let wish = Wish {
        water_cement: Band::exactly(ratio(0.5)),
        cement: Band::at_least(content(300.0)),
        ..Wish::of(vec![cement(), water(), gravel, sand()])
    };
    let found = cheapest(&wish).unwrap();
    let kg: Vec<f64> = found.parts.iter().map(|part| part.content_kg_m3).collect();
    for (got, expected) in kg.iter().zip([300.0, 150.0, 1000.0, 980.889]) {
        near(*got, expected, 0.001);
    }
    near(found.cost_per_m3, 9000.0 + 30.0 + 3000.0 + 980.889 * 5.0, 0.01);
    let least_cement = Limit { on: Measured::Cement, end: End::Least, value: 300.0 };
    let binding = found.binding.iter().find(|binding| binding.limit == least_cement).unwrap();
    // A kilogram of cement less is half a kilogram of water less and (1/3.15 + 0.5) · 2.65 of sand more.
    let saves = 30.0 + 0.5 * 0.2 - (1.0 / 3.15 + 0.5) * 2.65 * 5.0;
    near(binding.relaxed.unwrap().saves_per_m3, saves, 1e-6);
    assert_eq!(
        binding.sentence,
        format!(
            "at least 300 kg/m³ of cement binds: at least 299 kg/m³ of cement would save {saves:.2} minor units a cubic metre \
             ({:.2} instead of {:.2})",
            found.cost_per_m3 - saves,
            found.cost_per_m3
        )
    );
}

/// By hand: foam is the cheapest litre beside water's and goes to its most, 40 %; cement and water at 0.5 fill the other
/// 600 L, (1/3.15 + 0.5) · C, so C is 733.98 kg.
#[test]
fn foam_goes_to_its_most_and_no_further() {
    let wish = Wish {
        foam: Some(FoamChoice { volume: Band::at_most(ratio(0.4)), ..foam(false) }),
        water_cement: Band::exactly(ratio(0.5)),
        ..Wish::of(vec![cement(), water()])
    };
    let found = cheapest(&wish).unwrap();
    let to_fill = 1.0 / 3.15 + 0.5;
    near(found.parts[0].content_kg_m3, 600.0 / to_fill, 1e-3);
    near(found.parts[2].content_kg_m3, 400.0 * 0.05, 1e-6);
    near(found.recipe.foam().unwrap().volume.number(), 0.4, 1e-9);
    let most_foam = Limit { on: Measured::Foam, end: End::Most, value: 40.0 };
    let binding = found.binding.iter().find(|binding| binding.limit == most_foam).unwrap();
    // A tenth of a per cent is a litre: of foam for 1 / 0.817 kg of cement and half of that of water.
    let foam_litre = 0.05 / 21.0 * 400.0 + 0.05 * 20.0 / 21.0 * 0.2;
    near(binding.relaxed.unwrap().to, 40.1, 1e-9);
    near(binding.relaxed.unwrap().saves_per_m3, (30.0 + 0.5 * 0.2) / to_fill - foam_litre, 1e-6);
}

/// Cement and w/c by trying every pair on a grid; for each, sand and foam from the mass and volume balances.
#[test]
fn no_mix_on_a_grid_is_cheaper() {
    let wish = sanded();
    let found = cheapest(&wish).unwrap();
    let foam_litre = found.parts[3].cost_per_m3 / (found.parts[3].content_kg_m3 / 0.05);
    let mut best = f64::INFINITY;
    for step in 0..=3500 {
        let cement = 250.0 + 0.1 * f64::from(step);
        for step in 0..=20 {
            let water = cement * (0.45 + 0.005 * f64::from(step));
            // s + 0.05 v = 1000 - cement - water, s / 2.65 + v = 1000 - cement / 3.15 - water
            let (mass, litres) = (1000.0 - cement - water, 1000.0 - cement / 3.15 - water);
            let sand = (mass - 0.05 * litres) / (1.0 - 0.05 / 2.65);
            let foam = litres - sand / 2.65;
            if sand >= 0.0 && foam >= 0.0 {
                best = best.min(cement * 30.0 + water * 0.2 + sand * 5.0 + foam * foam_litre);
            }
        }
    }
    // The corner, 250 kg of cement at one end of the w/c, lies on the grid.
    near(best, found.cost_per_m3, 1e-3);
}

/// The parts of an answer as a person would write them down for a making of a cubic metre, the foam by its mass: where its
/// water is counted, the water written down is all water.
fn as_written(wish: &Wish, found: &Cheapest) -> RecipeDraft {
    let foam = wish.foam.unwrap();
    let of_foam = found.parts.last().unwrap().content_kg_m3;
    let written = |(choice, part): (&Choice, &PartCost)| {
        let of_foam = if foam.water_counted && choice.role == Role::Water { of_foam } else { 0.0 };
        choice.ingredient(kg(part.content_kg_m3 + of_foam))
    };
    let amount = FoamAmount::Mass(kg(of_foam));
    RecipeDraft {
        foam: Some(foam_of(foam.density.kg_m3(), foam.water_counted, amount)),
        ..plain(wish.materials.iter().zip(&found.parts).map(written).collect(), 0.0)
    }
}

#[test]
fn the_recipe_put_back_through_proportioning_is_what_was_wished() {
    for counted in [true, false] {
        let wish = Wish {
            foam: Some(foam(counted)),
            wet: Band::exactly(fresh(950.0)),
            water_cement: Band::exactly(ratio(0.48)),
            cement: Band::at_least(content(310.0)),
            ..coloured()
        };
        let found = cheapest(&wish).unwrap();
        let recipe = Recipe::new(&as_written(&wish, &found)).unwrap();
        near(recipe.wet_density().kg_m3() / 950.0, 1.0, 1e-9);
        near(recipe.water_ratios().unwrap().water_cement().number(), 0.48, 1e-9);
        near(recipe.making().litres() / 1000.0, 1.0, 1e-9);
        for part in recipe.proportions() {
            let in_cost = found.parts.iter().find(|other| other.name == part.written.name).unwrap();
            near(part.content.kg_m3(), in_cost.content_kg_m3, 1e-6);
        }
        near(recipe.wet_density().kg_m3(), found.recipe.wet_density().kg_m3(), 1e-6);
        near(found.parts.iter().map(|part| part.cost_per_m3).sum::<f64>(), found.cost_per_m3, 1e-6);
        let total = found.worked.iter().find(|line| line.what == "cost of a cubic metre").unwrap();
        near(total.result, found.cost_per_m3, 1e-6);
    }
}

#[test]
fn an_oven_dry_wish_is_met_by_the_rule_for_each_cement() {
    let blend = Choice { role: Role::Cement(Cement::Blended { portland: ratio(0.7) }), ..cement() };
    for cement in [cement(), blend] {
        let dry = quantities::Density::from_kg_m3(650.0).unwrap();
        let wish = Wish {
            foam: Some(foam(true)),
            oven_dry: Band::at_most(dry),
            water_cementitious: Band::between(ratio(0.45), ratio(0.6)),
            cement: Band::at_least(content(300.0)),
            ..Wish::of(vec![cement, water(), perlite()])
        };
        let found = cheapest(&wish).unwrap();
        let got = found.recipe.oven_dry_density().unwrap();
        assert!(got.kg_m3() <= 650.0 + 1e-6, "{got}");
    }
}

/// What relaxing a limit saves is what the same wish with that limit relaxed costs less.
#[test]
fn each_saving_is_what_the_looser_wish_costs_less() {
    for wish in [sanded(), coloured()] {
        let found = cheapest(&wish).unwrap();
        assert!(found.binding.iter().any(|binding| binding.relaxed.is_some_and(|relaxed| relaxed.saves_per_m3 > 0.0)));
        for binding in &found.binding {
            let Some(relaxed) = binding.relaxed else { continue };
            near((relaxed.to - binding.limit.value).abs(), binding.limit.step(), 1e-9);
            let looser = cheapest(&moved(&wish, &binding.limit, relaxed.to)).unwrap();
            near(found.cost_per_m3 - looser.cost_per_m3, relaxed.saves_per_m3, 1e-6 * found.cost_per_m3);
            near(looser.cost_per_m3, relaxed.cost_per_m3, 1e-6);
        }
        let saves: Vec<f64> = found.binding.iter().filter_map(|b| b.relaxed.map(|r| r.saves_per_m3)).collect();
        assert!(saves.is_sorted_by(|a, b| a >= b), "{saves:?}");
    }
}

#[test]
fn pigments_keep_the_lowest_of_their_maxima_and_ten_per_cent() {
    let cheap_black = Choice {
        pigment_most: Some(Ratio::from_per_cent(6.0).unwrap()),
        dosing: Some(Dosing::OfCementitious(Band::at_least(per_cent(2.0)))),
        ..choice("black", Role::Pigment, 4.6, 0.0)
    };
    // Pigment that costs nothing and is wanted up to the ceiling, because it fills room that sand would.
    let wish = Wish {
        water_cement: Band::exactly(ratio(0.5)),
        cement: Band::at_least(content(300.0)),
        ..Wish::of(vec![cement(), water(), sand(), cheap_black])
    };
    let found = cheapest(&wish).unwrap();
    near(found.parts[3].content_kg_m3, 300.0 * 0.06, 1e-6);
    let ceiling = found.binding.iter().find(|binding| binding.limit.on == Measured::Pigments).unwrap();
    assert_eq!(ceiling.limit.value, 6.0);
    assert!(ceiling.relaxed.is_none() && ceiling.sentence.contains("stays"), "{}", ceiling.sentence);
}

/// Doses as they are written: fibre on the mix without foam, an admixture in millilitres per 100 kg, and liquid colour's
/// water in the w/c.
#[test]
fn doses_are_met_as_they_are_written() {
    let fibre = Choice {
        dosing: Some(Dosing::OfMix(Band::exactly(per_cent(1.0)))),
        ..choice("fibre", Role::Fibre, 2.68, 500.0)
    };
    let plasticiser = Choice {
        dosing: Some(Dosing::MlPer100Kg(Band::exactly(400.0))),
        ..choice("plasticiser", Role::Admixture, 1.1, 300.0)
    };
    let colour = Choice {
        water_share: per_cent(60.0),
        dosing: Some(Dosing::OfCementitious(Band::exactly(per_cent(2.0)))),
        ..choice("liquid red", Role::Pigment, 1.6, 400.0)
    };
    let wish = Wish {
        foam: Some(foam(true)),
        wet: Band::exactly(fresh(1000.0)),
        water_cement: Band::exactly(ratio(0.5)),
        cement: Band::at_least(content(350.0)),
        ..Wish::of(vec![cement(), water(), sand(), fibre, plasticiser, colour])
    };
    let found = cheapest(&wish).unwrap();
    let kg = |name: &str| found.parts.iter().find(|part| part.name == name).unwrap().content_kg_m3;
    let without_foam: f64 = found.parts.iter().map(|part| part.content_kg_m3).sum::<f64>() - kg("foam");
    near(kg("fibre"), without_foam * 0.01, 1e-6);
    near(kg("plasticiser") / 1.1 * 1000.0, 400.0 * kg("cement") / 100.0, 1e-4);
    near(kg("liquid red") * 0.4, kg("cement") * 0.02, 1e-6);
    near(kg("water") + kg("foam") + 0.6 * kg("liquid red"), 0.5 * kg("cement"), 1e-6);
}

#[test]
fn prices_by_the_kilogram_the_pack_and_the_measure_agree() {
    let by = |price| {
        let cement = Choice { price, ..cement() };
        let wish = Wish { cement: Band::at_least(content(300.0)), ..sanded() };
        cheapest(&Wish { materials: vec![cement, water(), sand()], ..wish }).unwrap().cost_per_m3
    };
    let pack = by(Price::Pack { price: MinorUnits::new(750), holds: kg(25.0) });
    let measure = by(Price::Measure { price: MinorUnits::new(9450), holds: litres(100.0) });
    near(by(Price::PerKg(30.0)), pack, 1e-6);
    near(pack, measure, 1e-6);
}

/// A whole kilogram less of fibre would be none: small limits are relaxed by a tenth of themselves and said in full.
#[test]
fn a_small_limit_is_relaxed_by_a_tenth_of_itself() {
    let fibred = |content| {
        let fibre = Choice { content, ..choice("fibre", Role::Fibre, 1.0, 600.0) };
        Wish { materials: vec![cement(), water(), sand(), fibre], ..sanded() }
    };
    for (least, to, limit, looser) in [
        (0.9, 0.81, "at least 0.9 kg/m³ of fibre", "at least 0.81 kg/m³ of fibre"),
        (0.04, 0.036, "at least 0.04 kg/m³ of fibre", "at least 0.036 kg/m³ of fibre"),
        (10.0, 9.0, "at least 10 kg/m³ of fibre", "at least 9 kg/m³ of fibre"),
        (25.0, 24.0, "at least 25 kg/m³ of fibre", "at least 24 kg/m³ of fibre"),
    ] {
        let found = cheapest(&fibred(Band::at_least(content(least)))).unwrap();
        let binding = found.binding.iter().find(|one| one.limit.on == Measured::Content("fibre".into())).unwrap();
        let relaxed = binding.relaxed.unwrap();
        near(relaxed.to, to, 1e-12);
        near(binding.limit.step(), least - to, 1e-12);
        let said = format!("{limit} binds: {looser} would save ");
        assert!(binding.sentence.starts_with(&said), "{}", binding.sentence);
        let again = cheapest(&fibred(Band::at_least(content(to)))).unwrap();
        near(relaxed.cost_per_m3, again.cost_per_m3, 1e-6);
        near(relaxed.saves_per_m3, found.cost_per_m3 - again.cost_per_m3, 1e-6);
    }
}

/// Each limit's worked line cites what its measure rests on, and shows how the number comes about.
#[test]
fn each_limit_is_worked_by_its_own_formula_and_source() {
    let wish = Wish {
        foam: Some(FoamChoice { volume: Band::at_most(ratio(0.9)), ..foam(true) }),
        oven_dry: Band::at_most(quantities::Density::from_kg_m3(1000.0).unwrap()),
        ..coloured()
    };
    let found = cheapest(&wish).unwrap();
    let line = |limit: &str| found.worked.iter().find(|line| line.what == format!("kept: {limit}")).unwrap();
    let dry = line("at most 1000 kg/m³ oven-dry");
    assert_eq!(dry.source, Source::OVEN_DRY);
    near(dry.result, found.recipe.oven_dry_density().unwrap().kg_m3(), 1e-6);
    assert_eq!(line("at least 1000 kg/m³ wet").source, Source::BALANCE);
    assert_eq!(line("at most 10 % of pigments together on the cementitious").source, Source::MOST_PIGMENT);
    for limit in [
        "a water/cement ratio of at least 0.45",
        "a water/cementitious ratio of at least 0.4",
        "at least 250 kg/m³ of cement",
        "at most 60 kg/m³ of ash",
        "at least 3 % of red oxide on the cementitious",
        "at least 0.5 % of fibre in the mix",
        "at most 90 % of foam by volume",
    ] {
        assert_eq!(line(limit).source, Source::DEFINITION, "{limit}");
    }
    // By hand: 250 kg of cement and more; the dose over cement and ash.
    let kg = |name: &str| found.parts.iter().find(|part| part.name == name).unwrap().content_kg_m3;
    let dose = line("at least 3 % of red oxide on the cementitious");
    assert_eq!(dose.formula, "100 · M / (C + additions), of a pigment its solids");
    assert_eq!(dose.numbers, format!("{:.2} / {:.2}", 100.0 * kg("red oxide"), kg("cement") + kg("ash")));
    let water_cement = line("a water/cement ratio of at least 0.45");
    assert_eq!(water_cement.formula, "w/c = W / C, W with the foam's water where it is counted");
    assert_eq!(water_cement.numbers, format!("{:.2} / {:.2}", kg("water") + kg("foam"), kg("cement")));
}

/// None at all has no tenth: the whole step is taken.
#[test]
fn a_most_of_nothing_is_relaxed_by_the_whole_step() {
    let none = Limit { on: Measured::Content("ash".into()), end: End::Most, value: 0.0 };
    let ash = Choice { content: Band::at_most(content(0.0)), ..choice("ash", Role::Addition, 2.3, 0.5) };
    let found = cheapest(&Wish { materials: vec![cement(), water(), sand(), ash], ..sanded() }).unwrap();
    let binding = found.binding.iter().find(|binding| binding.limit == none).unwrap();
    near(binding.relaxed.unwrap().to, 1.0, 1e-12);
    let said = "at most 0 kg/m³ of ash binds: at most 1 kg/m³ of ash would save ";
    assert!(binding.sentence.starts_with(said), "{}", binding.sentence);
}
