//! What a litre of a mix draws from stock, in each material's own unit.
//!
//! One kg in a cubic metre is one gram in a litre, so proportions become grams as they are; a material counted in
//! millilitres is divided by its relative density. The foam fills what the ingredients and the entrapped air leave of the
//! cubic metre; its mass is concentrate and water in the stated dilution by volume.

use std::collections::BTreeMap;

use crate::catalogue::{Foam, Material, MaterialKind, MixRevision, StockUnit, Supply};
use crate::fault::Fault;
use crate::ids::MaterialId;

/// Materials by id.
pub type Materials<'a> = BTreeMap<&'a MaterialId, &'a Material>;

/// Whether any of a revision's ingredients is of a kind that is wanted.
pub fn has_kind(revision: &MixRevision, materials: &Materials, wanted: impl Fn(MaterialKind) -> bool) -> bool {
    revision.ingredients.iter().any(|i| materials.get(&i.material).is_some_and(|m| wanted(m.kind)))
}

/// Whether a revision's cement sets rapidly: any of it does.
pub fn is_rapid(revision: &MixRevision, materials: &Materials) -> bool {
    has_kind(revision, materials, |kind| kind == MaterialKind::RapidCement)
}

/// The foam of a cubic metre of mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoamShare {
    /// Foam, m³ in a m³ of mix.
    pub volume: f64,
    /// Concentrate in it, kg in a m³ of mix.
    pub concentrate_kg_m3: f64,
    /// Water in it, kg in a m³ of mix.
    pub water_kg_m3: f64,
}

/// What a litre of the revision draws of counted materials, in their own units. Mains water and the like are left out.
///
/// # Errors
/// Every ingredient that is not there, lacks a relative density it needs or is counted in a unit that has no mass; and
/// foam for which there is no room.
pub fn per_litre(revision: &MixRevision, materials: &Materials) -> Result<BTreeMap<MaterialId, f64>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut masses: Vec<(&MaterialId, f64)> = revision.ingredients.iter().map(|i| (&i.material, i.kg_m3)).collect();
    if let Some(foam) = &revision.foam {
        match foam_share(revision, foam, materials) {
            Ok(share) => {
                masses.push((&foam.concentrate, share.concentrate_kg_m3));
                masses.extend(mixing_water(revision, materials).map(|water| (water, share.water_kg_m3)));
            }
            Err(found) => faults.extend(found),
        }
    }
    let mut drawn = BTreeMap::new();
    for (id, kg_m3) in masses {
        match in_own_unit(id, kg_m3, revision, materials) {
            Ok(Some(amount)) => *drawn.entry(id.clone()).or_insert(0.0) += amount,
            Ok(None) => {}
            Err(fault) => faults.push(fault),
        }
    }
    faults.sort();
    faults.dedup();
    if faults.is_empty() { Ok(drawn) } else { Err(faults) }
}

/// The foam of a cubic metre: the room that ingredients and entrapped air leave, filled at the foam's density.
///
/// # Errors
/// Ingredients without a relative density; ingredients that leave no room for foam.
pub fn foam_share(revision: &MixRevision, foam: &Foam, materials: &Materials) -> Result<FoamShare, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut density = |id: &MaterialId| match materials.get(id).and_then(|m| m.relative_density) {
        Some(relative) => relative,
        None => {
            faults.push(no_density(revision, id));
            1.0
        }
    };
    let filled: f64 = revision.ingredients.iter().map(|i| i.kg_m3 / (1000.0 * density(&i.material))).sum();
    let concentrate_density = density(&foam.concentrate);
    let volume = 1.0 - filled - revision.air_percent / 100.0;
    if faults.is_empty() && volume <= 0.0 {
        let detail = format!(
            "the ingredients and air of {} fill {:.3} m³ of a cubic metre, so there is no room for foam: lower them or leave the foam out",
            revision.id,
            1.0 - volume
        );
        faults.push(Fault::at(format!("/revisions/{}/foam", revision.id), detail));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    // Litres of concentrate in a cubic metre of mix; each brings `dilution` litres of water.
    let concentrate_l = volume * foam.density_kg_m3 / (concentrate_density + foam.dilution);
    Ok(FoamShare {
        volume,
        concentrate_kg_m3: concentrate_l * concentrate_density,
        water_kg_m3: concentrate_l * foam.dilution,
    })
}

/// The water foam is made with: the mix's own, else the first water of the catalogue.
pub fn mixing_water<'a>(revision: &'a MixRevision, materials: &Materials<'a>) -> Option<&'a MaterialId> {
    let is_water = |id: &&MaterialId| materials.get(*id).is_some_and(|m| m.kind == MaterialKind::Water);
    revision.ingredients.iter().map(|i| &i.material).find(is_water).or_else(|| materials.keys().copied().find(is_water))
}

/// kg/m³ as the material's own unit in a litre; nothing where the material is not counted.
fn in_own_unit(
    id: &MaterialId,
    kg_m3: f64,
    revision: &MixRevision,
    materials: &Materials,
) -> Result<Option<f64>, Fault> {
    let place = || format!("/revisions/{}/ingredients/{id}", revision.id);
    let Some(material) = materials.get(id) else {
        return Err(Fault::at(
            place(),
            format!("{} needs the material '{id}', which is not there: add it", revision.id),
        ));
    };
    match (material.supply, material.unit, material.relative_density) {
        (Supply::Mains, _, _) => Ok(None),
        (_, StockUnit::Gram, _) => Ok(Some(kg_m3)),
        (_, StockUnit::Millilitre, Some(relative)) => Ok(Some(kg_m3 / relative)),
        (_, StockUnit::Millilitre, None) => Err(no_density(revision, id)),
        (_, StockUnit::SquareMillimetre | StockUnit::Piece, _) => Err(Fault::at(
            place(),
            format!("{} weighs out '{id}', which is counted by area or piece: count it in g or ml", revision.id),
        )),
    }
}

fn no_density(revision: &MixRevision, id: &MaterialId) -> Fault {
    let detail = format!("{} needs the relative density of '{id}': give the material one", revision.id);
    Fault::at(format!("/revisions/{}/ingredients/{id}", revision.id), detail)
}
