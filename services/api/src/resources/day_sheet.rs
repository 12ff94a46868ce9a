//! The day sheet: everything one day needs.

use std::collections::BTreeSet;

use actix_web::get;
use actix_web::web::{Data, Path};
use chrono::{Days, NaiveDate as Day};
use feeds::table::Table;
use store::{Record as _, Tx, lots, runs, site, tickets};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::day_sheet::{DaySheet as Sheet, Inputs, Sent, sheet};
use workshop::ids::{OrderId, RunId};
use workshop::orders::{Order, OrderState};
use workshop::planning::WorkCalendar;
use workshop::projection::still_to_order;
use workshop::site::CalendarDay;
use workshop::upkeep::{self, UpkeepEntry, UpkeepTask};

use super::plan::{facts_of, plan_of};
use super::soaking::InTanks;
use crate::http::problem::Problem;
use crate::http::pull::feed;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::Id;
use crate::wire::day::DaySheet;

/// A day from the path: an ISO date, or `today` for the workshop's local day.
///
/// # Errors
/// 400 where it is neither.
pub async fn day_named(state: &State, tx: &Tx, text: &str) -> Result<Day, Problem> {
    if text == "today" {
        return state.today(tx).await;
    }
    let detail = format!("'{text}' is no day: give it as 2026-05-04, or today");
    text.parse().map_err(|_| Problem::bad_request(vec![Fault::at("/path/day", detail)]))
}

/// The sheet of a day, the run it comes from, and whether its tickets are out.
///
/// # Errors
/// Those of the database, and documents that cannot be read.
pub async fn read_sheet(tx: &Tx, day: Day, today: Day) -> Result<(Sheet, Option<RunId>, bool), Problem> {
    let issued = tickets::issued_from(tx, day).await?;
    let in_force = runs::in_force(tx).await?.map(|(run, ..)| run);
    let run = issued.or(in_force);
    let documents = match run {
        Some(run) => {
            let documents = runs::documents(tx, run).await?;
            Some((facts_of(run, documents.facts.as_deref())?, plan_of(run, documents.plan.as_deref())?))
        }
        None => None,
    };
    let to_order = match (run, &documents) {
        (Some(run), Some((facts, plan))) => still_to_order(facts, plan, &store::deliveries::since(tx, run).await?),
        _ => Vec::new(),
    };
    let tickets: Vec<_> = tickets::of_day(tx, day).await?.into_iter().map(|t| t.value).collect();
    let moves = lots::moves_on(tx, day).await?;
    let mut deliveries = store::deliveries::on_their_way(tx).await?;
    deliveries.extend(store::deliveries::came_on(tx, day).await?);
    let (upkeep, sent) = (upkeep_of(tx, day, today).await?, sent_on(tx, day).await?);
    let tanks = if day < today { None } else { InTanks::read(tx).await? };
    let slow = tanks.map(|tanks| tanks.slow(day)).unwrap_or_default();
    let inputs = Inputs {
        day,
        today,
        facts: documents.as_ref().map(|(facts, _)| facts),
        plan: documents.as_ref().map(|(_, plan)| plan),
        to_order: &to_order,
        tickets: &tickets,
        moves: &moves,
        deliveries: &deliveries,
        slow: &slow,
        upkeep: &upkeep,
        sent: &sent,
    };
    Ok((sheet(&inputs), run, issued.is_some()))
}

/// Upkeep due on a day, with what was said of it; none where the workshop has not been described.
async fn upkeep_of(tx: &Tx, day: Day, today: Day) -> Result<Vec<UpkeepEntry>, Problem> {
    let tasks = UpkeepTask::all(tx).await?;
    let Some(site) = site::get(tx).await?.filter(|_| !tasks.is_empty()) else { return Ok(Vec::new()) };
    let ids: Vec<_> = tasks.iter().map(|task| task.id.clone()).collect();
    let (last_done, reports) = (store::upkeep::last_done(tx, &ids, day).await?, store::upkeep::on_day(tx, day).await?);
    // A task falls due at most a year before the day it is shown on.
    let year_before = day.checked_sub_days(Days::new(400)).unwrap_or(day);
    let named = CalendarDay::page(tx, Some(&year_before), 800).await?;
    let named: Vec<CalendarDay> = named.into_iter().map(|found| found.value).collect();
    let known = upkeep::Known { tasks: &tasks, last_done: &last_done, reports: &reports };
    Ok(upkeep::entries(&known, &WorkCalendar::new(&site.value, &named), day, today))
}

/// What was sent out on a day, by order.
async fn sent_on(tx: &Tx, day: Day) -> Result<Vec<Sent>, Problem> {
    let sent = lots::sent_on(tx, day).await?;
    let orders: Vec<OrderId> = sent.keys().cloned().collect();
    let orders = Order::those(tx, &orders).await?;
    let whole: BTreeSet<_> =
        orders.into_iter().filter(|o| o.value.state == OrderState::Dispatched).map(|o| o.value.id).collect();
    let sent = sent.into_iter().map(|(order, (panels, said))| {
        let complete = whole.contains(&order);
        Sent { order, panels, complete, said }
    });
    Ok(sent.collect())
}

#[utoipa::path(
    tag = "days", summary = "A day sheet", description = "Deliveries, panels to lift and strip, upkeep, tickets, and orders that go out: in the order of the day, each with its labour, how far it has come, and who said so when.",
    params(("day" = inline(Id), Path, description = "The day, or today", example = "today")),
    responses((status = 200, description = "The sheet", body = DaySheet))
)]
#[get("/days/{day}/sheet")]
async fn read(state: Data<State>, day: Path<String>) -> Answer {
    let tx = state.store.read().await?;
    let day = day_named(&state, &tx, &day).await?;
    let (sheet, run, issued) = read_sheet(&tx, day, state.today(&tx).await?).await?;
    tx.rollback().await?;
    Reply::json(&DaySheet::of(sheet, run, issued))
}

async fn tables(state: &State, tx: &Tx, day: &Path<String>) -> Result<Vec<Table>, Problem> {
    let day = day_named(state, tx, day).await?;
    let (sheet, ..) = read_sheet(tx, day, state.today(tx).await?).await?;
    Ok(vec![feeds::day_sheet::table(&sheet)])
}

feed!(
    /// The day sheet as a table.
    files, tag: "days", csv: "/days/{day}/sheet.csv", xlsx: "/days/{day}/sheet.xlsx", summary: "A day sheet",
    about: "One row for each task, in the order of the day.",
    example: "day,task,what,mix,quantity_panels,done_panels,quantity_packs,batch_volume_l,tank,rack,remark,labour_min,progress,said_by,said_at_utc,measured,measured_unit\r\n2026-05-04,strip,bed-side-900,foamed-grey@2,6,0,,,north-tank,,,30.0,to_do,,,,\r\n",
    params: [("day" = inline(Id), Path, description = "The day, or today", example = "today"),], args: (day: Path<String>), tables: tables,
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    files::configure(service);
    service.service(read);
}
