//! A ticket's load weighed out anew with the foam as it is today: what is issued stays as it was issued.

use actix_web::get;
use actix_web::web::{Data, Path, Query};
use mix::sheet::Today;
use mix::{Recipe, batch_sheet_today};
use quantities::{Density, OfMaterial, Volume};
use serde::Deserialize;
use store::{Record, Tx, site, tickets};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision};
use workshop::planning::draws::Materials;
use workshop::tickets::Ticket;

use super::tickets::number;
use crate::calculations::proportions::sheet;
use crate::calculations::{faults_of, on_record};
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::proportions::BatchSheet;
use crate::wire::{Id, RevisionText};

/// The foam of the day.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct FoamToday {
    /// Density of the foam as weighed today, kg/m³ (the same as grams to the litre), 10 to 300, with a point before decimals;
    /// the revision's where none is given.
    #[param(min_length = 1, max_length = 12, example = "52.5")]
    pub foam_density_kg_m3: Option<String>,
}

#[utoipa::path(
    tag = "tickets", summary = "Weigh a ticket's load out with today's foam",
    description = "The masses of the ticket's load, washout and all, for the wet density of its revision with foam of another density: more or less of it, and of all else. The ticket stays as it was issued; what was really weighed goes into its completion.",
    params(("number" = inline(Id), Path, description = "The ticket's number", example = "2026-05-04-01"), FoamToday),
    responses((status = 200, description = "The sheet", body = BatchSheet))
)]
#[get("/tickets/{number}/sheet")]
async fn today(state: Data<State>, text: Path<String>, foam: Query<FoamToday>) -> Answer {
    let number = number(&text)?;
    let foam = foam.foam_density_kg_m3.as_deref().map(density_of).transpose()?;
    let tx = state.store.read().await?;
    let ticket = tickets::find(&tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?.value;
    let recipe = recipe_of(&tx, &ticket).await?;
    let site = site::get(&tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?.value;
    tx.rollback().await?;
    let litres = Volume::from_millilitres((ticket.batch + ticket.washout).get() as f64).map_err(Problem::internal)?;
    let today = Today { foam, moisture: Vec::new() };
    let made = batch_sheet_today(&recipe, litres, site.scale_resolution, &today);
    let made = made.map_err(|faults| {
        let here = |fault: Fault| Fault { pointer: "/query/foam_density_kg_m3".to_owned(), ..fault };
        Problem::bad_request(faults_of(&faults).into_iter().map(here).collect())
    })?;
    Reply::json(&sheet(Some(RevisionText::of(&ticket.revision)), made))
}

async fn recipe_of(tx: &Tx, ticket: &Ticket) -> Result<Recipe, Problem> {
    let revision = MixRevision::find(tx, &ticket.revision).await?;
    let revision = revision.ok_or_else(|| Problem::internal("a ticket is of a revision that is not there"))?.value;
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    on_record::recipe(&revision, &by_id).map_err(Problem::faulty)
}

fn density_of(text: &str) -> Result<Density<OfMaterial>, Problem> {
    let fault = || {
        let detail =
            format!("'{text}' is no density of foam: give kilograms to the cubic metre from 10 to 300, as 52.5");
        Problem::bad_request(vec![Fault::at("/query/foam_density_kg_m3", detail)])
    };
    let kg_m3: f64 = text.parse().map_err(|_| fault())?;
    if !(10.0..=300.0).contains(&kg_m3) {
        return Err(fault());
    }
    Density::from_kg_m3(kg_m3).map_err(|_| fault())
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(today);
}
