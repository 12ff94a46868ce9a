//! Two mixes side by side.

use mix::{Recipe, Role};
use quantities::Volume;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision, StockUnit, Supply};
use workshop::planning::draws::{Materials, per_litre};

use super::proportions::{lighter, worked_out};
use super::written::Reading;
use super::{Calculation, Known, as_it_is, asked, line};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::WrittenFoam;
use crate::wire::calculations::mixture::{AskedComparison, AskedMix, Comparison, ContentPair};

as_it_is!(AskedComparison);

impl Calculation for AskedComparison {
    type Found = Comparison;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.first.revision.iter().chain(self.second.revision.iter()).collect()
    }

    fn work_out(&self, known: &Known) -> Result<Comparison, Vec<Fault>> {
        let mut reading = Reading::default();
        let first = reading.keep(known.mix("/first", asked!(self.first)));
        let second = reading.keep(known.mix("/second", asked!(self.second)));
        let (first, second) = reading.done(first.zip(second))?;
        let (first_cost, first_remark) = told(cost(known, &self.first, &first));
        let (second_cost, second_remark) = told(cost(known, &self.second, &second));
        let pairs = pairs(&first, &second);
        let first = worked_out(self.first.revision.clone(), &first);
        let second = worked_out(self.second.revision.clone(), &second);
        let mut worked = Vec::new();
        let (mine, its) = (first.wet_density_kg_m3, second.wet_density_kg_m3);
        let lighter_wet = lighter("fresh", mine, its, &mut worked).unwrap_or_default();
        let dry = first.oven_dry_density_kg_m3.zip(second.oven_dry_density_kg_m3);
        let lighter_dry = dry.and_then(|(mine, its)| lighter("oven-dry", mine, its, &mut worked));
        let cheaper = first_cost.zip(second_cost).filter(|(_, its)| *its > 0.0).map(|(mine, its)| {
            let per_cent = (its - mine) / its * 100.0;
            worked.push(line("cheaper", "(Kr - K) / Kr", format!("({its:.0} - {mine:.0}) / {its:.0}"), per_cent, "%"));
            per_cent
        });
        Ok(Comparison {
            first,
            second,
            ingredients: pairs,
            lighter_wet_percent: lighter_wet,
            lighter_oven_dry_percent: lighter_dry,
            first_cost_minor_m3: first_cost,
            first_cost_remark: first_remark,
            second_cost_minor_m3: second_cost,
            second_cost_remark: second_remark,
            cheaper_percent: cheaper,
            worked,
        })
    }
}

fn pairs(first: &Recipe, second: &Recipe) -> Vec<ContentPair> {
    let contents = |mix: &Recipe| -> Vec<(String, f64)> {
        let foam = mix.foam().map(|foam| ("foam".to_owned(), foam.content.kg_m3()));
        mix.proportions().iter().map(|p| (p.written.name.clone(), p.content.kg_m3())).chain(foam).collect()
    };
    let (mine, its) = (contents(first), contents(second));
    // Added up from 0: the sum of no numbers at all is -0.
    let sum =
        |of: &[(String, f64)], name: &str| of.iter().filter(|(n, _)| n == name).fold(0.0, |sum, (_, kg)| sum + kg);
    let mut names: Vec<&String> = Vec::new();
    for (name, _) in mine.iter().chain(&its) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let pair = |name: &&String| {
        let (first_kg_m3, second_kg_m3) = (sum(&mine, name), sum(&its, name));
        ContentPair {
            material: (*name).clone(),
            first_kg_m3,
            second_kg_m3,
            difference_kg_m3: first_kg_m3 - second_kg_m3,
        }
    };
    names.iter().map(pair).collect()
}

/// A cost, or the remark why there is none.
fn told(cost: Result<f64, String>) -> (Option<f64>, Option<String>) {
    match cost {
        Ok(cost) => (Some(cost), None),
        Err(why) => (None, Some(why)),
    }
}

/// Material cost of a cubic metre at the catalogue's pack prices, minor units, foaming concentrate and all: two costs are
/// only compared where both are whole. An error says what keeps it from being known.
fn cost(known: &Known, asked: &AskedMix, mix: &Recipe) -> Result<f64, String> {
    let materials = known.by_id();
    match (&asked.revision, &asked.recipe) {
        (Some(text), _) => {
            let revision = known.revision("", text).map_err(|_| format!("there is no revision {}", text.0))?;
            revision_cost(revision, &materials).ok_or_else(|| format!("not every material of {} has a price", text.0))
        }
        (None, written) => recipe_cost(mix, written.as_ref().and_then(|recipe| recipe.foam.as_ref()), &materials),
    }
}

/// The same of a recipe written out. Its foam is made with the water of the mix.
fn recipe_cost(mix: &Recipe, written: Option<&WrittenFoam>, materials: &Materials) -> Result<f64, String> {
    let price = |name: &str| {
        let material = materials.values().find(|material| material.id.as_str() == name).copied();
        material.and_then(price_per_kg).ok_or_else(|| format!("the catalogue has no price of '{name}'"))
    };
    let parts: Result<f64, String> =
        mix.proportions().iter().map(|p| Ok(price(&p.written.name)? * p.content.kg_m3())).sum();
    let Some(foam) = mix.foam() else { return parts };
    let concentrate = written
        .and_then(|foam| foam.concentrate.as_ref())
        .ok_or("the recipe does not say which concentrate its foam is made of: name it as the catalogue does")?;
    let dilution = foam.dilution.ok_or("the recipe does not say how its foam's concentrate is diluted")?;
    let solution = dilution.solution(foam.content * Volume::CUBIC_METRE);
    let concentrate_kg = (dilution.concentrate_relative_density.density() * solution.concentrate).kg();
    let water = mix.proportions().iter().find(|p| p.written.role == Role::Water);
    let water = water.map_or(Ok(0.0), |water| price(&water.written.name))?;
    Ok(parts? + price(concentrate)? * concentrate_kg + water * solution.water.kg())
}

/// Material cost of a cubic metre of a revision, foaming concentrate and all, minor units.
pub fn revision_cost(revision: &MixRevision, materials: &Materials) -> Option<f64> {
    let drawn = per_litre(revision, materials).ok()?;
    let price = |material: &Material| material.pack_price.get() as f64 / material.pack.get().max(1) as f64;
    drawn.iter().map(|(id, amount)| Some(price(materials.get(id)?) * amount * 1000.0)).sum()
}

/// Price of a kilogram of a material by its pack, minor units; nothing for what is counted in pieces or by area.
pub fn price_per_kg(material: &Material) -> Option<f64> {
    if material.supply == Supply::Mains {
        return Some(0.0);
    }
    let grams = match material.unit {
        StockUnit::Gram => material.pack.get() as f64,
        StockUnit::Millilitre => material.pack.get() as f64 * material.relative_density?,
        StockUnit::SquareMillimetre | StockUnit::Piece => return None,
    };
    (grams > 0.0).then(|| material.pack_price.get() as f64 / grams * 1000.0)
}
