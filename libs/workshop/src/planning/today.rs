//! Today's sheet, projected as done: what the workshop will look like when facts begin on the next working day.
//!
//! Everything recorded today is taken as recorded; what the sheet still asks for is added to it. Within the day strips come
//! before lifts here, so that a panel without soaking can pass through both; holds and soaks are still kept.

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use super::Snapshot;
use super::tasks::{self, Task};
use crate::catalogue::Amount;
use crate::ids::{MaterialId, PanelId, RackId, RevisionId, TankId};
use crate::lots::Stage;
use crate::projection::open_draws;
use crate::stock::Delivery;
use crate::tickets::{Ticket, TicketState};

/// Panels that stand somewhere on their way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Standing {
    pub panel: PanelId,
    pub revision: RevisionId,
    pub stage: Stage,
    pub since: Day,
    pub quantity: i64,
    pub tank: Option<TankId>,
    pub rack: Option<RackId>,
}

/// Panels on their way before today's tickets are out: as recorded, and in the moulds of earlier tickets that nobody has
/// said anything of yet (poured as far as anyone knows: planning them again would pour them twice).
pub(super) fn before_the_issue(snapshot: &Snapshot, today: Day) -> Vec<Standing> {
    let mut standing = recorded(snapshot);
    standing.extend(panels_of_open_tickets(snapshot, today));
    standing
}

/// Panels on their way, as recorded.
fn recorded(snapshot: &Snapshot) -> Vec<Standing> {
    let on_the_way = snapshot.lots.iter().filter(|l| l.stage != Stage::Ready && l.quantity > 0);
    let standing = on_the_way.map(|l| Standing {
        panel: l.panel.clone(),
        revision: l.revision.clone(),
        stage: l.stage,
        since: l.since,
        quantity: l.quantity,
        tank: l.tank.clone(),
        rack: l.rack.clone(),
    });
    standing.collect()
}

/// Panels on their way at the end of today, its sheet done.
pub(super) fn projected(snapshot: &Snapshot, today: Day) -> Vec<Standing> {
    let mut standing = before_the_issue(snapshot, today);
    // A plan may leave the tank or rack out where there is one, and the tank where panels only pass through.
    let rooms = (snapshot.tanks.first().map(|t| t.id.clone()), snapshot.racks.first().map(|r| r.id.clone()));
    let plan = snapshot.issued_plan.as_ref();
    for task in plan.map(|p| tasks::strips(p, today, &snapshot.moves)).unwrap_or_default() {
        let hold = snapshot.holds.get(&task.revision);
        let may = |s: &Standing| {
            let days = hold.map_or(1, |h| h.when_poured_on(s.since));
            s.stage == Stage::InMould && (today - s.since).num_days() >= days
        };
        carry_out(&mut standing, &task, Stage::Soaking, today, &rooms, may);
    }
    for task in plan.map(|p| tasks::lifts(p, today, &snapshot.moves)).unwrap_or_default() {
        let soaking = snapshot.soaking();
        let may = |s: &Standing| {
            let here = task.tank.is_none() || s.tank.is_none() || s.tank == task.tank;
            s.stage == Stage::Soaking && here && soaking.lifted(&s.revision, s.tank.as_ref(), s.since).1 <= today
        };
        carry_out(&mut standing, &task, Stage::Drying, today, &rooms, may);
    }
    standing
}

/// Moves up to the task's quantity on, the oldest that may go first.
fn carry_out(
    standing: &mut Vec<Standing>,
    task: &Task,
    to: Stage,
    today: Day,
    rooms: &(Option<TankId>, Option<RackId>),
    may: impl Fn(&Standing) -> bool,
) {
    let mut left = task.left();
    let mut moved = Vec::new();
    standing.sort_by_key(|s| s.since);
    for group in standing.iter_mut() {
        if left == 0 || group.panel != task.panel || group.revision != task.revision || !may(group) {
            continue;
        }
        let taken = left.min(group.quantity);
        left -= taken;
        group.quantity -= taken;
        let (tank, rack) = match to {
            Stage::Soaking => (task.tank.clone().or_else(|| rooms.0.clone()), None),
            _ => (None, task.rack.clone().or_else(|| rooms.1.clone())),
        };
        moved.push(Standing { stage: to, since: today, quantity: taken, tank, rack, ..group.clone() });
    }
    standing.retain(|s| s.quantity > 0);
    standing.extend(moved);
}

/// Panels that today's tickets will have filled and open ones of earlier days have, unless their lots are already recorded.
fn panels_of_open_tickets(snapshot: &Snapshot, today: Day) -> Vec<Standing> {
    let mut standing = Vec::new();
    for ticket in open_tickets(snapshot, today) {
        for fill in &ticket.fills {
            let there = snapshot.lots.iter().filter(|l| l.ticket == Some(ticket.number) && l.panel == fill.panel);
            let quantity = fill.finished - there.map(|l| l.quantity).sum::<i64>();
            if quantity > 0 {
                standing.push(Standing {
                    panel: fill.panel.clone(),
                    revision: ticket.revision.clone(),
                    stage: Stage::InMould,
                    since: ticket.number.day,
                    quantity,
                    tank: None,
                    rack: None,
                });
            }
        }
    }
    standing
}

/// What tickets, of today and earlier, that are still open will draw or have drawn.
pub(super) fn draws_of_open_tickets(snapshot: &Snapshot, today: Day) -> BTreeMap<MaterialId, Amount> {
    let open: Vec<Ticket> = open_tickets(snapshot, today).cloned().collect();
    open_draws(&open)
}

fn open_tickets(snapshot: &Snapshot, today: Day) -> impl Iterator<Item = &Ticket> {
    snapshot.tickets.iter().filter(move |t| t.state == TicketState::Issued && t.number.day <= today)
}

/// Whether today's sheet counts the delivery as arrived.
pub(super) fn arrives_today(delivery: &Delivery, today: Day) -> bool {
    delivery.expected_on == today
}
