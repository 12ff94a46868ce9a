//! The columns of a wish, and each limit as a measure over them.

use quantities::{Content, Density, Mass, Ratio};

use super::limit::{End, Limit, Measured};
use super::programme::{LimitRow, Measure};
use super::wish::{Band, Choice, Dosing, FoamChoice, Wish};
use crate::pigment::MOST_PIGMENT_PER_CENT;
use crate::recipe::BOUND_WATER;
use crate::{Fault, Ingredient, Role};

/// The columns of a wish: one for each material in kg/m³, then the foam in L/m³.
pub(super) struct Columns<'w> {
    wish: &'w Wish,
    /// The materials as ingredients, whose shares are asked for; of no mass yet.
    ingredients: Vec<Ingredient>,
}

impl<'w> Columns<'w> {
    pub fn of(wish: &'w Wish) -> Self {
        let ingredients = wish.materials.iter().map(|choice| choice.ingredient(Mass::ZERO)).collect();
        Self { wish, ingredients }
    }

    /// Minor units to the kilogram, and to the litre of foam.
    pub fn cost(&self) -> Result<Vec<f64>, Fault> {
        let priced = |choice: &Choice| choice.price.per_kg(choice.relative_density, "/materials");
        let prices = self.wish.materials.iter().map(priced).collect::<Result<Vec<f64>, _>>()?;
        let water = self.wish.materials.iter().zip(&prices).find(|(choice, _)| choice.role == Role::Water);
        let water = water.map_or(0.0, |(_, price)| *price);
        let foam = self.wish.foam.as_ref().map(|foam| foam_litre(foam, water)).transpose()?;
        Ok(prices.into_iter().chain(foam).collect())
    }

    /// Litres to the kilogram, and to the litre of foam.
    pub fn litres(&self) -> Vec<f64> {
        self.by(|item| 1.0 / item.relative_density.number(), |_| 1.0)
    }

    /// Every limit of the wish.
    pub fn limits(&self) -> Vec<LimitRow> {
        let mut rows = self.of_the_mix();
        for (i, choice) in self.wish.materials.iter().enumerate() {
            let on = Measured::Content(choice.name.clone());
            rows.extend(ends(&on, choice.content.map(Content::kg_m3), plain(self.only(i, 1.0))));
            rows.extend(choice.dosing.map(|dosing| self.dose(i, choice, dosing)).into_iter().flatten());
        }
        if let Some(most) = self.pigment_ceiling() {
            let solids = |item: &Ingredient| one_if(item.role == Role::Pigment) * 100.0 * item.dosed_share().number();
            let measure = over(self.by(solids, |_| 0.0), self.cementitious());
            rows.extend(ends(&Measured::Pigments, Band::at_most(most), measure));
        }
        if let Some(foam) = &self.wish.foam {
            // Litres to the cubic metre over ten are per cent.
            let measure = plain(self.by(|_| 0.0, |_| 0.1));
            rows.extend(ends(&Measured::Foam, foam.volume.map(Ratio::per_cent), measure));
        }
        rows
    }

    fn of_the_mix(&self) -> Vec<LimitRow> {
        let wish = self.wish;
        let wet = plain(self.by(|_| 1.0, foam_kg));
        let dry = plain(self.by(dry, |_| 0.0));
        let water = || self.by(|item| item.free_water().number(), counted);
        let rows = [
            ends(&Measured::WetDensity, wish.wet.map(Density::kg_m3), wet),
            ends(&Measured::OvenDryDensity, wish.oven_dry.map(Density::kg_m3), dry),
            ends(&Measured::WaterCement, wish.water_cement.map(Ratio::number), over(water(), self.cement())),
            ends(
                &Measured::WaterCementitious,
                wish.water_cementitious.map(Ratio::number),
                over(water(), self.cementitious()),
            ),
            ends(&Measured::Cement, wish.cement.map(Content::kg_m3), plain(self.cement())),
        ];
        rows.into_iter().flatten().collect()
    }

    fn dose(&self, at: usize, choice: &Choice, dosing: Dosing) -> Vec<LimitRow> {
        let name = choice.name.clone();
        match dosing {
            Dosing::OfCementitious(band) => {
                let measure =
                    over(self.only(at, 100.0 * self.ingredients[at].dosed_share().number()), self.cementitious());
                ends(&Measured::OfCementitious(name), band.map(Ratio::per_cent), measure)
            }
            Dosing::OfMix(band) => {
                let measure = over(self.only(at, 100.0), self.by(|_| 1.0, |_| 0.0));
                ends(&Measured::OfMix(name), band.map(Ratio::per_cent), measure)
            }
            Dosing::MlPer100Kg(band) => {
                let ml_per_kg = 1000.0 / choice.relative_density.number();
                let measure = over(self.only(at, 100.0 * ml_per_kg), self.cementitious());
                ends(&Measured::MlPer100Kg(name), band, measure)
            }
        }
    }

    /// The lowest of the pigments' own maxima and 10 %, where there are pigments.
    fn pigment_ceiling(&self) -> Option<f64> {
        let pigments = self.wish.materials.iter().filter(|choice| choice.role == Role::Pigment);
        let most = pigments.map(|choice| choice.pigment_most.map_or(MOST_PIGMENT_PER_CENT, Ratio::per_cent));
        most.reduce(f64::min).map(|most| most.min(MOST_PIGMENT_PER_CENT))
    }

    fn by(&self, material: impl Fn(&Ingredient) -> f64, foam: impl Fn(&FoamChoice) -> f64) -> Vec<f64> {
        self.ingredients.iter().map(material).chain(self.wish.foam.iter().map(foam)).collect()
    }

    /// A material alone, times a factor.
    fn only(&self, at: usize, factor: f64) -> Vec<f64> {
        let mut of = self.by(|_| 0.0, |_| 0.0);
        of[at] = factor;
        of
    }

    /// One for each cement.
    pub fn cement(&self) -> Vec<f64> {
        self.by(|item| one_if(matches!(item.role, Role::Cement(_))), |_| 0.0)
    }

    fn cementitious(&self) -> Vec<f64> {
        self.by(|item| one_if(item.role.is_cementitious()), |_| 0.0)
    }
}

fn plain(above: Vec<f64>) -> Measure {
    Measure { above, below: None }
}

fn over(above: Vec<f64>, below: Vec<f64>) -> Measure {
    Measure { above, below: Some(below) }
}

/// The ends of a band; a least of nothing is no limit.
fn ends(on: &Measured, band: Band<f64>, measure: Measure) -> Vec<LimitRow> {
    let ends = [(End::Least, band.least.filter(|least| *least > 0.0)), (End::Most, band.most)];
    let row = |(end, value): (End, Option<f64>)| {
        value.map(|value| LimitRow { limit: Limit { on: on.clone(), end, value }, measure: measure.clone() })
    };
    ends.into_iter().filter_map(row).collect()
}

/// Minor units to the litre of foam: its concentrate, and its water at the mixing water's price.
fn foam_litre(foam: &FoamChoice, water: f64) -> Result<f64, Fault> {
    let kg = foam_kg(foam);
    let mass = Mass::from_kg(kg).map_err(|error| Fault::out_of_range("/foam/density", error))?;
    let solution = foam.dilution.solution(mass);
    let density = foam.dilution.concentrate_relative_density;
    let concentrate = (density.density() * solution.concentrate).kg();
    Ok(concentrate * foam.concentrate.per_kg(density, "/foam/concentrate")? + solution.water.kg() * water)
}

/// Kilograms to the litre of foam.
fn foam_kg(foam: &FoamChoice) -> f64 {
    foam.density.kg_m3() / 1000.0
}

/// The foam's water as w/c counts it.
fn counted(foam: &FoamChoice) -> f64 {
    if foam.water_counted { foam_kg(foam) } else { 0.0 }
}

fn one_if(so: bool) -> f64 {
    f64::from(u8::from(so))
}

/// Oven-dry mass to the kilogram: what stays, and the water that Portland cement binds.
fn dry(item: &Ingredient) -> f64 {
    item.dry_share() + BOUND_WATER * item.role.portland_share().number()
}
