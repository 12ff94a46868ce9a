//! Wishes without a cheapest mix: what excludes what, and everything that is wrong with a wish.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod common;
use common::wishes::*;
use common::*;

use mix::cheapest::{Band, Choice, Conflict, Dosing, End, Limit, Measured, NoMix, Price, Wish, cheapest};
use mix::{Cement, Dilution, Role};
use quantities::{Density, Ratio};

fn conflict(wish: &Wish) -> Conflict {
    match cheapest(wish) {
        Err(NoMix::Conflict(conflict)) => conflict,
        other => panic!("{other:?}"),
    }
}

/// Neat cement with foam water counted weighs C (1 + w/c): 700 kg/m³ at 0.5 is 466.7 kg of cement, 550 kg is 825 kg/m³ or
/// w/c 0.2727.
#[test]
fn too_much_cement_for_a_light_mix_is_said_as_the_trade_says_it() {
    let wish = Wish {
        foam: Some(foam(true)),
        wet: Band::exactly(fresh(700.0)),
        water_cement: Band::exactly(ratio(0.5)),
        cement: Band::at_least(content(550.0)),
        ..Wish::of(vec![cement(), water()])
    };
    let conflict = conflict(&wish);
    assert_eq!(
        conflict.sentence,
        "550 kg/m³ of cement cannot be reached at 700 kg/m³ wet and a water/cement ratio of 0.5; the other limits leave \
         room for at most 466.6 kg/m³ of cement, at least 825 kg/m³ wet or a water/cement ratio of at most 0.272"
    );
    smallest(&wish, &conflict);
}

#[test]
fn two_limits_alone_are_said_without_the_rest() {
    let wish = Wish {
        foam: Some(foam(false)),
        wet: Band::exactly(fresh(700.0)),
        water_cement: Band::between(ratio(0.2), ratio(0.5)),
        cement: Band::at_least(content(750.0)),
        ..coloured()
    };
    let conflict = conflict(&wish);
    assert!(
        conflict.sentence.starts_with("750 kg/m³ of cement cannot be reached at 700 kg/m³ wet; "),
        "{}",
        conflict.sentence
    );
    assert_eq!(conflict.limits.len(), 2);
    smallest(&wish, &conflict);
}

/// A limit that no mix of these materials keeps stands alone: foam and cement without aggregate are never 3300 kg/m³.
#[test]
fn a_limit_out_of_reach_by_itself_stands_alone() {
    let wish = Wish { wet: Band::at_least(fresh(3300.0)), ..Wish::of(vec![cement(), water()]) };
    let conflict = conflict(&wish);
    assert_eq!(
        conflict.sentence,
        "3300 kg/m³ wet cannot be reached by any mix of these materials; the other limits leave room for at most 3150 kg/m³ wet"
    );
    assert_eq!(conflict.limits[0].limit, Limit { on: Measured::WetDensity, end: End::Least, value: 3300.0 });
}

/// A trace that is too much is said as the trace it is, and so is what there is room for: two hundred-thousandths of 2000 kg
/// are 0.04 kg, 0.05 kg are as much of 2500 kg.
#[test]
fn small_limits_are_said_in_full() {
    let fibre = Choice {
        dosing: Some(Dosing::OfMix(Band::at_most(per_cent(0.002)))),
        content: Band::at_least(content(0.05)),
        ..choice("fibre", Role::Fibre, 2.68, 600.0)
    };
    let wish = Wish {
        wet: Band::at_most(fresh(2000.0)),
        cement: Band::at_least(content(300.0)),
        ..Wish::of(vec![cement(), water(), sand(), fibre])
    };
    let conflict = conflict(&wish);
    assert_eq!(
        conflict.sentence,
        "0.05 kg/m³ of fibre cannot be reached with at most 0.002 % of fibre in the mix and at most 2000 kg/m³ wet; the other \
         limits leave room for at most 0.04 kg/m³ of fibre, at least 0.0025 % of fibre in the mix or at least 2500 kg/m³ wet"
    );
    smallest(&wish, &conflict);
}

#[test]
fn pigment_above_the_ceiling_of_another_is_a_conflict() {
    let dosed = |name: &str, least: f64, most: f64| Choice {
        dosing: Some(Dosing::OfCementitious(Band::at_least(per_cent(least)))),
        pigment_most: Some(Ratio::from_per_cent(most).unwrap()),
        ..choice(name, Role::Pigment, 4.8, 250.0)
    };
    let wish = Wish {
        water_cement: Band::exactly(ratio(0.5)),
        cement: Band::at_least(content(300.0)),
        ..Wish::of(vec![cement(), water(), sand(), dosed("black", 4.0, 6.0), dosed("yellow", 3.0, 9.0)])
    };
    let conflict = conflict(&wish);
    assert!(
        conflict.sentence.starts_with(
            "4 % of black on the cementitious cannot be reached with at least 3 % of yellow on the cementitious and at most 6 \
             % of pigments together on the cementitious; "
        ),
        "{}",
        conflict.sentence
    );
}

/// Leaving out any one of a conflict makes room; so does going to the nearest number given.
fn smallest(wish: &Wish, conflict: &Conflict) {
    for reach in &conflict.limits {
        let without = without(wish, &reach.limit);
        let freed = cheapest(&without);
        assert!(!matches!(freed, Err(NoMix::Conflict(_))), "{freed:?}");
        if let Some(nearest) = reach.nearest {
            let eased = if reach.limit.end == End::Least { nearest - 1e-4 } else { nearest + 1e-4 };
            cheapest(&moved(&without, &reach.limit, eased)).unwrap();
        }
    }
}

fn only_fault(wish: &Wish) -> (String, String) {
    match cheapest(wish) {
        Err(NoMix::Faulty(faults)) if faults.all().len() == 1 => {
            (faults.all()[0].field.clone(), faults.all()[0].remedy.clone())
        }
        other => panic!("{other:?}"),
    }
}

/// The cheapest litre of all is water, which is there then; a most or a least water/cement ratio asks nothing of a mix
/// without cement.
#[test]
fn a_wish_that_forgets_cement_is_told_what_helps() {
    for water_cement in [Band::default(), Band::at_most(ratio(0.5)), Band::exactly(ratio(0.5))] {
        let wish = Wish { water_cement, ..Wish::of(vec![cement(), water(), sand()]) };
        let asked = ("/cement".to_owned(), "give a least cement content".to_owned());
        assert_eq!(only_fault(&wish), asked);
        cheapest(&Wish { cement: Band::at_least(content(300.0)), ..wish }).unwrap();
    }
}

#[test]
fn a_wish_that_forgets_water_is_told_what_helps() {
    let dear_water = Choice { price: Price::PerKg(20.0), ..water() };
    let wish = Wish { cement: Band::at_least(content(300.0)), ..Wish::of(vec![cement(), dear_water, sand()]) };
    let asked = ("/water_cement".to_owned(), "give a least water/cement ratio".to_owned());
    assert_eq!(only_fault(&wish), asked);
    cheapest(&Wish { water_cement: Band::at_least(ratio(0.4)), ..wish }).unwrap();
}

/// Foam of 905 L beside 300 kg of cement brings 45 kg of water, and so does liquid colour of 60 % water at a tenth: a
/// least water/cement ratio is met without any mixing water.
#[test]
fn a_wish_whose_water_comes_with_other_things_is_told_to_ask_for_mixing_water() {
    let colour = Choice {
        water_share: per_cent(60.0),
        dosing: Some(Dosing::OfCementitious(Band::exactly(per_cent(10.0)))),
        ..choice("liquid red", Role::Pigment, 1.6, 400.0)
    };
    let dear_water = Choice { price: Price::PerKg(20.0), ..water() };
    let wish = Wish {
        cement: Band::at_least(content(300.0)),
        water_cement: Band::at_least(ratio(0.05)),
        ..Wish::of(vec![cement(), dear_water, sand()])
    };
    let foamed = Wish { foam: Some(foam(true)), ..wish.clone() };
    let coloured = Wish { materials: [wish.materials.clone(), vec![colour]].concat(), ..wish };
    for mut wish in [foamed, coloured] {
        let asked = ("/materials/1/content".to_owned(), "give the mixing water a least content".to_owned());
        assert_eq!(only_fault(&wish), asked);
        wish.materials[1].content = Band::at_least(content(120.0));
        cheapest(&wish).unwrap();
    }
}

#[test]
fn everything_that_is_wrong_is_said_at_once() {
    let bad_foam = mix::cheapest::FoamChoice {
        density: Density::from_kg_m3(1200.0).unwrap(),
        dilution: Dilution { concentrate: litres(0.0), water: litres(0.0), concentrate_relative_density: rd(1.0) },
        concentrate: Price::PerKg(f64::NAN),
        volume: Band::at_least(ratio(2.0)),
        ..foam(true)
    };
    let sand_twice = Choice { absorption: ratio(1.5), content: Band::between(content(9.0), content(3.0)), ..sand() };
    let wish = Wish {
        foam: Some(bad_foam),
        air: ratio(0.4),
        wet: Band::between(fresh(900.0), fresh(800.0)),
        ..Wish::of(vec![
            Choice { price: Price::PerKg(-1.0), ..cement() },
            sand(),
            sand_twice,
            Choice { name: " ".into(), pigment_most: Some(ratio(0.06)), ..sand() },
            Choice {
                dosing: Some(Dosing::OfMix(Band::at_least(ratio(0.6)))),
                ..choice("fibre", Role::Fibre, 2.7, 9.0)
            },
            Choice {
                water_share: ratio(1.1),
                ..choice("blend", Role::Cement(Cement::Blended { portland: ratio(1.2) }), 3.0, 20.0)
            },
        ])
    };
    let Err(NoMix::Faulty(faults)) = cheapest(&wish) else { panic!() };
    let fields: Vec<&str> = faults.all().iter().map(|fault| fault.field.as_str()).collect();
    assert_eq!(
        fields,
        [
            "/materials",
            "/materials/0/price",
            "/materials/2/name",
            "/materials/2/absorption",
            "/materials/2/content",
            "/materials/3/name",
            "/materials/3/pigment_most",
            "/materials/4/dosing",
            "/materials/5/water_share",
            "/materials/5/role/portland",
            "/foam/density",
            "/foam/dilution",
            "/foam/concentrate",
            "/foam/volume",
            "/air",
            "/wet",
        ]
    );
}

#[test]
fn rapid_setting_cement_keeps_to_itself_and_out_of_the_oven_dry_rule() {
    let rapid = choice("rapid cement", Role::Cement(Cement::RapidSettingCsa), 2.98, 90.0);
    let wish = Wish {
        oven_dry: Band::at_most(Density::from_kg_m3(900.0).unwrap()),
        ..Wish::of(vec![rapid, cement(), water()])
    };
    let Err(NoMix::Faulty(faults)) = cheapest(&wish) else { panic!() };
    let fields: Vec<&str> = faults.all().iter().map(|fault| fault.field.as_str()).collect();
    assert_eq!(fields, ["/materials", "/oven_dry"]);
}
