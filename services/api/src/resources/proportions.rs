//! What the mix library works out for a revision: its proportions at their own yield, a batch sheet for any load, and its
//! days in the mould over the calendar.

use actix_web::get;
use actix_web::web::{Data, Path, Query};
use chrono::{Days, NaiveDate};
use mix::cold::cold_days;
use mix::{HoldClock, HoldKind, Recipe, batch_sheet};
use quantities::{Celsius, Hours, Volume};
use serde::Deserialize;
use store::{Record, Tx, site};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision};
use workshop::planning::draws::Materials;
use workshop::site::{Workshop, hours_of};

use super::calendar::{DayRange, air_of_days};
use super::revisions::named;
use crate::calculations::proportions::{sheet, worked_out};
use crate::calculations::{faults_of, held, on_record};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::calculations::time::{CalendarHolds, HoldOn};
use crate::wire::proportions::{BatchSheet, Proportions};
use crate::wire::{Id, RevisionText};

/// The revision of the path as a recipe.
async fn read_recipe(tx: &Tx, mix: &str, number: i64) -> Result<(MixRevision, Recipe), Problem> {
    let id = named(mix, number)?;
    let found = MixRevision::find(tx, &id).await?.ok_or_else(|| Problem::not_found(MixRevision::NOUN, &id))?;
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let recipe = on_record::recipe(&found.value, &by_id).map_err(Problem::faulty)?;
    Ok((found.value, recipe))
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
    Reply::json(&worked_out(Some(RevisionText::of(&revision.id)), &recipe))
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
    let site = the_workshop(&tx).await?;
    tx.rollback().await?;
    let made = batch_sheet(&recipe, litres, site.scale_resolution);
    let made = made.map_err(|faults| Problem::bad_request(faults_of(&faults)))?;
    Reply::json(&sheet(Some(RevisionText::of(&revision.id)), made))
}

async fn the_workshop(tx: &Tx) -> Result<Workshop, Problem> {
    Ok(site::get(tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?.value)
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

/// Days of temperatures beyond the last pour day: a hold that is longer is shown as none.
const BEYOND: u64 = 120;

#[utoipa::path(
    tag = "mixes", summary = "Show a revision's days in the mould by pour day",
    description = "For each pour day of a range, from the hold at 20 °C and the calendar's temperatures, with its worked lines: what planning reckons with. Working days are not looked at here.",
    params(("id" = inline(Id), Path, description = "The mix"), ("number" = i64, Path, description = "The revision's number", minimum = 1), DayRange),
    responses((status = 200, description = "The holds", body = CalendarHolds))
)]
#[get("/mixes/{id}/revisions/{number}/holds")]
async fn holds(state: Data<State>, path: Path<(String, i64)>, range: Query<DayRange>) -> Answer {
    let (mix, number) = path.into_inner();
    let tx = state.store.read().await?;
    let (revision, recipe) = read_recipe(&tx, &mix, number).await?;
    let site = the_workshop(&tx).await?;
    let (from, to) = range.within(&state, &tx).await?;
    let end = to.checked_add_days(Days::new(BEYOND)).unwrap_or(to);
    let air = air_of_days(&tx, &site, from, end).await?;
    tx.rollback().await?;
    let shown = (to - from).num_days().unsigned_abs() as usize + 1;
    Reply::json(&over(&revision, &recipe, &site, from, &air, shown)?)
}

fn over(
    revision: &MixRevision,
    recipe: &Recipe,
    site: &Workshop,
    from: NaiveDate,
    air: &[f64],
    shown: usize,
) -> Result<CalendarHolds, Problem> {
    let outside = |error: quantities::OutOfRange| Problem::faulty(vec![Fault::at("", error.to_string())]);
    let daily: Vec<Celsius> =
        air.iter().map(|c| Celsius::from_celsius(*c)).collect::<Result<_, _>>().map_err(outside)?;
    let hold = Hours::from_hours(revision.hold_hours_at_20c).map_err(outside)?;
    let kind = recipe.hold_kind();
    let clock = HoldClock { pour_hour: hours_of(site.pour_at), strip_hour: hours_of(site.strip_at) };
    let cold = cold_days(&daily);
    let least = revision.least_air_c.unwrap_or(site.least_air_c);
    let day = |(at, day): (usize, NaiveDate)| {
        let (hold_days, worked) = held(hold, kind, at, &daily, clock);
        HoldOn { day, mean_c: air[at], hold_days, cold: cold[at], may_be_poured: air[at] >= least, worked }
    };
    Ok(CalendarHolds {
        revision: RevisionText::of(&revision.id),
        hold_hours_at_20c: revision.hold_hours_at_20c,
        rapid: kind == HoldKind::TrialHours,
        days: from.iter_days().take(shown.min(air.len())).enumerate().map(day).collect(),
    })
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(proportions).service(batch).service(holds);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_are_read_strictly() {
        for wrong in ["0", "-1", "10001", "nan", "inf", "1,5", "", "12 L"] {
            assert!(load_of(wrong).is_err(), "{wrong}");
        }
        assert_eq!(load_of("31.5").unwrap().litres(), 31.5);
    }
}
