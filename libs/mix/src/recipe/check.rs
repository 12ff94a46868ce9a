//! What can be wrong with a recipe as written.

use super::{Recipe, RecipeDraft};
use crate::pigment::{self, Dose};
use crate::{Cement, Fault, Ingredient, Role};
use quantities::{Mass, Ratio, Volume};

/// The most air, other than a foam's, that is still concrete.
const MOST_AIR: f64 = 0.3;

pub(super) fn faults(draft: &RecipeDraft) -> Vec<Fault> {
    let mut found = Vec::new();
    for (i, item) in draft.ingredients.iter().enumerate() {
        ingredient(&format!("/ingredients/{i}"), item, &mut found);
    }
    needed(draft, &mut found);
    pigment_dose(draft, &mut found);
    air("/air", draft.air, &mut found);
    if let Some(target) = draft.target
        && !(target.lower <= target.wet && target.wet <= target.upper)
    {
        let what = format!("{} is not between {} and {}", target.wet, target.lower, target.upper);
        found.push(Fault::new("/target", what, "give lower limit, target and upper limit in rising order"));
    }
    if draft.claimed_yield == Some(Volume::ZERO) {
        found.push(Fault::new("/claimed_yield", "a making cannot give nothing", "leave it out, or give litres"));
    }
    found
}

fn needed(draft: &RecipeDraft, found: &mut Vec<Fault>) {
    let has = |wanted: fn(Role) -> bool| draft.ingredients.iter().any(|i| wanted(i.role) && i.mass > Mass::ZERO);
    if !has(|role| matches!(role, Role::Cement(_))) {
        found.push(Fault::new("/ingredients", "there is no cement", "add a cement with its mass"));
    }
    if !has(|role| role == Role::Water) {
        found.push(Fault::new("/ingredients", "there is no mixing water", "add water with its mass"));
    }
}

/// Solid pigment of all kinds together against the ceiling, in per cent of cementitious material.
fn pigment_dose(draft: &RecipeDraft, found: &mut Vec<Fault>) {
    let solids: Mass = draft
        .ingredients
        .iter()
        .filter(|item| item.role == Role::Pigment)
        .map(|item| item.mass * item.dosed_share())
        .sum();
    let cementitious: Mass =
        draft.ingredients.iter().filter(|item| item.role.is_cementitious()).map(|item| item.mass).sum();
    if solids > Mass::ZERO
        && let Ok(of_cementitious) = solids.over(cementitious)
        && let Err(faults) = pigment::check(&[Dose { of_cementitious, most_per_cent: f64::INFINITY }])
    {
        found.extend(faults.all().iter().map(|fault| Fault { field: "/ingredients".into(), ..fault.clone() }));
    }
}

/// Air, at its pointer.
pub(crate) fn air(at: &str, air: Ratio, found: &mut Vec<Fault>) {
    if air.number() > MOST_AIR {
        let what = format!("{:.0} % of air is more than {:.0} %", air.per_cent(), MOST_AIR * 100.0);
        found.push(Fault::new(at, what, "give entrapped or entrained air only; foam is given as foam"));
    }
}

/// An ingredient by itself, whatever its mass, at its pointer.
pub(crate) fn ingredient(at: &str, item: &Ingredient, found: &mut Vec<Fault>) {
    let at = |field: &str| format!("{at}/{field}");
    if item.name.trim().is_empty() {
        found.push(Fault::new(at("name"), "the ingredient has no name", "name the material"));
    }
    let mut share = |field: &str, ratio: Ratio, what: &str| {
        if ratio > Ratio::ONE {
            let what = format!("{what} of {}, {:.0} %, is more than the whole", item.name, ratio.per_cent());
            found.push(Fault::new(at(field), what, "give a share from 0 to 1"));
        }
    };
    share("water_share", item.water_share, "the water");
    share("absorption", item.absorption, "the absorption");
    if let Role::Cement(Cement::Blended { portland }) = item.role {
        share("role/portland", portland, "the Portland share");
    }
}

/// A recipe must on paper lie within the limits it sets at the mixer.
pub(super) fn meets_its_target(recipe: &Recipe) -> Result<(), Fault> {
    let Some(target) = recipe.target else { return Ok(()) };
    // The balances close to rounding noise; a target that is its own limit must not fail on it.
    let near = |limit: f64| (recipe.wet.kg_m3() - limit).abs() <= 1.0e-9 * limit;
    if target.accepts(recipe.wet) || near(target.lower.kg_m3()) || near(target.upper.kg_m3()) {
        return Ok(());
    }
    let what =
        format!("the ingredients give {} wet, outside {:.0} to {}", recipe.wet, target.lower.kg_m3(), target.upper);
    Err(Fault::new("/target", what, "correct the masses, the relative densities or the limits"))
}
