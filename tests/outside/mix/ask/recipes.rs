//! A recipe to its own yield, and the sheet of a load of it.

use mix::{
    BatchSheet, Cement, Dilution, FoamAmount, FoamDraft, Ingredient, Recipe, RecipeDraft, Role, Target, Today,
    batch_sheet_today,
};
use quantities::state::State;
use quantities::{Density, Grams, Mass, Ratio, RelativeDensity, Volume};
use serde_json::{Value, json};

use super::{Answer, list, number, said, text};

/// `ingredients` (`name`, `role`, `kg`, `relative_density`, `portland`?, `water_share`?, `absorption`?), `air`, `foam`?
/// (`density`, `counted`, `kg` | `litres` | `filling` | nothing for the target, `dilution`?), `target`? (three kg/m³),
/// `claimed_litres`?; and `load`? (`litres`, `resolution`, `foam`?, `moisture`?).
pub fn recipe(question: &Value) -> Answer {
    let recipe = Recipe::new(&draft(question)?).map_err(said)?;
    let foam = recipe.foam();
    let ratios = recipe.water_ratios().map_err(said)?;
    let sheet = given(question, "load", |load| sheet(&recipe, load))?;
    Ok(json!({
        "making_litres": recipe.making().litres(),
        "contents": recipe.proportions().iter().map(|part| part.content.kg_m3()).collect::<Vec<_>>(),
        "foam_volume": foam.map(|foam| foam.volume.number()),
        "foam_content": foam.map(|foam| foam.content.kg_m3()),
        "wet": recipe.wet_density().kg_m3(),
        "oven_dry": recipe.oven_dry_density().map_err(said)?.kg_m3(),
        "air": recipe.air().number(),
        "water_cement": [ratios.cement_with_foam.number(), ratios.cement_without_foam.number()],
        "water_cementitious": [ratios.cementitious_with_foam.number(), ratios.cementitious_without_foam.number()],
        "difference_per_cent": recipe.yield_claim().map(|claim| claim.difference_per_cent),
        "sheet": sheet.map(|sheet| sheet_json(&sheet)),
    }))
}

/// What a field says, read where it is there.
fn given<T>(value: &Value, field: &str, read: impl FnOnce(&Value) -> Result<T, String>) -> Result<Option<T>, String> {
    value.get(field).filter(|inner| !inner.is_null()).map(read).transpose()
}

fn draft(question: &Value) -> Result<RecipeDraft, String> {
    Ok(RecipeDraft {
        ingredients: list(question, "ingredients")?.iter().map(ingredient).collect::<Result<_, _>>()?,
        air: ratio(question, "air")?,
        foam: given(question, "foam", foam)?,
        target: given(question, "target", target)?,
        claimed_yield: given(question, "claimed_litres", |_| litres(question, "claimed_litres"))?,
    })
}

fn ingredient(item: &Value) -> Result<Ingredient, String> {
    Ok(Ingredient {
        name: text(item, "name")?.to_owned(),
        role: role(item)?,
        mass: kg(item, "kg")?,
        relative_density: relative(item)?,
        water_share: given(item, "water_share", |_| ratio(item, "water_share"))?.unwrap_or(Ratio::ZERO),
        absorption: given(item, "absorption", |_| ratio(item, "absorption"))?.unwrap_or(Ratio::ZERO),
    })
}

fn role(item: &Value) -> Result<Role, String> {
    Ok(match text(item, "role")? {
        "portland" => Role::Cement(Cement::Portland),
        "blended" => Role::Cement(Cement::Blended { portland: ratio(item, "portland")? }),
        "rapid" => Role::Cement(Cement::RapidSettingCsa),
        "addition" => Role::Addition,
        "water" => Role::Water,
        "aggregate" => Role::Aggregate,
        "lightweight" => Role::LightweightAggregate,
        "pigment" => Role::Pigment,
        "fibre" => Role::Fibre,
        "admixture" => Role::Admixture,
        other => return Err(format!("no role {other}")),
    })
}

fn foam(foam: &Value) -> Result<FoamDraft, String> {
    let amount = match (foam.get("kg"), foam.get("litres"), foam.get("filling")) {
        (Some(_), ..) => FoamAmount::Mass(kg(foam, "kg")?),
        (_, Some(_), _) => FoamAmount::Volume(litres(foam, "litres")?),
        (.., Some(_)) => FoamAmount::Filling,
        _ => FoamAmount::ToTarget,
    };
    let water_counted = foam["counted"].as_bool().ok_or("foam does not say whether its water is counted")?;
    let dilution = given(foam, "dilution", |dilution| {
        Ok(Dilution {
            concentrate: litres(dilution, "concentrate_litres")?,
            water: litres(dilution, "water_litres")?,
            concentrate_relative_density: relative(dilution)?,
        })
    })?;
    Ok(FoamDraft { density: density(number(foam, "density")?)?, water_counted, amount, dilution })
}

fn target(target: &Value) -> Result<Target, String> {
    let limit = |at: usize| density(target[at].as_f64().ok_or("a target is three numbers")?);
    Ok(Target { lower: limit(0)?, wet: limit(1)?, upper: limit(2)? })
}

fn sheet(recipe: &Recipe, load: &Value) -> Result<BatchSheet, String> {
    let moisture = given(load, "moisture", |tested| {
        let share = |(name, value): (&String, &Value)| {
            let share = Ratio::from_number(value.as_f64().ok_or("a moisture is a number")?).map_err(said)?;
            Ok((name.clone(), share))
        };
        tested.as_object().ok_or("moisture is by name")?.iter().map(share).collect::<Result<Vec<_>, String>>()
    })?;
    let foam = given(load, "foam", |measured| density(measured.as_f64().ok_or("foam is a number")?))?;
    let today = Today { foam, moisture: moisture.unwrap_or_default() };
    let resolution = Grams::new(load["resolution"].as_i64().ok_or("no resolution")?);
    batch_sheet_today(recipe, litres(load, "litres")?, resolution, &today).map_err(said)
}

fn sheet_json(sheet: &BatchSheet) -> Value {
    json!({
        "exact_kg": sheet.lines.iter().map(|line| line.exact.kg()).collect::<Vec<_>>(),
        "weighed_g": sheet.lines.iter().map(|line| line.weighed.get()).collect::<Vec<_>>(),
        "foam": sheet.foam.map(|foam| json!({
            "litres": foam.volume.litres(),
            "kg": foam.exact.kg(),
            "weighed_g": foam.weighed.get(),
            "concentrate_ml": foam.concentrate.map(|concentrate| concentrate.get()),
            "water_g": foam.water.get(),
        })),
    })
}

fn kg(value: &Value, field: &str) -> Result<Mass, String> {
    Mass::from_kg(number(value, field)?).map_err(said)
}

fn litres(value: &Value, field: &str) -> Result<Volume, String> {
    Volume::from_litres(number(value, field)?).map_err(said)
}

fn ratio(value: &Value, field: &str) -> Result<Ratio, String> {
    Ratio::from_number(number(value, field)?).map_err(said)
}

fn relative(value: &Value) -> Result<RelativeDensity, String> {
    RelativeDensity::from_number(number(value, "relative_density")?).map_err(said)
}

fn density<S: State>(kg_m3: f64) -> Result<Density<S>, String> {
    Density::from_kg_m3(kg_m3).map_err(said)
}
