//! Tags: what a person reads beside panels in a tank, on a rack or in their moulds.

use actix_web::get;
use actix_web::web::{Data, Path};
use chrono::{Days, NaiveDate as Day};
use mix::{HoldClock, HoldKind};
use quantities::{Celsius, Hours};
use store::{Record, Tx, lots, site, tickets};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Finish, Material, Mix, MixRevision, Panel, Rack, Tank};
use workshop::ids::LotId;
use workshop::lots::{Lot, Stage};
use workshop::planning::WorkCalendar;
use workshop::planning::draws::{Materials, is_rapid};
use workshop::shared::begun_by;
use workshop::site::{CalendarDay, Workshop, hours_of};

use super::calendar::air_of_days;
use super::soaking::InTanks;
use crate::calculations::held;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply};
use crate::state::State;
use crate::wire::dispatch::LotTag;
use crate::wire::{Id, RevisionText};

/// Days of temperatures looked through for the end of a hold.
const LONGEST_HOLD: u64 = 120;

/// The tag of a lot.
///
/// # Errors
/// 404 where there is no such lot; those of the database.
pub async fn tag_of(tx: &Tx, id: LotId) -> Result<LotTag, Problem> {
    let lot = lots::find(tx, id).await?.ok_or_else(|| Problem::not_found("lot", id))?.value;
    let (place, place_name) = place_of(tx, &lot).await?;
    let panel = Panel::find(tx, &lot.panel).await?.map(|p| p.value.name);
    let mix = Mix::find(tx, &lot.revision.mix).await?.map(|m| m.value.name);
    let finish = Finish::find(tx, &lot.finish).await?.map(|f| f.value.name);
    Ok(LotTag {
        lot: lot.id.get(),
        panel: Id::of(&lot.panel),
        panel_name: panel.unwrap_or_default(),
        quantity_panels: lot.quantity,
        cast_on: lot.poured_on,
        revision: RevisionText::of(&lot.revision),
        mix_name: mix.unwrap_or_default(),
        finish: Id::of(&lot.finish),
        finish_name: finish.unwrap_or_default(),
        batches: batches(tx, &lot).await?,
        stage: lot.stage.into(),
        since: lot.since,
        place,
        place_name,
        out_on: out_on(tx, &lot).await?,
        row: lot.row,
    })
}

async fn place_of(tx: &Tx, lot: &Lot) -> Result<(Option<Id>, Option<String>), Problem> {
    if let Some(tank) = &lot.tank {
        return Ok((Some(Id::of(tank)), Tank::find(tx, tank).await?.map(|t| t.value.name)));
    }
    let Some(rack) = &lot.rack else { return Ok((None, None)) };
    Ok((Some(Id::of(rack)), Rack::find(tx, rack).await?.map(|r| r.value.name)))
}

/// The tickets a lot was filled from, in mixing order: a panel filled from two batches has both.
async fn batches(tx: &Tx, lot: &Lot) -> Result<Vec<String>, Problem> {
    let Some(number) = lot.ticket else { return Ok(Vec::new()) };
    let day: Vec<_> = tickets::of_day(tx, number.day).await?.into_iter().map(|t| t.value).collect();
    let Some(last) = day.iter().find(|t| t.number == number) else { return Ok(vec![number.to_string()]) };
    let mut all: Vec<_> = begun_by(last, &lot.panel, &day).iter().map(|t| t.number).chain([number]).collect();
    all.sort();
    Ok(all.iter().map(ToString::to_string).collect())
}

/// The first working day on which the lot may go on from where it is.
async fn out_on(tx: &Tx, lot: &Lot) -> Result<Option<Day>, Problem> {
    let Some(site) = site::get(tx).await?.map(|s| s.value) else { return Ok(None) };
    let Some(revision) = MixRevision::find(tx, &lot.revision).await?.map(|r| r.value) else { return Ok(None) };
    let days = match lot.stage {
        Stage::InMould => hold_of(tx, &site, &revision, lot.since).await?,
        Stage::Soaking => InTanks::read(tx).await?.map(|tanks| (tanks.lifted(lot) - lot.since).num_days()),
        Stage::Drying => Some(revision.dry_days),
        Stage::Ready => None,
    };
    let Some(end) = days.and_then(|days| lot.since.checked_add_days(Days::new(days.max(0).unsigned_abs()))) else {
        return Ok(None);
    };
    let named: Vec<CalendarDay> =
        CalendarDay::page(tx, Some(&(end - Days::new(1))), 500).await?.into_iter().map(|d| d.value).collect();
    Ok(WorkCalendar::new(&site, &named).next_after(end - Days::new(1)))
}

/// Days in the mould when poured on a day, by the calendar's temperatures.
async fn hold_of(tx: &Tx, site: &Workshop, revision: &MixRevision, poured: Day) -> Result<Option<i64>, Problem> {
    let air = air_of_days(tx, site, poured, poured + Days::new(LONGEST_HOLD)).await?;
    let daily: Option<Vec<Celsius>> = air.iter().map(|c| Celsius::from_celsius(*c).ok()).collect();
    let (Some(daily), Ok(hold)) = (daily, Hours::from_hours(revision.hold_hours_at_20c)) else { return Ok(None) };
    let materials = Material::all(tx).await?;
    let by_id: Materials = materials.iter().map(|m| (&m.id, m)).collect();
    let kind = if is_rapid(revision, &by_id) { HoldKind::TrialHours } else { HoldKind::PortlandMaturity };
    let clock = HoldClock { pour_hour: hours_of(site.pour_at), strip_hour: hours_of(site.strip_at) };
    Ok(held(hold, kind, 0, &daily, clock).0)
}

#[utoipa::path(
    tag = "lots", summary = "A lot's tag", description = "What stands on the tag beside its panels: the day it was cast, mix, finish, batches, the day it may go on, and where it lies.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The tag", body = LotTag))
)]
#[get("/lots/{id}/tag")]
async fn tag(state: Data<State>, id: Path<i64>) -> Answer {
    let tx = state.store.read().await?;
    let tag = tag_of(&tx, LotId::new(*id)).await?;
    tx.rollback().await?;
    Reply::json(&tag)
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(tag);
}
