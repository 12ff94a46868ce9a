//! Dispatch: what can go, pack lists, orders sent out.

use std::collections::BTreeMap;

use actix_web::web::{Data, Path, Query};
use actix_web::{get, post};
use store::fail_points::reached;
use store::{Record, Tx, Versioned, lots, site, stock};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Amount, Material, MixRevision, Panel, PanelSet};
use workshop::dispatch::{self as domain, Load, Standing};
use workshop::ids::{LotId, MaterialId, OrderId, PanelId, SetId};
use workshop::lots::Lot;
use workshop::orders::{Order, OrderState};
use workshop::stock::{EntryKind, NewStockEntry};
use workshop::trials::Trial;

use super::nouns::id_of;
use crate::http::body::Body;
use crate::http::paging::PageOfAll;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Reply, once};
use crate::state::State;
use crate::wire::dispatch::{
    GivenOrderDispatch, HardwareLine, OrderSent, OrderStanding, PackList, Packed, SentPanels, StandingLine,
};
use crate::wire::{Id, RevisionText};

pub(super) async fn sets(tx: &Tx) -> Result<BTreeMap<SetId, PanelSet>, Problem> {
    Ok(PanelSet::all(tx).await?.into_iter().map(|set| (set.id.clone(), set)).collect())
}

async fn found(tx: &Tx, id: &OrderId) -> Result<Versioned<Order>, Problem> {
    Order::find(tx, id).await?.ok_or_else(|| Problem::not_found(Order::NOUN, id))
}

/// Every open order of which something is left to send, as it stands.
///
/// # Errors
/// Those of the database.
pub async fn standing(tx: &Tx) -> Result<Vec<Standing>, Problem> {
    let orders = store::orders::open(tx).await?;
    let (sets, sent, present) = (sets(tx).await?, lots::dispatched(tx).await?, lots::all_present(tx).await?);
    Ok(domain::standing(&orders, &sets, &sent, &present))
}

#[utoipa::path(
    tag = "dispatch", summary = "What is ready to go",
    description = "Every open order of which something is left to send, those due first before the others. Ready panels are given out in that order: what one has is not there for the next.",
    params(PageOfAll),
    responses((status = 200, description = "A page of the orders", body = Vec<OrderStanding>, headers(("Link" = String, description = "first and next page"))))
)]
#[get("/dispatch")]
async fn list(state: Data<State>, page: Query<PageOfAll>) -> Answer {
    let tx = state.store.read().await?;
    let standing = standing(&tx).await?;
    tx.rollback().await?;
    page.into_inner().reply("/dispatch", &[], standing, |one| one.order.id.to_string(), OrderStanding::from)
}

/// A pack list of an order with all ready panels there for it.
///
/// # Errors
/// 404 where there is no such order or no workshop; those of the database.
pub async fn pack_list(tx: &Tx, id: &OrderId) -> Result<PackList, Problem> {
    let order = found(tx, id).await?.value;
    let site = site::get(tx).await?.ok_or_else(|| Problem::not_found("workshop", "yet"))?.value;
    let (sets, sent, present) = (sets(tx).await?, lots::dispatched_for(tx, id).await?, lots::all_present(tx).await?);
    let standing = domain::alone(&order, &sets, &sent, &present);
    let panels: BTreeMap<PanelId, Panel> = Panel::all(tx).await?.into_iter().map(|p| (p.id.clone(), p)).collect();
    let (revisions, trials) = (MixRevision::all(tx).await?, Trial::all(tx).await?);
    let packed = packed(&standing, &present, &panels, &revisions, &trials);
    let names = panels.iter().map(|(id, panel)| (id.clone(), panel.name.clone())).collect();
    let notes = domain::lifting_notes(&packed, &names, site.lifting_limit);
    let forms: Vec<Packed> = packed.iter().map(|p| packed_form(p, &names, site.lifting_limit)).collect();
    let missing = standing.lines.iter().filter(|l| l.ready_panels() < l.left()).map(StandingLine::from);
    Ok(PackList {
        order: Id::of(&order.id),
        due_on: order.due_on,
        can_go: standing.can_go().into(),
        panels: forms.iter().map(|p| p.quantity_panels).sum(),
        mass_g: forms.iter().map(|p| p.mass_g).sum(),
        missing: missing.collect(),
        hardware: hardware_lines(tx, domain::hardware(&order, &sets).into_iter().map(|(m, p)| (m, p.get()))).await?,
        lifting_limit_g: site.lifting_limit.get(),
        customer: order.customer,
        packed: forms,
        notes,
    })
}

/// Ready panels of an order by panel, finish and revision, each with its mass.
fn packed(
    standing: &Standing,
    present: &[Lot],
    panels: &BTreeMap<PanelId, Panel>,
    revisions: &[MixRevision],
    trials: &[Trial],
) -> Vec<domain::Packed> {
    let by_id: BTreeMap<LotId, &Lot> = present.iter().map(|lot| (lot.id, lot)).collect();
    let mut together: BTreeMap<_, (i64, Vec<LotId>)> = BTreeMap::new();
    for line in &standing.lines {
        for (lot, quantity) in &line.ready {
            let Some(revision) = by_id.get(lot).map(|lot| &lot.revision) else { continue };
            let (sum, from) = together.entry((&line.panel, &line.finish, revision)).or_default();
            *sum += quantity;
            from.push(*lot);
        }
    }
    let mut all = Vec::new();
    for ((panel, finish, revision), (quantity, from)) in together {
        let known = panels.get(panel).zip(revisions.iter().find(|r| r.id == *revision));
        let Some((known, of)) = known else { continue };
        let (mass, panel, finish) = (domain::panel_mass(known, of, trials), panel.clone(), finish.clone());
        all.push(domain::Packed { panel, finish, revision: revision.clone(), quantity, lots: from, mass });
    }
    all
}

fn packed_form(p: &domain::Packed, names: &BTreeMap<PanelId, String>, limit: quantities::Grams) -> Packed {
    Packed {
        panel: Id::of(&p.panel),
        name: names.get(&p.panel).cloned().unwrap_or_default(),
        finish: Id::of(&p.finish),
        revision: RevisionText::of(&p.revision),
        quantity_panels: p.quantity,
        lots: p.lots.iter().map(|lot| lot.get()).collect(),
        mass_each_g: p.mass.each.get(),
        mass_g: p.mass.each.get() * p.quantity,
        state: p.mass.state.into(),
        source: p.mass.source.clone(),
        above_lifting_limit: p.mass.each > limit,
    }
}

async fn hardware_lines(tx: &Tx, lines: impl Iterator<Item = (MaterialId, i64)>) -> Result<Vec<HardwareLine>, Problem> {
    let mut found = Vec::new();
    for (material, pieces) in lines {
        let name = Material::find(tx, &material).await?.map(|m| m.value.name).unwrap_or_default();
        found.push(HardwareLine { material: Id::of(&material), name, pieces });
    }
    Ok(found)
}

#[utoipa::path(
    tag = "dispatch", summary = "A pack list",
    description = "The panels that stand ready for an order, each with its mass and the state of the concrete that mass is of, what is still missing, its hardware, and what to know before it is lifted.",
    params(("id" = inline(Id), Path, description = "The order's reference", example = "TH-1042")),
    responses((status = 200, description = "The list", body = PackList))
)]
#[get("/orders/{id}/pack-list")]
async fn pack(state: Data<State>, id: Path<String>) -> Answer {
    let id = id_of::<Order>(&id)?;
    let tx = state.store.read().await?;
    let packed = pack_list(&tx, &id).await?;
    tx.rollback().await?;
    Reply::json(&packed)
}

#[utoipa::path(
    tag = "dispatch", summary = "Send an order out",
    description = "All that is left of it, or the parts named where the customer agreed to parts; those panels first that became ready first, hardware with the last, all or nothing. Sent again whole, an order that is out already is answered with what was sent.",
    security(("token" = ["bench"])),
    params(("id" = inline(Id), Path, description = "The order's reference", example = "TH-1042")), request_body = GivenOrderDispatch,
    responses((status = 200, description = "What was sent of it so far", body = OrderSent))
)]
#[post("/orders/{id}/dispatch")]
async fn send(state: Data<State>, id: Path<String>, body: Body<GivenOrderDispatch>) -> Answer {
    let id = id_of::<Order>(&id)?;
    once(&state, &body.asked, async |tx| {
        let order = found(tx, &id).await?;
        let given = body.value.clone();
        if order.value.state == OrderState::Dispatched && given.parts.is_none() {
            return sent(tx, &order.value, Vec::new()).await;
        }
        let today = state.today(tx).await?;
        let day = given.day.unwrap_or(today);
        let (sets, gone, present) =
            (sets(tx).await?, lots::dispatched_for(tx, &id).await?, lots::all_present(tx).await?);
        let standing = domain::alone(&order.value, &sets, &gone, &present);
        let load = domain::load(&standing, &sets, given.parts.as_deref());
        let mut faults = load.as_ref().err().cloned().unwrap_or_default();
        if day > today {
            faults.push(Fault::at("/day", format!("{day} has not come yet: today is {today}")));
        }
        let load = match load {
            Ok(load) if faults.is_empty() => load,
            _ => return Err(Problem::faulty(faults)),
        };
        let late = load.lots.iter().filter_map(|(id, _)| present.iter().find(|l| l.id == *id && l.since > day));
        if let Some(lot) = late.min_by_key(|l| l.id) {
            let detail = format!("{day} is before {}, the day lot {} was ready", lot.since, lot.id);
            return Err(Problem::faulty(vec![Fault::at("/day", detail)]));
        }
        reached("dispatch.decided");
        let warnings = carry_out(&state, tx, &order, &load, day).await?;
        sent(tx, &found(tx, &id).await?.value, warnings).await
    })
    .await
}

/// Sends panels of one lot as a part of an order, by the order's own rules: nothing it does not want, no part nobody agreed to,
/// and with the last of it the hardware. What to look at afterwards.
///
/// # Errors
/// 422 where there is no such order, or its rules forbid it; those of the database.
pub(super) async fn send_from(
    state: &State,
    tx: &Tx,
    lot: &Lot,
    quantity: i64,
    day: chrono::NaiveDate,
    id: &OrderId,
) -> Result<Vec<String>, Problem> {
    let missing = || Problem::from(store::StoreError::Missing(vec![(Order::NOUN, id.to_string())]));
    let order = Order::find(tx, id).await?.ok_or_else(missing)?;
    let (sets, gone) = (sets(tx).await?, lots::dispatched_for(tx, id).await?);
    let load = domain::load_from(&order.value, &sets, &gone, lot, quantity).map_err(Problem::faulty)?;
    reached("dispatch.decided");
    carry_out(state, tx, &order, &load, day).await
}

/// Writes what goes: the panels off their lots, the hardware out of the ledger, the order as dispatched where it is whole.
async fn carry_out(
    state: &State,
    tx: &Tx,
    order: &Versioned<Order>,
    load: &Load,
    day: chrono::NaiveDate,
) -> Result<Vec<String>, Problem> {
    let mut last = None;
    for (lot, quantity) in &load.lots {
        last = Some(lots::dispatch(tx, *lot, *quantity, day, Some(order.value.id.clone())).await?.0);
        reached("dispatch.first-lot");
    }
    reached("dispatch.lots");
    if last.is_none() {
        // All of it went before, and the order wants no more since: its hardware belongs to the last panels that went.
        last = lots::sent_for(tx, &order.value.id).await?.last().map(|(dispatch, ..)| *dispatch);
    }
    let mut warnings = Vec::new();
    for (material, pieces) in &load.hardware {
        let entry = NewStockEntry {
            material: material.clone(),
            day,
            kind: EntryKind::Drawn,
            amount: Amount::new(-pieces.get()),
            counted: None,
            ticket: None,
            delivery: None,
            counters: None,
            note: Some(format!("with order {}", order.value.id)),
        };
        let entry = stock::append(tx, state.now(), &entry).await?;
        if let Some(dispatch) = last {
            lots::drew(tx, dispatch, entry.id).await?;
        }
        if entry.balance < Amount::ZERO {
            let below = -entry.balance.get();
            warnings.push(format!("{material} is now {below} pieces below nothing in the ledger: count what is there"));
        }
    }
    reached("dispatch.hardware");
    if load.complete {
        let whole = Order { state: OrderState::Dispatched, ..order.value.clone() };
        Order::replace(tx, &whole, order.version).await?;
    }
    reached("dispatch.order");
    Ok(warnings)
}

/// What was sent of an order so far.
async fn sent(tx: &Tx, order: &Order, warnings: Vec<String>) -> Answer {
    let rows = lots::sent_for(tx, &order.id).await?;
    let mut panels = Vec::new();
    for (_, lot, quantity, day) in &rows {
        let Some(lot) = lots::find(tx, *lot).await? else { continue };
        panels.push(SentPanels {
            day: *day,
            lot: lot.value.id.get(),
            panel: Id::of(&lot.value.panel),
            finish: Id::of(&lot.value.finish),
            quantity_panels: *quantity,
        });
    }
    let dispatches: Vec<i64> = rows.iter().map(|(id, ..)| *id).collect();
    let mut hardware: BTreeMap<MaterialId, i64> = BTreeMap::new();
    for entry in lots::drawn_by(tx, &dispatches).await? {
        if let Some(entry) = stock::find(tx, entry).await? {
            *hardware.entry(entry.entry.material).or_default() -= entry.entry.amount.get();
        }
    }
    let hardware = hardware_lines(tx, hardware.into_iter()).await?;
    Reply::json(&OrderSent { order: Id::of(&order.id), state: order.state.into(), sent: panels, hardware, warnings })
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(list).service(pack).service(send);
}
