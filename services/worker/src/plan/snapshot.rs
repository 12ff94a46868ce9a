//! Reading everything planning may know, at one moment.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate as Day, Utc};
use store::{Record, Tx};
use store::{deliveries, lots, marks, orders, pins, runs, site, stock, tickets, upkeep};
use workshop::catalogue::{Finish, Material, Mix, MixRevision, MouldGroup, Panel, PanelSet, Rack, Tank};
use workshop::documents::Plan;
use workshop::ids::{DeliveryId, RunId};
use workshop::planning::{Holds, Snapshot};
use workshop::site::CalendarDay;
use workshop::soaking::in_tanks_since;
use workshop::upkeep::UpkeepTask;

use crate::local::local;
use crate::sentences::joined;
use crate::step::JobError;

/// The snapshot, and what of its moment is not in it.
pub(crate) struct Reading {
    /// The tables; holds are still to be worked out.
    pub snapshot: Snapshot,
    /// The workshop's local day.
    pub today: Day,
    /// Whether today's tickets are out.
    pub issued_today: bool,
    /// The plan in force.
    pub parent: Option<RunId>,
    /// The last change that is in it.
    pub mark: i64,
    /// The newest delivery that is in it.
    pub delivery: Option<DeliveryId>,
}

pub(crate) async fn read(tx: &Tx, now: DateTime<Utc>) -> Result<Reading, JobError> {
    let workshop = site::get(tx).await?.ok_or_else(|| JobError::Input("there is no workshop yet".to_owned()))?.value;
    let today = local(&workshop, now).map_err(|unknown| JobError::Input(unknown.to_string()))?.date();
    let issued_from = tickets::issued_from(tx, today).await?;
    let parent = runs::in_force(tx).await?.map(|in_force| in_force.0);
    let open = tickets::open_before(tx, today).await?;
    let mut snapshot = Snapshot {
        workshop,
        calendar: CalendarDay::all(tx).await?,
        materials: Material::all(tx).await?,
        on_hand: stock::on_hand(tx).await?,
        deliveries: deliveries::on_their_way(tx).await?,
        finishes: Finish::all(tx).await?,
        mixes: Mix::all(tx).await?,
        revisions: MixRevision::all(tx).await?,
        panels: Panel::all(tx).await?,
        sets: PanelSet::all(tx).await?,
        mould_groups: MouldGroup::all(tx).await?,
        tanks: Tank::all(tx).await?,
        racks: Rack::all(tx).await?,
        orders: orders::open(tx).await?,
        dispatched: lots::dispatched(tx).await?,
        lots: lots::all_present(tx).await?,
        pins: pins::from(tx, today).await?,
        tickets: open.into_iter().chain(tickets::of_day(tx, today).await?).map(|t| t.value).collect(),
        moves: lots::moves_on(tx, today).await?,
        in_force: plan_of(tx, parent).await?,
        issued_plan: plan_of(tx, issued_from).await?,
        holds: Holds::new(),
        water: BTreeMap::new(),
        upkeep: UpkeepTask::all(tx).await?,
        upkeep_done: BTreeMap::new(),
        upkeep_reports: upkeep::on_day(tx, today).await?,
    };
    let tasks: Vec<_> = snapshot.upkeep.iter().map(|task| task.id.clone()).collect();
    snapshot.upkeep_done = upkeep::last_done(tx, &tasks, today).await?;
    snapshot.water = upkeep::water(tx, in_tanks_since(&snapshot.lots).unwrap_or(today)).await?;
    let (mark, delivery) = (marks::last(tx).await?, deliveries::last(tx).await?);
    Ok(Reading { snapshot, today, issued_today: issued_from.is_some(), parent, mark, delivery })
}

async fn plan_of(tx: &Tx, run: Option<RunId>) -> Result<Option<Plan>, JobError> {
    let Some(run) = run else { return Ok(None) };
    let Some(text) = runs::documents(tx, run).await?.plan else { return Ok(None) };
    let unreadable =
        |faults: Vec<_>| JobError::Input(format!("the plan of run {run} cannot be read: {}", joined(&faults)));
    feeds::documents::read_plan(&text).map(Some).map_err(unreadable)
}
