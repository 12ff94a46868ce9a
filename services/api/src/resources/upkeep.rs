//! Upkeep: the tasks of tanks, racks and workshop, and what is said of them on a day.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::checks;
use workshop::ids::UpkeepTaskId;
use workshop::said::Said;
use workshop::upkeep as domain;

use super::day_sheet::day_named;
use super::soaking::InTanks;
use crate::http::body::Body;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply, once};
use crate::state::State;
use crate::wire::Id;
use crate::wire::upkeep::{GivenUpkeep, UpkeepReport, UpkeepTask};

const NOUN: &str = "upkeep task";

super::nouns::noun!(domain::UpkeepTask, form: UpkeepTask, id: UpkeepTaskId, list: "/upkeep-tasks");

mod tasks {
    use workshop::upkeep as domain;

    use crate::wire::upkeep::UpkeepTask;

    crate::resources::nouns::noun_operations!(
        noun: domain::UpkeepTask, form: UpkeepTask, one: "task of upkeep", many: "upkeep", list: "/upkeep-tasks", item: "/upkeep-tasks/{id}",
    );
}

async fn task_of(tx: &Tx, id: &UpkeepTaskId) -> Result<domain::UpkeepTask, Problem> {
    let found = domain::UpkeepTask::find(tx, id).await?;
    Ok(found.ok_or_else(|| Problem::from(store::StoreError::Missing(vec![(NOUN, id.to_string())])))?.value)
}

#[utoipa::path(
    tag = "upkeep", summary = "Say what came of an upkeep task",
    description = "Done, or not, with what was measured, under the name of the token it is sent with. A later word of the same day takes the place of an earlier one; both are kept. The same again is not written twice. What a task at a tank measures in °C is the temperature of its water: where that moves the day its panels may be lifted, the plan is out of date.",
    security(("token" = ["bench"])),
    params(("day" = inline(Id), Path, description = "The day, or today", example = "today")), request_body = GivenUpkeep,
    responses((status = 200, description = "It is noted", body = UpkeepReport))
)]
#[post("/days/{day}/upkeep")]
async fn say(state: Data<State>, day: Path<String>, body: Body<GivenUpkeep>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let (today, day) = (state.today(tx).await?, day_named(&state, tx, &day).await?);
        let given = body.value.clone();
        let task = task_of(tx, &given.task).await?;
        let (done, value, note) = (given.done, given.value, given.note);
        let report = domain::UpkeepReport { task: given.task, day, done, value, note, said: Said::default() };
        let faults = checks::upkeep::report_faults(&report, &task, today);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let water = task.measures_water().zip(value);
        let before = if water.is_some() { InTanks::read(tx).await? } else { None };
        let written = store::upkeep::report(tx, &report).await?;
        if let (Some(before), Some((tank, water_c))) = (before, water) {
            before.mark_moved(tx, tank, water_c).await?;
        }
        Reply::json(&UpkeepReport::of(written, task.measures.as_ref()))
    })
    .await
}

#[utoipa::path(
    tag = "upkeep", summary = "All that was said of an upkeep task", description = "In the order it was written, in pages; with what was measured it is the tank's diary.",
    params(("id" = inline(Id), Path, description = "Its id"), Page),
    responses((status = 200, description = "A page of it", body = Vec<UpkeepReport>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/upkeep-tasks/{id}/reports")]
async fn reports(state: Data<State>, id: Path<String>, page: Query<Page>) -> Answer {
    let id = super::nouns::id_of::<domain::UpkeepTask>(&id)?;
    let after = page.after(|text| text.parse::<i64>().ok())?;
    let tx = state.store.read().await?;
    let task = domain::UpkeepTask::find(&tx, &id).await?.ok_or_else(|| Problem::not_found(NOUN, &id))?.value;
    let found = store::upkeep::page(&tx, &id, after.unwrap_or(0), page.limit_and_one()).await?;
    tx.rollback().await?;
    let path = format!("/upkeep-tasks/{id}/reports");
    page.reply(
        &path,
        &[],
        found,
        |(number, _)| number.to_string(),
        |(_, report)| UpkeepReport::of(report, task.measures.as_ref()),
    )
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(reports);
    tasks::configure(service);
    service.service(say);
}
