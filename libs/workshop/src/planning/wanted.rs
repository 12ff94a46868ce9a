//! What is wanted and what is there: orders, ready stock, lots on their way, pins, and what the plan in force published.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Days, NaiveDate as Day};

use super::horizon::Horizon;
use super::today::Standing;
use super::{Snapshot, WorkCalendar};
use crate::catalogue::PanelSet;
use crate::documents::facts;
use crate::fault::Fault;
use crate::ids::SetId;
use crate::lots::{Pin, Stage};
use crate::orders::OrderState;
use crate::soaking::Soaking;

/// Open orders, their sets opened up into panels, less what has been sent out already.
pub(super) fn orders(snapshot: &Snapshot) -> Vec<facts::Order> {
    let sets: BTreeMap<SetId, PanelSet> = snapshot.sets.iter().map(|s| (s.id.clone(), s.clone())).collect();
    let open = snapshot.orders.iter().filter(|o| o.state == OrderState::Open);
    let mut table: Vec<facts::Order> = open
        .map(|order| facts::Order {
            id: order.id.to_string(),
            due_on: order.due_on,
            weight: order.priority.weight() as f64,
            lines: order
                .panels(&sets)
                .into_iter()
                .map(|((panel, finish), quantity)| {
                    let sent = snapshot.dispatched.get(&(order.id.clone(), panel.clone(), finish.clone()));
                    ((panel, finish), quantity - sent.copied().unwrap_or(0))
                })
                .filter(|(_, quantity)| *quantity > 0)
                .map(|((panel, finish), quantity)| facts::OrderLine {
                    panel: panel.to_string(),
                    finish: finish.to_string(),
                    quantity,
                })
                .collect(),
        })
        .filter(|order| !order.lines.is_empty())
        .collect();
    table.sort_by(|a, b| a.id.cmp(&b.id));
    table
}

/// Panels that stand ready.
pub(super) fn ready_stock(snapshot: &Snapshot) -> Vec<facts::ReadyStock> {
    let mut ready = BTreeMap::new();
    for lot in snapshot.lots.iter().filter(|l| l.stage == Stage::Ready && l.quantity > 0) {
        *ready.entry((lot.panel.to_string(), lot.finish.to_string())).or_insert(0) += lot.quantity;
    }
    ready.into_iter().map(|((panel, finish), quantity)| facts::ReadyStock { panel, finish, quantity }).collect()
}

/// Panels on their way, those alike put together.
///
/// A stage begins before the first day of the facts. Where something was recorded on the first day itself (in the hours
/// before today's tickets are issued), it is told as begun the day before, the latest day the document can say.
pub(super) fn lots(standing: Vec<Standing>, horizon: Horizon, soaking: &Soaking) -> Vec<facts::Lot> {
    let latest = horizon.first - Days::new(1);
    let mut together = BTreeMap::new();
    for s in standing {
        let stage = match s.stage {
            Stage::InMould => facts::Stage::InMould,
            Stage::Soaking => facts::Stage::Soaking,
            Stage::Drying => facts::Stage::Drying,
            Stage::Ready => continue,
        };
        let (usual, until) = soaking.lifted(&s.revision, s.tank.as_ref(), s.since);
        let soaked_on = (s.stage == Stage::Soaking && until > usual).then_some(until);
        let key = (s.panel.to_string(), s.revision.to_string(), stage, s.since.min(latest), s.tank, s.rack, soaked_on);
        *together.entry(key).or_insert(0) += s.quantity;
    }
    let lot =
        |((panel, mix, stage, since, tank, rack, soaked_on), quantity): ((_, _, _, _, Option<_>, Option<_>, _), _)| {
            facts::Lot {
                panel,
                mix,
                stage,
                since,
                quantity,
                tank: tank.map(|t: crate::ids::TankId| t.to_string()),
                rack: rack.map(|r: crate::ids::RackId| r.to_string()),
                soaked_on,
            }
        };
    together.into_iter().map(lot).collect()
}

/// Pours pinned by a person inside the horizon.
pub(super) fn pinned(
    snapshot: &Snapshot,
    panels: &[facts::Panel],
    calendar: &WorkCalendar,
    horizon: Horizon,
    faults: &mut Vec<Fault>,
) -> Vec<facts::Pour> {
    let mut together = BTreeMap::new();
    for pin in snapshot.pins.iter().filter(|p| horizon.contains(p.day)) {
        if let Some(detail) = unfit(pin, panels, calendar) {
            faults.push(Fault::at(format!("/pins/{}", pin.id), detail));
        }
        *together.entry((pin.day, pin.panel.to_string(), pin.revision.to_string())).or_insert(0) += pin.quantity;
    }
    pours(together)
}

/// Why a pin cannot be kept, if it cannot.
fn unfit(pin: &Pin, panels: &[facts::Panel], calendar: &WorkCalendar) -> Option<String> {
    let Pin { id, day, panel, revision, quantity, .. } = pin;
    let what = format!("pin {id} pours {quantity} {panel} from {revision} on {day}");
    if !calendar.works_on(*day) {
        return Some(format!("{what}, which is not a working day: move the pin or open the day"));
    }
    let suits = panels.iter().any(|p| p.id == panel.as_str() && p.mixes.contains(&revision.to_string()));
    (!suits).then(|| {
        format!("{what}, but that is not the newest revision in use that suits the panel: move the pin to one that is, or remove it")
    })
}

/// Pours of the plan in force from the first day on, as far as their panel and mix are still told of.
pub(super) fn published(
    snapshot: &Snapshot,
    panels: &[facts::Panel],
    mixes: &[facts::Mix],
    horizon: Horizon,
) -> Vec<facts::Pour> {
    let panels: BTreeSet<&str> = panels.iter().map(|p| p.id.as_str()).collect();
    let mixes: BTreeSet<&str> = mixes.iter().map(|m| m.id.as_str()).collect();
    let mut together = BTreeMap::new();
    for pour in snapshot.in_force.iter().flat_map(|plan| &plan.pours) {
        if horizon.contains(pour.day) && panels.contains(pour.panel.as_str()) && mixes.contains(pour.mix.as_str()) {
            *together.entry((pour.day, pour.panel.clone(), pour.mix.clone())).or_insert(0) += pour.quantity;
        }
    }
    pours(together)
}

fn pours(together: BTreeMap<(Day, String, String), i64>) -> Vec<facts::Pour> {
    let pour = |((day, panel, mix), quantity)| facts::Pour { day, panel, mix, quantity };
    together.into_iter().map(pour).collect()
}
