//! The cheapest proportions within limits: from a wish in writing to the mix library's own, and back.

use mix::cheapest::{self as library, Band, Choice, Dosing, FoamChoice, Limit, NoMix, Price, Wish};
use mix::stated::{self, Amount};
use mix::{Dilution, Role};
use quantities::{Content, Density, MinorUnits, OfMaterial, Ratio, Volume, state::State, written};
use workshop::Fault;
use workshop::catalogue::Material;
use workshop::planning::draws::Materials;

use super::proportions::worked_out;
use super::recipe::Named;
use super::written::Reading;
use super::{Calculation, Known, as_it_is, faults_of, lines, price_per_kg, renamed};
use crate::wire::calculations::cheapest::{
    AskedCheapest, BindingLimit, CheapestFound, CheapestMix, LimitConflict, LimitInConflict, PartOfCost, RatioBand,
    WrittenBand, WrittenChoice, WrittenFoamChoice, WrittenPrice,
};

as_it_is!(AskedCheapest);

impl Calculation for AskedCheapest {
    type Found = CheapestFound;

    fn work_out(&self, known: &Known) -> Result<CheapestFound, Vec<Fault>> {
        let wish = self.wish(&known.by_id())?;
        match library::cheapest(&wish) {
            Ok(found) => Ok(shown(found)),
            Err(NoMix::Conflict(conflict)) => Ok(refused(&conflict)),
            Err(NoMix::Faulty(faults)) => Err(renamed(faults_of(&faults), &NAMES)),
        }
    }
}

/// The library's places as those of the form.
const NAMES: [(&str, &str); 12] = [
    ("/name", "/material"),
    ("/water_share", "/water_percent"),
    ("/absorption", "/absorption_percent"),
    ("/role/portland", "/portland_percent"),
    ("/content", "/least"),
    ("/dosing", "/least"),
    ("/pigment_most", "/saturation_percent"),
    ("/foam/concentrate", "/foam/price"),
    ("/foam/volume", "/foam/least_percent"),
    ("/wet", "/wet_density"),
    ("/oven_dry", "/oven_dry_density"),
    ("/air", "/air_percent"),
];

impl AskedCheapest {
    fn wish(&self, catalogue: &Materials) -> Result<Wish, Vec<Fault>> {
        let mut reading = Reading::default();
        let choices =
            reading.each("/materials", &self.materials, |reading, at, one| choice(one, catalogue, at, reading));
        let foam = reading.perhaps(self.foam.as_ref(), |reading, foam| foam_choice(foam, catalogue, reading));
        let air = reading.percent("/air_percent", self.air_percent);
        let wet = densities(self.wet_density.as_ref(), "/wet_density", &mut reading);
        let oven_dry = densities(self.oven_dry_density.as_ref(), "/oven_dry_density", &mut reading);
        let water_cement = ratios(self.water_cement.as_ref(), "/water_cement", &mut reading);
        let water_cementitious = ratios(self.water_cementitious.as_ref(), "/water_cementitious", &mut reading);
        let cement = written_band(self.cement.as_ref(), "/cement", &mut reading, |reading, at, text| {
            match reading.take(at, stated::read(text, None))? {
                Amount::PerVolume(content) => Some(content),
                _ => {
                    reading.push(at, "is no content: give kg/m³ or lb/yd³");
                    None
                }
            }
        });
        let bands = wet.zip(oven_dry).zip(water_cement).zip(water_cementitious).zip(cement);
        let read = choices.zip(foam).zip(air).zip(bands);
        let (((materials, foam), air), ((((wet, oven_dry), water_cement), water_cementitious), cement)) =
            reading.done(read)?;
        Ok(Wish { materials, foam, air, wet, oven_dry, water_cement, water_cementitious, cement })
    }
}

/// A limit by its texts: exactly, or least and most.
fn written_band<T: Copy>(
    band: Option<&WrittenBand>,
    at: &str,
    reading: &mut Reading,
    read: impl Fn(&mut Reading, &str, &str) -> Option<T>,
) -> Option<Band<T>> {
    let Some(band) = band else { return Some(Band::default()) };
    let mut end = |name: &str, text: &Option<String>| {
        reading.perhaps(text.as_ref(), |reading, text| read(reading, &format!("{at}/{name}"), text))
    };
    let exactly = end("exactly", &band.exactly);
    let least = end("least", &band.least);
    let most = end("most", &band.most);
    one_way(exactly?, least?, most?, at, reading)
}

/// Exactly, or least and most; not both ways.
fn one_way<T: Copy>(
    exactly: Option<T>,
    least: Option<T>,
    most: Option<T>,
    at: &str,
    reading: &mut Reading,
) -> Option<Band<T>> {
    match (exactly, least, most) {
        (Some(value), None, None) => Some(Band::exactly(value)),
        (None, least, most) => Some(Band { least, most }),
        (Some(_), _, _) => {
            reading.push(format!("{at}/exactly"), "is given with a least or a most: leave out one or the other");
            None
        }
    }
}

fn densities<S: State>(band: Option<&WrittenBand>, at: &str, reading: &mut Reading) -> Option<Band<Density<S>>> {
    written_band(band, at, reading, |reading, at, text| reading.density::<S>(at, text))
}

fn ratios(band: Option<&RatioBand>, at: &str, reading: &mut Reading) -> Option<Band<Ratio>> {
    let Some(band) = band else { return Some(Band::default()) };
    let mut end = |name: &str, number: Option<f64>| {
        reading.perhaps(number, |reading, number| reading.take(&format!("{at}/{name}"), Ratio::from_number(number)))
    };
    let exactly = end("exactly", band.exactly);
    let least = end("least", band.least);
    let most = end("most", band.most);
    one_way(exactly?, least?, most?, at, reading)
}

fn choice(one: &WrittenChoice, catalogue: &Materials, at: &str, reading: &mut Reading) -> Option<Choice> {
    let known = catalogue.iter().find(|(id, _)| id.as_str() == one.material).map(|(_, material)| *material);
    let named = Named {
        material: &one.material,
        kind: one.kind,
        portland_percent: one.portland_percent,
        relative_density: one.relative_density,
        known,
    };
    let role = named.role(at, reading);
    let relative = named.relative_density(role, at, reading);
    let price = price(one.price.as_ref(), known, &format!("{at}/price"), reading, role == Some(Role::Water));
    let water = reading.percent(&format!("{at}/water_percent"), one.water_percent);
    let absorption = reading.percent(&format!("{at}/absorption_percent"), one.absorption_percent);
    let most = reading.perhaps(one.saturation_percent, |reading, percent| {
        reading.percent(&format!("{at}/saturation_percent"), percent)
    });
    let (content, dosing) = limits(one, at, reading)?;
    Some(Choice {
        name: one.material.clone(),
        role: role?,
        relative_density: relative?,
        water_share: water?,
        absorption: absorption?,
        price: price?,
        content,
        dosing,
        pigment_most: most?,
    })
}

/// The price as written, else the catalogue's; water without one is free.
fn price(
    written: Option<&WrittenPrice>,
    known: Option<&Material>,
    at: &str,
    reading: &mut Reading,
    is_water: bool,
) -> Option<Price> {
    if let Some(written) = written {
        let price = MinorUnits::new(written.minor);
        let place = format!("{at}/pack");
        return match written::mass(&written.pack) {
            Ok(holds) => Some(Price::Pack { price, holds }),
            Err(quantities::Unclear::UnknownUnit { .. }) => {
                reading.volume(&place, &written.pack).map(|holds| Price::Measure { price, holds })
            }
            Err(unclear) => {
                reading.push(place, unclear.to_string());
                None
            }
        };
    }
    match known.and_then(price_per_kg) {
        Some(per_kg) => Some(Price::PerKg(per_kg)),
        None if is_water => Some(Price::PerKg(0.0)),
        None => {
            reading.push(at, "is missing, and the catalogue has none: give the price of a pack and what it holds");
            None
        }
    }
}

/// A material's limits: on its content, on its dose, or one end each.
fn limits(one: &WrittenChoice, at: &str, reading: &mut Reading) -> Option<(Band<Content>, Option<Dosing>)> {
    let mut read = |name: &str, text: &Option<String>| {
        reading.perhaps(text.as_ref(), |r, text| r.take(&format!("{at}/{name}"), stated::read(text, None)))
    };
    let (exactly, least, most) = (read("exactly", &one.exactly), read("least", &one.least), read("most", &one.most));
    let band = one_way(exactly?, least?, most?, at, reading)?;
    let (mut content, mut dosing) = (Band::default(), None);
    let ends = [("least", band.least, true), ("most", band.most, false)];
    for (name, amount, is_least) in ends.into_iter().filter_map(|(name, amount, least)| Some((name, amount?, least))) {
        let kept = match amount {
            Amount::PerVolume(value) => {
                set(&mut content, value, is_least);
                true
            }
            Amount::OfCementitious(share) => dose(&mut dosing, Dosing::OfCementitious(end(share, is_least))),
            Amount::OfMix(share) => dose(&mut dosing, Dosing::OfMix(end(share, is_least))),
            Amount::MlPer100Kg(ml) => dose(&mut dosing, Dosing::MlPer100Kg(end(ml, is_least))),
            _ => false,
        };
        if !kept {
            let detail =
                "is no limit: give kg/m³, lb/yd³, % of cementitious, % of mix or ml per 100 kg, both ends in one dose";
            reading.push(format!("{at}/{name}"), detail);
        }
    }
    Some((content, dosing))
}

fn set<T>(band: &mut Band<T>, value: T, is_least: bool) {
    if is_least { band.least = Some(value) } else { band.most = Some(value) }
}

fn end<T>(value: T, is_least: bool) -> Band<T> {
    if is_least { Band { least: Some(value), most: None } } else { Band { least: None, most: Some(value) } }
}

/// Joins an end of a dose to the other; false where they are doses of two kinds.
fn dose(dosing: &mut Option<Dosing>, one: Dosing) -> bool {
    use Dosing::{MlPer100Kg, OfCementitious, OfMix};
    let joined = match (*dosing, one) {
        (None, one) => one,
        (Some(OfCementitious(a)), OfCementitious(b)) => OfCementitious(both(a, b)),
        (Some(OfMix(a)), OfMix(b)) => OfMix(both(a, b)),
        (Some(MlPer100Kg(a)), MlPer100Kg(b)) => MlPer100Kg(both(a, b)),
        _ => return false,
    };
    *dosing = Some(joined);
    true
}

fn both<T>(a: Band<T>, b: Band<T>) -> Band<T> {
    Band { least: a.least.or(b.least), most: a.most.or(b.most) }
}

fn foam_choice(foam: &WrittenFoamChoice, catalogue: &Materials, reading: &mut Reading) -> Option<FoamChoice> {
    let known = foam.concentrate.as_ref().map(|name| catalogue.iter().find(|(id, _)| id.as_str() == name));
    let known = match known {
        Some(None) => {
            reading.push("/foam/concentrate", "is no material of the catalogue: leave it out and give its price");
            return None;
        }
        Some(Some((_, material))) => Some(*material),
        None => None,
    };
    let density = reading.density::<OfMaterial>("/foam/density", &foam.density);
    let of_water = 1.0;
    let number = foam.concentrate_relative_density.or_else(|| known?.relative_density).unwrap_or(of_water);
    let relative = reading.relative_density("/foam/concentrate_relative_density", number);
    let water = reading.take("/foam/dilution", Volume::from_litres(foam.dilution));
    let one = reading.take("/foam/dilution", Volume::from_litres(1.0));
    let concentrate = price(foam.price.as_ref(), known, "/foam/price", reading, false);
    let mut share = |name: &str, percent: Option<f64>| {
        reading.perhaps(percent, |reading, percent| reading.percent(&format!("/foam/{name}"), percent))
    };
    let (least, most) = (share("least_percent", foam.least_percent), share("most_percent", foam.most_percent));
    Some(FoamChoice {
        density: density?,
        water_counted: foam.water_counted,
        dilution: Dilution { concentrate: one?, water: water?, concentrate_relative_density: relative? },
        concentrate: concentrate?,
        volume: Band { least: least?, most: most? },
    })
}

fn shown(found: library::Cheapest) -> CheapestFound {
    let part = |part: library::PartCost| PartOfCost {
        material: part.name,
        content_kg_m3: part.content_kg_m3,
        price_minor_kg: part.price_per_kg,
        cost_minor_m3: part.cost_per_m3,
    };
    let binding = |one: library::Binding| BindingLimit {
        limit: one.limit.to_string(),
        value: one.limit.value,
        unit: unit(&one.limit),
        relaxed_to: one.relaxed.map(|relaxed| relaxed.to),
        relaxed_cost_minor_m3: one.relaxed.map(|relaxed| relaxed.cost_per_m3),
        saves_minor_m3: one.relaxed.map(|relaxed| relaxed.saves_per_m3),
        sentence: one.sentence,
    };
    CheapestFound {
        mix: Some(CheapestMix {
            cost_minor_m3: found.cost_per_m3,
            parts: found.parts.into_iter().map(part).collect(),
            binding: found.binding.into_iter().map(binding).collect(),
            proportions: worked_out(None, &found.recipe),
        }),
        conflict: None,
        worked: lines(found.worked),
    }
}

fn refused(conflict: &library::Conflict) -> CheapestFound {
    let limit = |reach: &library::Reach| LimitInConflict {
        limit: reach.limit.to_string(),
        value: reach.limit.value,
        unit: unit(&reach.limit),
        nearest: reach.nearest,
    };
    let limits = conflict.limits.iter().map(limit).collect();
    CheapestFound {
        mix: None,
        conflict: Some(LimitConflict { sentence: conflict.sentence.clone(), limits }),
        worked: Vec::new(),
    }
}

fn unit(limit: &Limit) -> String {
    limit.on.unit().to_owned()
}
