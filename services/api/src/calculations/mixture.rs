//! Two mixes side by side.

use mix::Recipe;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision, StockUnit, Supply};
use workshop::planning::draws::{Materials, per_litre};

use super::proportions::{lighter, worked_out};
use super::written::Reading;
use super::{Calculation, Known, as_it_is, asked, line};
use crate::wire::basics::RevisionText;
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
        let costs = (cost(known, &self.first, &first), cost(known, &self.second, &second));
        let pairs = pairs(&first, &second);
        let first = worked_out(self.first.revision.clone(), &first);
        let second = worked_out(self.second.revision.clone(), &second);
        let mut worked = Vec::new();
        let (mine, its) = (first.wet_density_kg_m3, second.wet_density_kg_m3);
        let lighter_wet = lighter("fresh", mine, its, &mut worked).unwrap_or_default();
        let dry = first.oven_dry_density_kg_m3.zip(second.oven_dry_density_kg_m3);
        let lighter_dry = dry.and_then(|(mine, its)| lighter("oven-dry", mine, its, &mut worked));
        let cheaper = costs.0.zip(costs.1).filter(|(_, its)| *its > 0.0).map(|(mine, its)| {
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
            first_cost_minor_m3: costs.0,
            second_cost_minor_m3: costs.1,
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
    let sum = |of: &[(String, f64)], name: &str| of.iter().filter(|(n, _)| n == name).map(|(_, kg)| kg).sum::<f64>();
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

/// Material cost of a cubic metre at the catalogue's pack prices, minor units; nothing where a price is not known. A recipe
/// written out does not say which material its foam is made of: the foam is left out of its cost.
fn cost(known: &Known, asked: &AskedMix, mix: &Recipe) -> Option<f64> {
    let materials = known.by_id();
    match &asked.revision {
        Some(text) => revision_cost(known.revision("", text).ok()?, &materials),
        None => {
            let named = |name: &str| materials.values().find(|m| m.id.as_str() == name).copied();
            mix.proportions().iter().map(|p| Some(price_per_kg(named(&p.written.name)?)? * p.content.kg_m3())).sum()
        }
    }
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
