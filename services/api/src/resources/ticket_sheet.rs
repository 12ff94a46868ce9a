//! A ticket's load weighed out anew with the foam and the aggregates as they are today: what is issued stays as it was
//! issued.

use actix_web::get;
use actix_web::web::{Data, Path, Query};
use mix::sheet::Today;
use mix::{Recipe, batch_sheet_today};
use quantities::{Density, OfMaterial, Ratio, Volume};
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

const FOAM: &str = "/query/foam_density_kg_m3";
const MOISTURE: &str = "/query/moisture_percent";
/// More water than this no aggregate of ours holds while it still pours; perlite and pumice hold the most.
const MOST_PER_CENT: f64 = 60.0;

/// What was measured today.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct MeasuredToday {
    /// Density of the foam as weighed today, kg/m³ (the same as grams to the litre), 10 to 300, with a point before decimals;
    /// the revision's where none is given.
    #[param(min_length = 1, max_length = 12, example = "52.5")]
    pub foam_density_kg_m3: Option<String>,
    /// All water in aggregates as they lie over their dry mass, per cent from 0 to 60, each as material:per cent, parted by
    /// commas: more than the grains hold is taken off the mixing water, less is added to it.
    #[param(min_length = 3, max_length = 400, example = "sand:4.5")]
    pub moisture_percent: Option<String>,
}

#[utoipa::path(
    tag = "tickets", summary = "Weigh a ticket's load out with today's foam and aggregates",
    description = "The masses of the ticket's load, washout and all, for the wet density of its revision with foam of another density: more or less of it, and of all else; and with aggregates as wet as they lie today. The ticket stays as it was issued; what was really weighed goes into its completion.",
    params(("number" = inline(Id), Path, description = "The ticket's number", example = "2026-05-04-01"), MeasuredToday),
    responses((status = 200, description = "The sheet", body = BatchSheet))
)]
#[get("/tickets/{number}/sheet")]
async fn today(state: Data<State>, text: Path<String>, measured: Query<MeasuredToday>) -> Answer {
    let number = number(&text)?;
    let today = measured.read().map_err(Problem::bad_request)?;
    let tx = state.store.read().await?;
    let ticket = tickets::find(&tx, number).await?.ok_or_else(|| Problem::not_found("ticket", number))?.value;
    let recipe = recipe_of(&tx, &ticket).await?;
    let site = site::get(&tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?.value;
    tx.rollback().await?;
    let litres = Volume::from_millilitres((ticket.batch + ticket.washout).get() as f64).map_err(Problem::internal)?;
    let made = batch_sheet_today(&recipe, litres, site.scale_resolution, &today);
    let made = made.map_err(|faults| {
        let of = |fault: &Fault| if fault.pointer.starts_with("/moisture") { MOISTURE } else { FOAM };
        let here = |fault: Fault| Fault { pointer: of(&fault).to_owned(), ..fault };
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

impl MeasuredToday {
    fn read(&self) -> Result<Today, Vec<Fault>> {
        let foam = self.foam_density_kg_m3.as_deref().map(density_of).transpose();
        let tests = self.moisture_percent.iter().flat_map(|all| all.split(','));
        let (moisture, mut faults): (Vec<_>, Vec<_>) = tests.map(moisture_of).partition(Result::is_ok);
        let foam = foam.unwrap_or_else(|fault| {
            faults.insert(0, Err(fault));
            None
        });
        if faults.is_empty() {
            Ok(Today { foam, moisture: moisture.into_iter().flatten().collect() })
        } else {
            Err(faults.into_iter().filter_map(Result::err).collect())
        }
    }
}

fn density_of(text: &str) -> Result<Density<OfMaterial>, Fault> {
    let density = text.parse().ok().filter(|kg_m3| (10.0..=300.0).contains(kg_m3));
    density.and_then(|kg_m3| Density::from_kg_m3(kg_m3).ok()).ok_or_else(|| {
        let detail =
            format!("'{text}' is no density of foam: give kilograms to the cubic metre from 10 to 300, as 52.5");
        Fault::at(FOAM, detail)
    })
}

/// One aggregate's moisture, as `sand:4.5`.
fn moisture_of(text: &str) -> Result<(String, Ratio), Fault> {
    let pair = text.trim().split_once(':').and_then(|(name, percent)| {
        let percent = percent.parse().ok().filter(|percent| (0.0..=MOST_PER_CENT).contains(percent))?;
        Some((name.to_owned(), Ratio::from_per_cent(percent).ok()?))
    });
    pair.ok_or_else(|| {
        let detail = format!("'{text}' is no moisture: give an aggregate and its per cent from 0 to 60, as sand:4.5");
        Fault::at(MOISTURE, detail)
    })
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(today);
}
