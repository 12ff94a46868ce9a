//! How long the invented workshop's materials last under its plan.

use std::collections::BTreeMap;

use store::{Record, Tx};
use workshop::catalogue::{Material, Supply};
use workshop::documents::{Facts, Plan};
use workshop::ids::{MaterialId, RunId};
use workshop::planning::WorkCalendar;
use workshop::projection::{Known, Planned, Projection, project};
use workshop::site::{CalendarDay, Workshop};
use workshop::tickets::Ticket;

use super::TODAY;

/// Every material that is counted, projected to the plan's last day.
pub async fn projected(
    tx: &Tx,
    site: &Workshop,
    materials: &BTreeMap<MaterialId, Material>,
    (run, facts, plan): (RunId, &Facts, &Plan),
    tickets: &[Ticket],
) -> anyhow::Result<Vec<(Material, Projection)>> {
    let days = CalendarDay::all(tx).await?;
    let calendar = WorkCalendar::new(site, &days);
    let (on_hand, deliveries) = (store::stock::on_hand(tx).await?, store::deliveries::on_their_way(tx).await?);
    let since = store::deliveries::since(tx, run).await?;
    let known = Known::new(TODAY, on_hand, deliveries, Some(Planned { facts, plan, since: &since }), Some(tickets));
    let counted = materials.values().filter(|m| m.supply != Supply::Mains);
    let projected = counted.map(|m| (m.clone(), project(m, &known.outlook(m), &calendar, TODAY, facts.last_day)));
    Ok(projected.collect())
}
