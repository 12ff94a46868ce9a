//! Lots: panels on their way from mould to customer.

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use serde::Deserialize;
use store::{Record as _, Tx, Versioned};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Rack, Tank, row_names};
use workshop::checks;
use workshop::ids::{LotId, RackId, TankId};
use workshop::joining::joined;
use workshop::lots as domain;
use workshop::said::Said;

use super::off_plan;
use crate::http::body::Body;
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfNoneMatch, Reply, Shown, once};
use crate::state::State;
use crate::wire::losses::{GivenScrap, Loss, LotLosses};
use crate::wire::lots::{GivenDispatch, GivenJoin, GivenLot, GivenMove, Lot, LotSent, Stage};

const NOUN: &str = "lot";

/// Which lots.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct LotFilter {
    /// Only those in this stage.
    #[param(inline)]
    pub stage: Option<Stage>,
}

async fn found(tx: &Tx, id: LotId) -> Result<Versioned<domain::Lot>, Problem> {
    store::lots::find(tx, id).await?.ok_or_else(|| Problem::not_found(NOUN, id))
}

/// What the rows of the tank or rack are called that panels go to; none where they go to neither, and no rows where there is
/// none of that name.
async fn rows_of(tx: &Tx, tank: Option<&TankId>, rack: Option<&RackId>) -> Result<Option<Vec<String>>, Problem> {
    if let Some(tank) = tank {
        let found = Tank::find(tx, tank).await?;
        return Ok(Some(found.map(|t| row_names(t.value.rows, &t.value.row_names)).unwrap_or_default()));
    }
    let Some(rack) = rack else { return Ok(None) };
    let found = Rack::find(tx, rack).await?;
    Ok(Some(found.map(|r| row_names(r.value.rows, &r.value.row_names)).unwrap_or_default()))
}

#[utoipa::path(
    tag = "lots", summary = "List lots", description = "In the order they came to be, in pages.", params(LotFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<Lot>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/lots")]
async fn list(state: Data<State>, filter: Query<LotFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| text.parse().ok().map(LotId::new))?;
    let tx = state.store.read().await?;
    let lots = store::lots::page(&tx, filter.stage.map(domain::Stage::from), after, page.limit_and_one()).await?;
    tx.rollback().await?;
    let word = filter.stage.and_then(|stage| serde_json::to_value(stage).ok()?.as_str().map(str::to_owned));
    page.reply("/lots", &[("stage", word)], lots, |v| v.value.id.to_string(), |v| Lot::from(v.value))
}

#[utoipa::path(
    tag = "lots", summary = "Read a lot", description = "Where it is, since when, and how many panels there still are.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The one named", body = Lot, headers(("ETag" = String, description = "its version"))))
)]
#[get("/lots/{id}")]
async fn read(state: Data<State>, id: Path<i64>, known: IfNoneMatch) -> Answer {
    let tx = state.store.read().await?;
    let lot = found(&tx, LotId::new(*id)).await?;
    tx.rollback().await?;
    Ok(Shown::new(lot.version, &Lot::from(lot.value))?.reply_unless_known(&known))
}

#[utoipa::path(
    tag = "lots", summary = "Record panels that are there", description = "At take-over, or where they were forgotten; pours make their lots by themselves.",
    request_body = GivenLot,
    responses((status = 201, description = "They are recorded", body = Lot, headers(("Location" = String, description = "its path"))))
)]
#[post("/lots")]
async fn create(state: Data<State>, body: Body<GivenLot>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let lot = &body.value;
        let mut faults = checks::lots::lot_faults(lot, state.today(tx).await?);
        let rows = rows_of(tx, lot.tank.as_ref(), lot.rack.as_ref()).await?;
        faults.extend(checks::lots::row_faults(lot.row.as_deref(), rows.as_deref()));
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let made = store::lots::insert(tx, &body.value).await?;
        store::marks::mark(tx, "lot", &format!("{} {} are recorded as lot {}", made.quantity, made.panel, made.id))
            .await?;
        let location = format!("/lots/{}", made.id);
        Ok(Reply::json(&Lot::from(made))?.created_at(location))
    })
    .await
}

#[utoipa::path(
    tag = "lots", summary = "Move panels one stage further", description = "From the mould into a tank, out of it onto a rack, off it as ready. The moved panels become a lot of their own.",
    security(("token" = ["bench"])), params(("id" = i64, Path, description = "The lot they come from", minimum = 1)), request_body = GivenMove,
    responses((status = 201, description = "The lot they are now", body = Lot, headers(("Location" = String, description = "its path"))))
)]
#[post("/lots/{id}/moves")]
async fn advance(state: Data<State>, id: Path<i64>, body: Body<GivenMove>) -> Answer {
    let id = LotId::new(*id);
    once(&state, &body.asked, async |tx| {
        let lot = found(tx, id).await?;
        let today = state.today(tx).await?;
        let step = body.value.clone().out_of(id, today);
        let mut faults = checks::lots::move_faults(&step, &lot.value, today);
        let rows = rows_of(tx, step.tank.as_ref(), step.rack.as_ref()).await?;
        faults.extend(checks::lots::row_faults(step.row.as_deref(), rows.as_deref()));
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let moved = store::lots::advance(tx, &step, lot.version).await?;
        off_plan::moved(tx, today, &step, &lot.value).await?;
        let location = format!("/lots/{}", moved.id);
        Ok(Reply::json(&Lot::from(moved))?.created_at(location))
    })
    .await
}

#[utoipa::path(
    tag = "lots", summary = "Put lots together", description = "Whole lots of one panel, mix revision, finish and day of pour, at one stage and place, become a lot of their own. They stay as history without panels, and every trace leads through them. It is there since the latest day any of them is.",
    security(("token" = ["bench"])), params(("id" = i64, Path, description = "One of them", minimum = 1)), request_body = GivenJoin,
    responses((status = 201, description = "The lot they are now", body = Lot, headers(("Location" = String, description = "its path"))))
)]
#[post("/lots/{id}/join")]
async fn join(state: Data<State>, id: Path<i64>, body: Body<GivenJoin>) -> Answer {
    let id = LotId::new(*id);
    once(&state, &body.asked, async |tx| {
        let mut lots = vec![found(tx, id).await?];
        for (place, other) in body.value.iter().enumerate() {
            let missing = || {
                Problem::faulty(vec![workshop::Fault::at(format!("/lots/{place}"), format!("there is no lot {other}"))])
            };
            lots.push(store::lots::find(tx, *other).await?.ok_or_else(missing)?);
        }
        let alike: Vec<&domain::Lot> = lots.iter().map(|lot| &lot.value).collect();
        let together = joined(&alike).map_err(Problem::faulty)?;
        let made = store::lot_joins::join(tx, &lots, together, state.today(tx).await?).await?;
        let location = format!("/lots/{}", made.id);
        Ok(Reply::json(&Lot::from(made))?.created_at(location))
    })
    .await
}

#[utoipa::path(
    tag = "lots", summary = "Send ready panels out", description = "Takes them off the lot. For an order they go by its rules, as with POST /orders/{id}/dispatch: what it wants, in parts only where the customer agreed, its hardware with the last of it. Without one they leave for nobody's order: a sample, a sale from the yard.",
    security(("token" = ["bench"])), params(("id" = i64, Path, description = "The lot they come from", minimum = 1)), request_body = GivenDispatch,
    responses((status = 200, description = "The lot as it is now", body = LotSent))
)]
#[post("/lots/{id}/dispatch")]
async fn dispatch(state: Data<State>, id: Path<i64>, body: Body<GivenDispatch>) -> Answer {
    let id = LotId::new(*id);
    once(&state, &body.asked, async |tx| {
        let lot = found(tx, id).await?;
        let today = state.today(tx).await?;
        let (quantity, day, order) = body.value.clone();
        let day = day.unwrap_or(today);
        let faults = checks::lots::dispatch_faults(&lot.value, quantity, day, today);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let warnings = match &order {
            Some(order) => super::dispatch::send_from(&state, tx, &lot.value, quantity, day, order).await?,
            None => store::lots::dispatch(tx, id, quantity, day, None).await.map(|_| Vec::new())?,
        };
        Reply::json(&LotSent::of(Lot::from(found(tx, id).await?.value), warnings))
    })
    .await
}

#[utoipa::path(
    tag = "lots", summary = "Scrap panels of a lot", description = "They are not fit to be sold: they come off the lot at the stage it is in, with a cause from the workshop's own list, and the plan is out of date.",
    security(("token" = ["bench"])), params(("id" = i64, Path, description = "The lot they are in", minimum = 1)), request_body = GivenScrap,
    responses((status = 200, description = "The lot as it is now", body = LotLosses))
)]
#[post("/lots/{id}/scrap")]
async fn scrap(state: Data<State>, id: Path<i64>, body: Body<GivenScrap>) -> Answer {
    let id = LotId::new(*id);
    once(&state, &body.asked, async |tx| {
        let lot = found(tx, id).await?;
        let today = state.today(tx).await?;
        let given = body.value.clone();
        let day = given.day.unwrap_or(today);
        let faults = checks::lots::scrap_faults(&lot.value, given.quantity, day, given.note.as_deref(), today);
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let loss = domain::LotLoss {
            lot: id,
            day,
            quantity: given.quantity,
            kind: domain::LossKind::Scrapped,
            cause: Some(given.cause),
            note: given.note,
            said: Said::default(),
        };
        let left = store::lots::lose(tx, &loss, lot.version).await?;
        with_losses(tx, left.value).await
    })
    .await
}

async fn with_losses(tx: &Tx, lot: domain::Lot) -> Answer {
    let losses = store::lots::losses_of(tx, lot.id).await?.into_iter().map(Loss::from).collect();
    Reply::json(&LotLosses { lot: Lot::from(lot), losses })
}

#[utoipa::path(
    tag = "lots", summary = "What was lost of a lot", description = "Everything that came off it without going on, in the order it was written down.",
    params(("id" = i64, Path, description = "Its number", minimum = 1)),
    responses((status = 200, description = "The lot and its losses", body = LotLosses))
)]
#[get("/lots/{id}/losses")]
async fn lost(state: Data<State>, id: Path<i64>) -> Answer {
    let tx = state.store.read().await?;
    let lot = found(&tx, LotId::new(*id)).await?;
    let answer = with_losses(&tx, lot.value).await;
    tx.rollback().await?;
    answer
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service
        .service(list)
        .service(create)
        .service(read)
        .service(advance)
        .service(join)
        .service(dispatch)
        .service(scrap)
        .service(lost);
}
