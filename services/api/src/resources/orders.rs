//! Orders: what customers want, held against what the workshop can make.

use std::collections::BTreeSet;

use actix_web::web::{Data, Path, Query};
use actix_web::{delete, get, post, put};
use serde::Deserialize;
use store::{Record, Tx};
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Finish, Mix, MixRevision, Panel, PanelSet};
use workshop::checks::order::{Range, past_due, range_faults};
use workshop::dispatch::less_than_sent;
use workshop::ids::OrderId;
use workshop::orders as domain;

use super::dispatch::sets;
use super::nouns::{self, Noun, id_of, noun, same_id, shown};
use crate::http::body::{Asked, Body};
use crate::http::paging::Page;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, IfMatch, IfNoneMatch, once};
use crate::http::trail::{Altered, alter};
use crate::state::State;
use crate::wire::Id;
use crate::wire::orders::{Order, OrderState};

noun!(domain::Order, form: Order, id: OrderId, list: "/orders");

/// Which orders.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct OrderFilter {
    /// Only those in this state.
    #[param(inline)]
    pub state: Option<OrderState>,
}

#[utoipa::path(
    tag = "orders", summary = "List orders", description = "In the order of their references, in pages; all states unless one is named.",
    params(OrderFilter, Page),
    responses((status = 200, description = "A page of them", body = Vec<Order>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/orders")]
async fn list(state: Data<State>, filter: Query<OrderFilter>, page: Query<Page>) -> Answer {
    let after = page.after(|text| OrderId::parse(text).ok())?;
    let tx = state.store.read().await?;
    let wanted = filter.state.map(domain::OrderState::from);
    let found = store::orders::page_by_state(&tx, wanted, after.as_ref(), page.limit_and_one()).await?;
    tx.rollback().await?;
    let filters = [("state", filter.state.map(|state| format!("{state:?}").to_lowercase()))];
    page.reply("/orders", &filters, found, |v| v.value.id.to_string(), |v| Order::from(v.value))
}

#[utoipa::path(
    tag = "orders", summary = "Read an order", description = "Its ETag is what a change has to name.",
    params(("id" = inline(Id), Path, description = "Its reference")),
    responses((status = 200, description = "The one named", body = Order, headers(("ETag" = String, description = "its version"))))
)]
#[get("/orders/{id}")]
async fn read(state: Data<State>, id: Path<String>, known: IfNoneMatch) -> Answer {
    nouns::read::<domain::Order>(&state, &id, &known).await
}

#[utoipa::path(
    tag = "orders", summary = "Take an order",
    description = "Refused where the due day is past, or where no mix in use gives the finish for one of the panels; the possible finishes are named.",
    request_body = Order,
    responses((status = 201, description = "It is taken", body = Order, headers(("ETag" = String, description = "its version"), ("Location" = String, description = "its path"))))
)]
#[post("/orders")]
async fn create(state: Data<State>, body: Body<Order>) -> Answer {
    once(&state, &body.asked, async |tx| {
        let mut faults: Vec<Fault> = past_due(&body.value, state.today(tx).await?).into_iter().collect();
        faults.extend(range_faults(&body.value.lines, &store::orders::range(tx, &body.value.lines).await?));
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let made = domain::Order::insert(tx, &body.value).await?;
        Ok(shown(&made)?.reply().created_at(made.value.location()))
    })
    .await
}

#[utoipa::path(
    tag = "orders", summary = "Replace an order",
    description = "The whole of it. What is not changed is not held against the catalogue again, so that an old order can still be withdrawn; less than was sent of it already cannot be asked for, and it is sent out by its dispatch only.",
    params(("id" = inline(Id), Path, description = "Its reference")), request_body = Order,
    responses((status = 200, description = "It is replaced", body = Order, headers(("ETag" = String, description = "its version"))))
)]
#[put("/orders/{id}")]
async fn replace(state: Data<State>, id: Path<String>, seen: IfMatch, body: Body<Order>) -> Answer {
    let id = id_of::<domain::Order>(&id)?;
    same_id(&id.to_string(), &body.value.id.to_string())?;
    alter(&state, &body.asked, async |tx| {
        let current = domain::Order::find(tx, &id).await?;
        let current = current.ok_or_else(|| Problem::not_found(domain::Order::NOUN, &id))?;
        let before = shown(&current)?;
        seen.agrees(&before)?;
        let faults = faults_of_change(&state, tx, &current.value, &body.value).await?;
        if !faults.is_empty() {
            return Err(Problem::faulty(faults));
        }
        let changed = domain::Order::replace(tx, &body.value, current.version).await?;
        Ok(Altered::put(Some(before), &shown(&changed)?))
    })
    .await
}

/// What a person may not say of an order: it goes out by its dispatch, which takes panels off the rack and draws the hardware;
/// and what went out is not wanted otherwise afterwards, unless it is opened again.
fn state_faults(old: &domain::Order, new: &domain::Order) -> Vec<Fault> {
    use domain::OrderState::{Dispatched, Withdrawn};
    let fault = match (old.state, new.state) {
        (Dispatched, Dispatched) if old.lines != new.lines => {
            Fault::at("/lines", "it was sent out with other lines: open it again to want more, or make a new order")
        }
        (Dispatched, Withdrawn) => {
            let detail = "it was sent out and cannot be withdrawn: open it again where panels are to be made anew";
            Fault::at("/state", detail)
        }
        (was, Dispatched) if was != Dispatched => {
            let detail = format!("an order is not sent out by a word: send it by POST /orders/{}/dispatch", old.id);
            Fault::at("/state", detail)
        }
        _ => return Vec::new(),
    };
    vec![fault]
}

/// What is wrong with an order in the place of the one there is, in what it changes.
async fn faults_of_change(
    state: &State,
    tx: &Tx,
    old: &domain::Order,
    new: &domain::Order,
) -> Result<Vec<Fault>, Problem> {
    let mut faults = state_faults(old, new);
    if new.due_on != old.due_on {
        faults.extend(past_due(new, state.today(tx).await?));
    }
    if new.lines != old.lines {
        faults.extend(range_faults(&new.lines, &store::orders::range(tx, &new.lines).await?));
        let (sets, sent) = (sets(tx).await?, store::lots::dispatched_for(tx, &new.id).await?);
        faults.extend(less_than_sent(new, &sets, &sent));
    }
    Ok(faults)
}

#[utoipa::path(
    tag = "orders", summary = "Remove an order", description = "For slips; an order taken back by its customer is withdrawn instead.",
    params(("id" = inline(Id), Path, description = "Its reference")),
    responses((status = 204, description = "It is gone"))
)]
#[delete("/orders/{id}")]
async fn remove(state: Data<State>, id: Path<String>, seen: IfMatch, asked: Asked) -> Answer {
    nouns::remove::<domain::Order>(&state, &id, &seen, &asked).await
}

/// What the workshop can make, as the records say now.
///
/// # Errors
/// Those of the database.
pub async fn range(tx: &Tx) -> Result<Range, Problem> {
    let known: BTreeSet<_> = Finish::all(tx).await?.into_iter().map(|finish| finish.id).collect();
    let (sets, panels) = (PanelSet::all(tx).await?, Panel::all(tx).await?);
    let (mixes, revisions) = (Mix::all(tx).await?, MixRevision::all(tx).await?);
    Ok(Range::new(sets, &panels, &mixes, &revisions, known))
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(create).service(read).service(replace).service(remove);
}
