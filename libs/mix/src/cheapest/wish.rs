//! What is wished for: materials at today's prices and the limits their mix must keep.

use quantities::{Content, Density, Fresh, Mass, MinorUnits, OfMaterial, OvenDry, Ratio, RelativeDensity, Volume};

use crate::pigment::MOST_PIGMENT_PER_CENT;
use crate::recipe::{check, no_oven_dry_rule};
use crate::{Cement, Dilution, Fault, Ingredient, Role, admixture, foam};

/// A least and a most, either or both; neither is no limit. Both alike fix the value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band<T> {
    /// Not below this.
    pub least: Option<T>,
    /// Not above this.
    pub most: Option<T>,
}

impl<T> Default for Band<T> {
    fn default() -> Self {
        Self { least: None, most: None }
    }
}

impl<T: Copy> Band<T> {
    /// Fixed.
    pub fn exactly(value: T) -> Self {
        Self { least: Some(value), most: Some(value) }
    }

    /// From one to another.
    pub fn between(least: T, most: T) -> Self {
        Self { least: Some(least), most: Some(most) }
    }

    /// Not below.
    pub fn at_least(least: T) -> Self {
        Self { least: Some(least), most: None }
    }

    /// Not above.
    pub fn at_most(most: T) -> Self {
        Self { least: None, most: Some(most) }
    }

    /// The same band over another number.
    pub fn map<U>(self, to: impl Fn(T) -> U) -> Band<U> {
        Band { least: self.least.map(&to), most: self.most.map(&to) }
    }
}

/// What a material costs, in minor units of the currency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Price {
    /// To the kilogram, 0 to 1,000,000.
    PerKg(f64),
    /// By the pack of a mass.
    Pack {
        /// Price of one.
        price: MinorUnits,
        /// What it holds.
        holds: Mass,
    },
    /// By the pack of a volume; the material's relative density makes it a mass.
    Measure {
        /// Price of one.
        price: MinorUnits,
        /// What it holds.
        holds: Volume,
    },
}

impl Price {
    /// The most a kilogram may cost, minor units.
    pub const MOST_PER_KG: f64 = 1.0e6;

    /// Minor units to the kilogram; a fault at `field` where there is no such price.
    pub fn per_kg(&self, relative_density: RelativeDensity, field: &str) -> Result<f64, Fault> {
        let of = |price: MinorUnits, mass: Mass| price.get() as f64 / mass.kg();
        let per_kg = match *self {
            Self::PerKg(price) => price,
            Self::Pack { price, holds } => of(price, holds),
            Self::Measure { price, holds } => of(price, relative_density.density() * holds),
        };
        if (0.0..=Self::MOST_PER_KG).contains(&per_kg) {
            Ok(per_kg)
        } else {
            let what = format!("a price of {per_kg} minor units to the kilogram cannot be");
            Err(Fault::new(field, what, "give a price of 0 or more and a pack that holds something"))
        }
    }
}

/// A dose that follows other parts of the mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dosing {
    /// Share of the cementitious mass; of a pigment its solids count, of anything else the whole.
    OfCementitious(Band<Ratio>),
    /// Share of the whole mix without its foam, the material included (fibre).
    OfMix(Band<Ratio>),
    /// Millilitres per 100 kg of cementitious material, 0 to 10,000 (admixtures).
    MlPer100Kg(Band<f64>),
}

/// A material that may go in; those without a limit may also stay out.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The material; each once.
    pub name: String,
    /// What it is to the mix.
    pub role: Role,
    /// Relative density in the condition it is weighed in.
    pub relative_density: RelativeDensity,
    /// The share of its mass that is water for the cement (liquid colour, admixture), 0 to 1.
    pub water_share: Ratio,
    /// Water in an aggregate's grains over its dry mass, 0 to 1.
    pub absorption: Ratio,
    /// Today's price.
    pub price: Price,
    /// Limits on its content.
    pub content: Band<Content>,
    /// Limits on its dose.
    pub dosing: Option<Dosing>,
    /// Of a pigment: the most its maker allows or that still colours, over the cementitious mass. All pigments together keep
    /// the lowest of these and 10 % (ASTM C979).
    pub pigment_most: Option<Ratio>,
}

impl Choice {
    /// A material without limits and without water of its own.
    pub fn new(name: impl Into<String>, role: Role, relative_density: RelativeDensity, price: Price) -> Self {
        Self {
            name: name.into(),
            role,
            relative_density,
            water_share: Ratio::ZERO,
            absorption: Ratio::ZERO,
            price,
            content: Band::default(),
            dosing: None,
            pigment_most: None,
        }
    }

    /// The material as an ingredient of a making.
    pub fn ingredient(&self, mass: Mass) -> Ingredient {
        Ingredient {
            water_share: self.water_share,
            absorption: self.absorption,
            ..Ingredient::new(self.name.clone(), self.role, mass, self.relative_density)
        }
    }
}

/// Preformed foam that may go in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoamChoice {
    /// Density of the foam, below water's.
    pub density: Density<OfMaterial>,
    /// Whether w/c and water/cementitious count the foam's water.
    pub water_counted: bool,
    /// How its solution is made.
    pub dilution: Dilution,
    /// Today's price of the concentrate. The foam's water costs what the mixing water does.
    pub concentrate: Price,
    /// Limits on its volume over that of the concrete, 0 to 1.
    pub volume: Band<Ratio>,
}

/// A wish for the cheapest mix.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// What may go in, in mixing order.
    pub materials: Vec<Choice>,
    /// Foam.
    pub foam: Option<FoamChoice>,
    /// Air that is not the foam's over the volume of the concrete, 0 to 0.3.
    pub air: Ratio,
    /// Wet density.
    pub wet: Band<Density<Fresh>>,
    /// Oven-dry density by the 1.2 · C rule; not with rapid-setting cement.
    pub oven_dry: Band<Density<OvenDry>>,
    /// Water over cement, the foam's water counted as the foam says.
    pub water_cement: Band<Ratio>,
    /// Water over cementitious material, likewise.
    pub water_cementitious: Band<Ratio>,
    /// Cement of all kinds together.
    pub cement: Band<Content>,
}

impl Wish {
    /// Materials without any limit on their mix yet.
    pub fn of(materials: Vec<Choice>) -> Self {
        Self {
            materials,
            foam: None,
            air: Ratio::ZERO,
            wet: Band::default(),
            oven_dry: Band::default(),
            water_cement: Band::default(),
            water_cementitious: Band::default(),
            cement: Band::default(),
        }
    }

    /// Everything that is wrong with it.
    pub(super) fn faults(&self) -> Vec<Fault> {
        let mut found = Vec::new();
        self.check_roles(&mut found);
        for (i, choice) in self.materials.iter().enumerate() {
            self.check_material(i, choice, &mut found);
        }
        if let Some(foam) = &self.foam {
            check_foam(foam, &mut found);
        }
        check::air("/air", self.air, &mut found);
        rising("/wet", self.wet.map(Density::kg_m3), "kg/m³", &mut found);
        rising("/oven_dry", self.oven_dry.map(Density::kg_m3), "kg/m³", &mut found);
        rising("/water_cement", self.water_cement.map(Ratio::number), "", &mut found);
        rising("/water_cementitious", self.water_cementitious.map(Ratio::number), "", &mut found);
        rising("/cement", self.cement.map(Content::kg_m3), "kg/m³", &mut found);
        found
    }

    fn check_roles(&self, found: &mut Vec<Fault>) {
        let has = |wanted: fn(Role) -> bool| self.materials.iter().any(|choice| wanted(choice.role));
        if !has(|role| matches!(role, Role::Cement(_))) {
            found.push(Fault::new("/materials", "there is no cement to choose", "offer a cement"));
        }
        if !has(|role| role == Role::Water) {
            found.push(Fault::new("/materials", "there is no mixing water to choose", "offer water"));
        }
        let rapid = has(|role| role == Role::Cement(Cement::RapidSettingCsa));
        if rapid && has(|role| matches!(role, Role::Cement(c) if c != Cement::RapidSettingCsa)) {
            let what = "rapid-setting and Portland cement set at once when they meet";
            found.push(Fault::new("/materials", what, "ask for the cheapest mix of each on its own"));
        }
        if rapid && (self.oven_dry.least.is_some() || self.oven_dry.most.is_some()) {
            found.push(no_oven_dry_rule("/oven_dry"));
        }
    }

    fn check_material(&self, i: usize, choice: &Choice, found: &mut Vec<Fault>) {
        let at = |field: &str| format!("/materials/{i}/{field}");
        let named = !choice.name.trim().is_empty();
        if named && self.materials[..i].iter().any(|earlier| earlier.name == choice.name) {
            found.push(Fault::new(at("name"), format!("{} is offered twice", choice.name), "offer it once"));
        }
        check::ingredient(&format!("/materials/{i}"), &choice.ingredient(Mass::ZERO), found);
        found.extend(choice.price.per_kg(choice.relative_density, &at("price")).err());
        rising(&at("content"), choice.content.map(Content::kg_m3), "kg/m³", found);
        check_dosing(&at("dosing"), choice, found);
        if choice.pigment_most.is_some() && choice.role != Role::Pigment {
            let what = format!("{} is no pigment", choice.name);
            found.push(Fault::new(at("pigment_most"), what, "leave it out, or give the role of a pigment"));
        }
    }
}

fn check_dosing(at: &str, choice: &Choice, found: &mut Vec<Fault>) {
    match choice.dosing {
        None => {}
        Some(_) if choice.role.is_cementitious() => {
            let what = format!("{} is given as a dose of what it is itself part of", choice.name);
            found.push(Fault::new(at, what, "limit its content instead"));
        }
        Some(Dosing::OfCementitious(band)) => {
            rising(at, band.map(Ratio::per_cent), "% of cementitious", found);
            let least = band.least.map_or(0.0, Ratio::per_cent);
            if choice.role == Role::Pigment && least > MOST_PIGMENT_PER_CENT + 1.0e-9 {
                let what = format!("{least:.1} % of pigment is above {MOST_PIGMENT_PER_CENT:.0} % of cementitious");
                found.push(Fault::new(at, what, "take less: more weakens the concrete (ASTM C979)"));
            }
        }
        Some(Dosing::OfMix(band)) => {
            rising(at, band.map(Ratio::per_cent), "% of mix", found);
            if band.least.is_some_and(|least| least.number() >= 0.5) {
                found.push(Fault::new(at, "half of a mix cannot be a dose", "give per cent of the whole mix"));
            }
        }
        Some(Dosing::MlPer100Kg(band)) => {
            for dose in [band.least, band.most].into_iter().flatten() {
                found.extend(admixture::volume(dose, Mass::ZERO).err().map(|error| Fault::out_of_range(at, error)));
            }
            rising(at, band, "ml per 100 kg", found);
        }
    }
}

fn check_foam(foam: &FoamChoice, found: &mut Vec<Fault>) {
    found.extend(foam::lighter_than_water("/foam/density", foam.density).err());
    if let Err(faults) = foam.dilution.concentrate_share() {
        found.extend(faults.all().iter().map(|fault| Fault { field: "/foam/dilution".into(), ..fault.clone() }));
    }
    let density = foam.dilution.concentrate_relative_density;
    found.extend(foam.concentrate.per_kg(density, "/foam/concentrate").err());
    rising("/foam/volume", foam.volume.map(Ratio::number), "", found);
    if foam.volume.least.is_some_and(|least| least > Ratio::ONE) {
        found.push(Fault::new("/foam/volume", "there is more foam than concrete", "give a share from 0 to 1"));
    }
}

/// A band must not run backwards.
fn rising(field: &str, band: Band<f64>, unit: &str, found: &mut Vec<Fault>) {
    if let (Some(least), Some(most)) = (band.least, band.most)
        && least > most
    {
        let what = format!("at least {least} is above at most {most} {unit}");
        found.push(Fault::new(field, what.trim_end(), "give the least first, the most second"));
    }
}
