//! Wishes for the cheapest mix, and the same wish with a limit moved.

use mix::cheapest::{Band, Choice, Dosing, End, FoamChoice, Limit, Measured, Price, Wish};
use mix::{Cement, Dilution, Role};
use quantities::{Content, Density, MinorUnits, Ratio};

use super::{fresh, litres, per_cent, rd};

pub fn choice(name: &str, role: Role, relative_density: f64, per_kg: f64) -> Choice {
    Choice::new(name, role, rd(relative_density), Price::PerKg(per_kg))
}

pub fn cement() -> Choice {
    choice("cement", Role::Cement(Cement::Portland), 3.15, 30.0)
}

pub fn water() -> Choice {
    choice("water", Role::Water, 1.0, 0.2)
}

pub fn sand() -> Choice {
    choice("sand", Role::Aggregate, 2.65, 5.0)
}

pub fn perlite() -> Choice {
    choice("perlite", Role::LightweightAggregate, 0.3, 200.0)
}

/// Foam of 50 kg/m³, 1 to 20, concentrate at 400 minor units to the litre.
pub fn foam(water_counted: bool) -> FoamChoice {
    FoamChoice {
        density: Density::from_kg_m3(50.0).unwrap(),
        water_counted,
        dilution: Dilution { concentrate: litres(1.0), water: litres(20.0), concentrate_relative_density: rd(1.0) },
        concentrate: Price::Measure { price: MinorUnits::new(2000), holds: litres(5.0) },
        volume: Band::default(),
    }
}

pub fn ratio(number: f64) -> Ratio {
    Ratio::from_number(number).unwrap()
}

pub fn content(kg_m3: f64) -> Content {
    Content::from_kg_m3(kg_m3).unwrap()
}

/// Sanded foamed concrete of 1000 kg/m³, foam water not counted.
pub fn sanded() -> Wish {
    Wish {
        foam: Some(foam(false)),
        wet: Band::exactly(fresh(1000.0)),
        water_cement: Band::between(ratio(0.45), ratio(0.55)),
        cement: Band::at_least(content(250.0)),
        ..Wish::of(vec![cement(), water(), sand()])
    }
}

/// The same with colour, fibre and an addition at its most.
pub fn coloured() -> Wish {
    let red = Choice {
        dosing: Some(Dosing::OfCementitious(Band::between(per_cent(3.0), per_cent(5.0)))),
        ..choice("red oxide", Role::Pigment, 5.0, 250.0)
    };
    let fibre = Choice {
        dosing: Some(Dosing::OfMix(Band::at_least(per_cent(0.5)))),
        ..choice("fibre", Role::Fibre, 2.68, 600.0)
    };
    let ash = Choice { dosing: None, content: Band::at_most(content(60.0)), ..choice("ash", Role::Addition, 2.3, 8.0) };
    Wish {
        water_cementitious: Band::at_least(ratio(0.4)),
        materials: vec![cement(), water(), sand(), red, fibre, ash],
        ..sanded()
    }
}

/// The wish with one of its limits at another number.
pub fn moved(wish: &Wish, limit: &Limit, to: f64) -> Wish {
    changed(wish, limit, Some(to))
}

/// The wish without one of its limits.
pub fn without(wish: &Wish, limit: &Limit) -> Wish {
    changed(wish, limit, None)
}

fn changed(wish: &Wish, limit: &Limit, to: Option<f64>) -> Wish {
    let mut wish = wish.clone();
    let dose = |wish: &mut Wish, name: &str, new: &dyn Fn(Dosing) -> Dosing| {
        let choice = named(wish, name);
        choice.dosing = choice.dosing.map(new);
    };
    match &limit.on {
        Measured::WetDensity => wish.wet = end(wish.wet, limit.end, to.map(|to| Density::from_kg_m3(to).unwrap())),
        Measured::OvenDryDensity => {
            wish.oven_dry = end(wish.oven_dry, limit.end, to.map(|to| Density::from_kg_m3(to).unwrap()));
        }
        Measured::WaterCement => wish.water_cement = end(wish.water_cement, limit.end, to.map(ratio)),
        Measured::WaterCementitious => {
            wish.water_cementitious = end(wish.water_cementitious, limit.end, to.map(ratio));
        }
        Measured::Cement => wish.cement = end(wish.cement, limit.end, to.map(content)),
        Measured::Content(name) => {
            let choice = named(&mut wish, name);
            choice.content = end(choice.content, limit.end, to.map(content));
        }
        Measured::OfCementitious(name) => dose(&mut wish, name, &|dosing| match dosing {
            Dosing::OfCementitious(band) => Dosing::OfCementitious(end(band, limit.end, to.map(per_cent))),
            other => other,
        }),
        Measured::OfMix(name) => dose(&mut wish, name, &|dosing| match dosing {
            Dosing::OfMix(band) => Dosing::OfMix(end(band, limit.end, to.map(per_cent))),
            other => other,
        }),
        Measured::MlPer100Kg(name) => dose(&mut wish, name, &|dosing| match dosing {
            Dosing::MlPer100Kg(band) => Dosing::MlPer100Kg(end(band, limit.end, to)),
            other => other,
        }),
        Measured::Foam => {
            let foam = wish.foam.as_mut().unwrap();
            foam.volume = end(foam.volume, limit.end, to.map(per_cent));
        }
        Measured::Pigments => panic!("the ceiling on pigments cannot be moved"),
    }
    wish
}

fn end<T: Copy>(band: Band<T>, end: End, to: Option<T>) -> Band<T> {
    match end {
        End::Least => Band { least: to, ..band },
        End::Most => Band { most: to, ..band },
    }
}

fn named<'w>(wish: &'w mut Wish, name: &str) -> &'w mut Choice {
    wish.materials.iter_mut().find(|choice| choice.name == name).unwrap()
}
