//! From a recipe as written to the mix library's own, with what the catalogue knows of its materials.

use mix::fibre::{self, Fibre};
use mix::pigment::{self, Dose};
use mix::stated::{self, Stated};
use mix::{Cement, Dilution, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, Target};
use quantities::{Density, Fresh, OfMaterial, Ratio, RelativeDensity, Volume, written};
use workshop::Fault;
use workshop::catalogue::Material;
use workshop::planning::draws::Materials;

use super::written::Reading;
use super::{all_at, faults_of, renamed, role_of, said};
use crate::wire::calculations::recipe::{IngredientKind, WrittenFoam, WrittenIngredient, WrittenRecipe};

/// Limits of the wet density where a recipe gives none: the rise that is allowed on the way to the mould.
const USUAL_BAND: f64 = mix::correction::MOST_RISE_PER_CENT / 100.0;

/// The recipe, or every fault of what was written, each at its place under `place`.
///
/// # Errors
/// Amounts that are not clear, materials nobody knows, and what keeps it from being a mix.
pub fn read(recipe: &WrittenRecipe, catalogue: &Materials, place: &str) -> Result<Recipe, Vec<Fault>> {
    let mut reading = Reading::default();
    let stated = reading.each(&format!("{place}/ingredients"), &recipe.ingredients, |reading, at, item| {
        ingredient(item, catalogue, at, reading)
    });
    let foam = reading.perhaps(recipe.foam.as_ref(), |reading, foam| foam_of(foam, &format!("{place}/foam"), reading));
    let target = target_of(recipe, place, &mut reading);
    let air = reading.percent(&format!("{place}/air_percent"), recipe.air_percent);
    let claim =
        reading.perhaps(recipe.claimed_yield.as_ref(), |r, text| r.volume(&format!("{place}/claimed_yield"), text));
    let parts = stated.zip(foam).zip(target).zip(air).zip(claim);
    let ((((stated, foam), target), air), claim) = reading.done(parts)?;
    let making = stated::making(&stated).map_err(|faults| at_place(faults_of(&faults), place))?;
    pigments(recipe, &making.ingredients, place)?;
    let draft = RecipeDraft {
        ingredients: making.ingredients,
        air,
        foam,
        target,
        claimed_yield: claim.or(making.claimed_yield),
    };
    Recipe::new(&draft).map_err(|faults| at_place(faults_of(&faults), place))
}

/// The library's places as those of the form.
const NAMES: [(&str, &str); 7] = [
    ("/air", "/air_percent"),
    ("/target/wet", "/wet_density"),
    ("/target", "/wet_density"),
    ("/mass", "/amount"),
    ("/water_share", "/water_percent"),
    ("/role/portland", "/portland_percent"),
    ("/absorption", "/absorption_percent"),
];

fn at_place(faults: Vec<Fault>, place: &str) -> Vec<Fault> {
    let under = |fault: Fault| Fault { pointer: format!("{place}{}", fault.pointer), ..fault };
    renamed(faults, &NAMES).into_iter().map(under).collect()
}

fn ingredient(item: &WrittenIngredient, catalogue: &Materials, at: &str, reading: &mut Reading) -> Option<Stated> {
    let known = catalogue.iter().find(|(id, _)| id.as_str() == item.material).map(|(_, material)| *material);
    let named = Named {
        material: &item.material,
        kind: item.kind,
        portland_percent: item.portland_percent,
        relative_density: item.relative_density,
        known,
    };
    let role = named.role(at, reading);
    let relative = named.relative_density(role, at, reading);
    let bulk = reading
        .perhaps(item.bulk_density.as_ref(), |r, text| r.density::<OfMaterial>(&format!("{at}/bulk_density"), text));
    let amount = bulk.and_then(|bulk| reading.take(&format!("{at}/amount"), stated::read(&item.amount, bulk)));
    let water = reading.percent(&format!("{at}/water_percent"), item.water_percent);
    let absorption = reading.percent(&format!("{at}/absorption_percent"), item.absorption_percent);
    if let Some(zirconia) = item.zirconia_percent.and_then(|z| reading.percent(&format!("{at}/zirconia_percent"), z)) {
        let checked = fibre::check(Fibre::Glass { zirconia }).map_err(|f| said(&f));
        reading.take(&format!("{at}/zirconia_percent"), checked);
    }
    Some(Stated {
        name: item.material.clone(),
        role: role?,
        amount: amount?,
        relative_density: relative?,
        water_share: water?,
        absorption: absorption?,
    })
}

/// What a kind of ingredient is to the mix; all of a blended cement is taken to be Portland.
pub(super) fn role_of_kind(kind: IngredientKind) -> Role {
    use IngredientKind as K;
    match kind {
        K::PortlandCement => Role::Cement(Cement::Portland),
        K::BlendedCement => Role::Cement(Cement::Blended { portland: Ratio::ONE }),
        K::RapidCement => Role::Cement(Cement::RapidSettingCsa),
        K::Addition => Role::Addition,
        K::Water => Role::Water,
        K::Aggregate => Role::Aggregate,
        K::LightweightAggregate => Role::LightweightAggregate,
        K::Pigment => Role::Pigment,
        K::Fibre => Role::Fibre,
        K::Admixture => Role::Admixture,
    }
}

/// A material as a form names it, with what the form says of it and what the catalogue knows.
pub(super) struct Named<'a> {
    pub(super) material: &'a str,
    pub(super) kind: Option<IngredientKind>,
    pub(super) portland_percent: Option<f64>,
    pub(super) relative_density: Option<f64>,
    pub(super) known: Option<&'a Material>,
}

impl Named<'_> {
    /// What it is to the mix.
    pub(super) fn role(&self, at: &str, reading: &mut Reading) -> Option<Role> {
        let role = match (self.kind, self.known) {
            (Some(kind), _) => role_of_kind(kind),
            (None, Some(material)) => role_of(material.kind),
            (None, None) => {
                let detail = format!("'{}' is no material of the catalogue: say what it is to the mix", self.material);
                reading.push(format!("{at}/kind"), detail);
                return None;
            }
        };
        match (role, self.portland_percent) {
            (Role::Cement(Cement::Blended { .. }), Some(share)) => {
                let portland = reading.percent(&format!("{at}/portland_percent"), share)?;
                Some(Role::Cement(Cement::Blended { portland }))
            }
            (Role::Cement(Cement::Blended { .. }), None) | (_, None) => Some(role),
            (_, Some(_)) => {
                reading.push(format!("{at}/portland_percent"), "is for a blended cement only: leave it out");
                None
            }
        }
    }

    /// Its relative density; the usual one for water and Portland cement.
    pub(super) fn relative_density(
        &self,
        role: Option<Role>,
        at: &str,
        reading: &mut Reading,
    ) -> Option<RelativeDensity> {
        if let Some(number) = self.relative_density.or_else(|| self.known?.relative_density) {
            return reading.relative_density(&format!("{at}/relative_density"), number);
        }
        match role? {
            Role::Water => Some(RelativeDensity::WATER),
            Role::Cement(Cement::Portland) => Some(RelativeDensity::PORTLAND),
            _ => {
                let detail =
                    format!("'{}' needs its relative density: give it from the maker's data sheet", self.material);
                reading.push(format!("{at}/relative_density"), detail);
                None
            }
        }
    }
}

fn foam_of(foam: &WrittenFoam, at: &str, reading: &mut Reading) -> Option<FoamDraft> {
    let density = reading.density::<OfMaterial>(&format!("{at}/density"), &foam.density);
    let amount = match foam.amount.as_deref().map(str::trim) {
        None => Some(FoamAmount::ToTarget),
        Some("rest") => Some(FoamAmount::Filling),
        Some(text) => match written::mass(text) {
            Ok(mass) => Some(FoamAmount::Mass(mass)),
            Err(quantities::Unclear::UnknownUnit { .. }) => {
                reading.take(&format!("{at}/amount"), written::volume(text)).map(FoamAmount::Volume)
            }
            unclear => reading.take(&format!("{at}/amount"), unclear).map(FoamAmount::Mass),
        },
    };
    let relative =
        reading.relative_density(&format!("{at}/concentrate_relative_density"), foam.concentrate_relative_density);
    let dilution = reading.perhaps(foam.dilution, |reading, parts| {
        let water = reading.take(&format!("{at}/dilution"), Volume::from_litres(parts));
        let concentrate = reading.take(&format!("{at}/dilution"), Volume::from_litres(1.0));
        Some(Dilution { concentrate: concentrate?, water: water?, concentrate_relative_density: relative? })
    });
    Some(FoamDraft { density: density?, water_counted: foam.water_counted, amount: amount?, dilution: dilution? })
}

/// Wet density to aim at with its limits; limits without an aim are a fault.
fn target_of(recipe: &WrittenRecipe, place: &str, reading: &mut Reading) -> Option<Option<Target>> {
    let mut read = |name: &str, text: &Option<String>| {
        reading.perhaps(text.as_ref(), |r, text| r.density::<Fresh>(&format!("{place}/{name}"), text))
    };
    let wet = read("wet_density", &recipe.wet_density);
    let low = read("wet_density_low", &recipe.wet_density_low);
    let high = read("wet_density_high", &recipe.wet_density_high);
    match (wet?, low?, high?) {
        (None, None, None) => Some(None),
        (None, _, _) => {
            reading.push(format!("{place}/wet_density"), "is missing: give it where its limits are given");
            None
        }
        (Some(wet), low, high) => {
            let at = format!("{place}/wet_density");
            let share = |by: f64| Density::from_kg_m3(wet.kg_m3() * by);
            let lower = low.map_or_else(|| reading.take(&at, share(1.0 - USUAL_BAND)), Some);
            let upper = high.map_or_else(|| reading.take(&at, share(1.0 + USUAL_BAND)), Some);
            Some(Some(Target { wet, lower: lower?, upper: upper? }))
        }
    }
}

/// Pigments that state their saturation, together against the lowest of them.
fn pigments(recipe: &WrittenRecipe, made: &[Ingredient], place: &str) -> Result<(), Vec<Fault>> {
    let cementitious = made.iter().filter(|i| i.role.is_cementitious()).map(|i| i.mass).sum();
    let doses = recipe.ingredients.iter().zip(made).filter(|(_, made)| made.role == Role::Pigment);
    let doses: Vec<Dose> = doses
        .filter_map(|(written, made)| {
            let solid = made.mass * made.free_water().rest();
            let of_cementitious = solid.over(cementitious).ok()?;
            Some(Dose { of_cementitious, most_per_cent: written.saturation_percent.unwrap_or(f64::INFINITY) })
        })
        .collect();
    pigment::check(&doses).map_err(|faults| all_at(&format!("{place}/ingredients"), &faults))
}
