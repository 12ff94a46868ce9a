//! What the mix library works out for a revision: its proportions at their own yield, and a batch sheet for any load.

use actix_web::get;
use actix_web::web::{Data, Path, Query};
use mix::{
    Cement, Dilution, Faults, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, Target, batch_sheet,
};
use quantities::{Density, Mass, OutOfRange, Ratio, RelativeDensity, Volume};
use serde::Deserialize;
use store::{Record, Tx, site};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Foam, Material, MaterialKind, MixRevision};
use workshop::planning::draws::Materials;

use super::revisions::named;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::proportions::{BatchSheet, Content, FoamContent, Proportions, SheetFoam, SheetLine, WorkedLine};
use crate::wire::{Id, RevisionText};

/// A revision as the mix library reads a recipe on record: contents of a cubic metre, foam filling what they leave of it.
///
/// # Errors
/// Everything that keeps it from being a recipe.
pub fn recipe(revision: &MixRevision, materials: &Materials) -> Result<Recipe, Vec<Fault>> {
    let draft = draft(revision, materials).map_err(|fault| vec![fault])?;
    Recipe::new(&draft).map_err(|faults| of_library(&faults))
}

/// Faults of the mix library as ours.
fn of_library(faults: &Faults) -> Vec<Fault> {
    faults.all().iter().map(|f| Fault::at(f.field.clone(), format!("{}; {}", f.what, f.remedy))).collect()
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
    Ok((role(material.kind), relative))
}

/// What a kind of material is to a mix. The catalogue does not say how much of a blended cement is Portland: all of it is
/// taken to be, which puts the oven-dry density rather too high than too low.
fn role(kind: MaterialKind) -> Role {
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

/// The revision of the path as a recipe.
async fn read_recipe(tx: &Tx, mix: &str, number: i64) -> Result<(RevisionText, Recipe), Problem> {
    let id = named(mix, number)?;
    let found = MixRevision::find(tx, &id).await?.ok_or_else(|| Problem::not_found(MixRevision::NOUN, &id))?;
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    Ok((RevisionText::of(&id), recipe(&found.value, &by_id).map_err(Problem::faulty)?))
}

#[utoipa::path(
    tag = "mixes", summary = "Work out a revision's proportions",
    description = "Absolute volumes, foam, wet and oven-dry density, water/cement, each with the line it was worked out by.",
    params(("id" = inline(Id), Path, description = "The mix"), ("number" = i64, Path, description = "The revision's number", minimum = 1)),
    responses((status = 200, description = "The proportions", body = Proportions))
)]
#[get("/mixes/{id}/revisions/{number}/proportions")]
async fn proportions(state: Data<State>, path: Path<(String, i64)>) -> Answer {
    let (mix, number) = path.into_inner();
    let tx = state.store.read().await?;
    let (revision, recipe) = read_recipe(&tx, &mix, number).await?;
    tx.rollback().await?;
    Reply::json(&worked_out(revision, &recipe))
}

fn worked_out(revision: RevisionText, recipe: &Recipe) -> Proportions {
    let ingredients = recipe.proportions().iter().map(|p| Content {
        material: p.written.name.clone(),
        content_kg_m3: p.content.kg_m3(),
        volume_l_m3: p.absolute_volume().litres(),
    });
    let solution = recipe.per_litre();
    let foam = recipe.foam().map(|foam| FoamContent {
        volume_l_m3: foam.volume.number() * 1000.0,
        content_kg_m3: foam.content.kg_m3(),
        density_kg_m3: foam.density.kg_m3(),
        concentrate_ml_m3: solution.concentrate_ml * 1000.0,
        water_kg_m3: solution.foam_water_g,
    });
    let dry = recipe.oven_dry_density();
    let ratios = recipe.water_ratios().ok();
    Proportions {
        revision,
        ingredients: ingredients.collect(),
        foam,
        yield_l_m3: recipe.making().litres(),
        air_percent: recipe.air().per_cent(),
        wet_density_kg_m3: recipe.wet_density().kg_m3(),
        oven_dry_density_kg_m3: dry.as_ref().ok().map(|d| d.kg_m3()),
        oven_dry_remark: dry.err().map(|fault| format!("{}; {}", fault.what, fault.remedy)),
        water_cement: ratios.map(|r| r.cement_without_foam.number()),
        water_cement_with_foam: ratios.map(|r| r.cement_with_foam.number()),
        remarks: recipe.remarks(),
        worked: recipe.worked().into_iter().map(WorkedLine::from).collect(),
    }
}

/// How large a load.
#[derive(Clone, Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Load {
    /// Litres of the load, above 0, at most 10000, with a point before decimals.
    #[param(min_length = 1, max_length = 12, example = "31.5")]
    pub litres: String,
}

#[utoipa::path(
    tag = "mixes", summary = "Weigh out a load",
    description = "What to weigh for so many litres of a revision, in mixing order, rounded to the workshop's scale.",
    params(("id" = inline(Id), Path, description = "The mix"), ("number" = i64, Path, description = "The revision's number", minimum = 1), Load),
    responses((status = 200, description = "The sheet", body = BatchSheet))
)]
#[get("/mixes/{id}/revisions/{number}/batch")]
async fn batch(state: Data<State>, path: Path<(String, i64)>, load: Query<Load>) -> Answer {
    let (mix, number) = path.into_inner();
    let litres = load_of(&load.litres)?;
    let tx = state.store.read().await?;
    let (revision, recipe) = read_recipe(&tx, &mix, number).await?;
    let site = site::get(&tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?;
    tx.rollback().await?;
    let sheet = batch_sheet(&recipe, litres, site.value.scale_resolution);
    let sheet = sheet.map_err(|faults| Problem::bad_request(of_library(&faults)))?;
    Reply::json(&shown(revision, sheet))
}

fn load_of(text: &str) -> Result<Volume, Problem> {
    let fault = || {
        let detail = format!("'{text}' is no load: give litres above 0, at most 10000, as 31.5");
        Problem::bad_request(vec![Fault::at("/query/litres", detail)])
    };
    let litres: f64 = text.parse().map_err(|_| fault())?;
    if !(litres > 0.0 && litres <= 10_000.0) {
        return Err(fault());
    }
    Volume::from_litres(litres).map_err(|_| fault())
}

fn shown(revision: RevisionText, sheet: mix::BatchSheet) -> BatchSheet {
    BatchSheet {
        revision,
        volume_l: sheet.litres.litres(),
        lines: sheet
            .lines
            .into_iter()
            .map(|l| SheetLine { material: l.name, exact_g: l.exact.grams(), mass_g: l.weighed.get() })
            .collect(),
        foam: sheet.foam.map(|f| SheetFoam {
            volume_l: f.volume.litres(),
            mass_g: f.weighed.get(),
            density_kg_m3: f.density.kg_m3(),
            concentrate_ml: f.concentrate.map(quantities::Millilitres::get),
            water_g: f.water.get(),
        }),
        wet_density_kg_m3: sheet.wet_density.kg_m3(),
        remarks: sheet.remarks,
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(proportions).service(batch);
}

#[cfg(test)]
mod tests;
