//! A revision on record as the mix library's recipe.

use mix::{Cement, Dilution, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, Target};
use quantities::{Density, Mass, OutOfRange, Ratio, RelativeDensity, Volume};
use workshop::Fault;
use workshop::catalogue::{Foam, MaterialKind, MixRevision};
use workshop::planning::draws::Materials;

use super::faults_of;

/// A revision as the mix library reads a recipe on record: contents of a cubic metre, foam filling what they leave of it.
///
/// # Errors
/// Everything that keeps it from being a recipe.
pub fn recipe(revision: &MixRevision, materials: &Materials) -> Result<Recipe, Vec<Fault>> {
    let draft = draft(revision, materials).map_err(|fault| vec![fault])?;
    Recipe::new(&draft).map_err(|faults| faults_of(&faults))
}

fn draft(revision: &MixRevision, materials: &Materials) -> Result<RecipeDraft, Fault> {
    let outside = |pointer: &'static str| move |error: OutOfRange| Fault::at(pointer, error.to_string());
    let mut ingredients = Vec::new();
    for part in &revision.ingredients {
        let (role, relative) = known(materials, &part.material)?;
        let mass = Mass::from_kg(part.kg_m3).map_err(outside("/ingredients"))?;
        ingredients.push(Ingredient::new(part.material.as_str(), role, mass, relative));
    }
    let density = |kg_m3| Density::from_kg_m3(kg_m3).map_err(outside("/wet_density_kg_m3"));
    Ok(RecipeDraft {
        ingredients,
        air: Ratio::from_number(revision.air_percent / 100.0).map_err(outside("/air_percent"))?,
        foam: revision.foam.as_ref().map(|foam| foam_draft(foam, materials)).transpose()?,
        target: Some(Target {
            wet: density(revision.wet_density_kg_m3)?,
            lower: density(revision.wet_density_low_kg_m3)?,
            upper: density(revision.wet_density_high_kg_m3)?,
        }),
        claimed_yield: Some(Volume::CUBIC_METRE),
    })
}

fn foam_draft(foam: &Foam, materials: &Materials) -> Result<FoamDraft, Fault> {
    let outside = |error: OutOfRange| Fault::at("/foam", error.to_string());
    let (_, relative) = known(materials, &foam.concentrate)?;
    let litre = |litres| Volume::from_litres(litres).map_err(outside);
    Ok(FoamDraft {
        density: Density::from_kg_m3(foam.density_kg_m3).map_err(outside)?,
        water_counted: foam.water_counted,
        amount: FoamAmount::Filling,
        dilution: Some(Dilution {
            concentrate: litre(1.0)?,
            water: litre(foam.dilution)?,
            concentrate_relative_density: relative,
        }),
    })
}

/// A material's role in a mix and its relative density.
fn known(materials: &Materials, id: &workshop::ids::MaterialId) -> Result<(Role, RelativeDensity), Fault> {
    let detail = format!("the material '{id}' needs a relative density to be proportioned: give it one");
    let without = || Fault::at("/ingredients", detail.clone());
    let material = materials.get(id).ok_or_else(without)?;
    let relative = material.relative_density.ok_or_else(without)?;
    let relative =
        RelativeDensity::from_number(relative).map_err(|error| Fault::at("/ingredients", error.to_string()))?;
    Ok((role_of(material.kind), relative))
}

/// What a kind of material is to a mix. The catalogue does not say how much of a blended cement is Portland: all of it is
/// taken to be, which puts the oven-dry density rather too high than too low.
pub fn role_of(kind: MaterialKind) -> Role {
    match kind {
        MaterialKind::PortlandCement => Role::Cement(Cement::Portland),
        MaterialKind::BlendedCement => Role::Cement(Cement::Blended { portland: Ratio::ONE }),
        MaterialKind::RapidCement => Role::Cement(Cement::RapidSettingCsa),
        MaterialKind::Water => Role::Water,
        MaterialKind::Aggregate => Role::Aggregate,
        MaterialKind::LightweightAggregate => Role::LightweightAggregate,
        MaterialKind::Fibre => Role::Fibre,
        MaterialKind::Pigment => Role::Pigment,
        MaterialKind::FoamingConcentrate
        | MaterialKind::Admixture
        | MaterialKind::Mesh
        | MaterialKind::Hardware
        | MaterialKind::ReleaseOil => Role::Admixture,
    }
}

#[cfg(test)]
mod tests;
