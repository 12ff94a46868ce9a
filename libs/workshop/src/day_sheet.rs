//! Everything one day needs: what arrives, what is moved, what is mixed, what becomes ready and whole.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use crate::documents::{Facts, Plan, facts};
use crate::ids::{DeliveryId, PanelId, RevisionId};
use crate::lots::{LotMove, Stage};
use crate::month::leaves_rack_on;
use crate::planning::tasks::{self, Task};
use crate::stock::{Delivery, DeliveryState};
use crate::tickets::Ticket;

/// What a day sheet is made from.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// The day.
    pub day: Day,
    /// The workshop's today: what is overdue is looked for on today's sheet only.
    pub today: Day,
    /// What the plan that governs the day was told; none where there is no plan.
    pub facts: Option<&'a Facts>,
    /// That plan: the one the day's tickets were issued from, else the one in force.
    pub plan: Option<&'a Plan>,
    /// The day's tickets.
    pub tickets: &'a [Ticket],
    /// Stages recorded that day.
    pub moves: &'a [(LotMove, PanelId, RevisionId)],
    /// Deliveries on their way.
    pub deliveries: &'a [Delivery],
}

/// One day of the workshop, in the order it happens.
#[derive(Clone, Debug, PartialEq)]
pub struct DaySheet {
    /// The day.
    pub day: Day,
    /// What arrives.
    pub arrivals: Vec<Arrival>,
    /// Panels that leave a rack, ready.
    pub ready: Vec<Task>,
    /// Panels from a tank onto a rack.
    pub lifts: Vec<Task>,
    /// Panels out of their moulds into a tank.
    pub strips: Vec<Task>,
    /// What is poured, where no tickets are issued for it yet.
    pub pours: Vec<facts::Pour>,
    /// What is mixed, in mixing order.
    pub tickets: Vec<Ticket>,
    /// Orders that are whole on this day and can go out.
    pub whole: Vec<String>,
    /// Labour of all of it.
    pub labour_minutes: f64,
}

/// Packs of one material due on the day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Arrival {
    /// Which material.
    pub material: String,
    /// How many packs.
    pub packs: i64,
    /// The delivery, where a person has ordered it; none where the plan only asks for it.
    pub delivery: Option<DeliveryId>,
    /// Day it was expected, where that is past.
    pub overdue_since: Option<Day>,
}

/// Writes the sheet of a day.
pub fn sheet(inputs: &Inputs) -> DaySheet {
    let Inputs { day, facts, plan, moves, tickets, .. } = *inputs;
    let strips = plan.map(|p| tasks::strips(p, day, moves)).unwrap_or_default();
    let lifts = plan.map(|p| tasks::lifts(p, day, moves)).unwrap_or_default();
    let leaving = facts.zip(plan).map(|(f, p)| leaving_racks(f, p, day)).unwrap_or_default();
    let planned = plan.filter(|_| tickets.is_empty());
    let mut sheet = DaySheet {
        day,
        arrivals: arrivals(inputs),
        ready: tasks::marked(leaving, moves, Stage::Ready, day),
        lifts,
        strips,
        pours: planned.iter().flat_map(|p| &p.pours).filter(|p| p.day == day).cloned().collect(),
        tickets: tickets.to_vec(),
        whole: plan.map(|p| whole_on(p, day)).unwrap_or_default(),
        labour_minutes: 0.0,
    };
    sheet.labour_minutes = labour(&sheet, facts, planned);
    sheet
}

fn arrivals(inputs: &Inputs) -> Vec<Arrival> {
    let here_on = |d: &Delivery| if d.expected_on < inputs.today { inputs.today } else { d.expected_on };
    let open = inputs.deliveries.iter().filter(|d| d.state == DeliveryState::OnItsWay);
    let ordered = open.filter(|d| here_on(d) == inputs.day);
    let ordered = ordered.map(|d| Arrival {
        material: d.material.to_string(),
        packs: d.packs,
        delivery: Some(d.id),
        overdue_since: (d.expected_on < inputs.day).then_some(d.expected_on),
    });
    let planned = inputs.plan.iter().flat_map(|p| &p.deliveries).filter(|d| d.arrives == inputs.day).map(|d| Arrival {
        material: d.material.clone(),
        packs: d.packs,
        delivery: None,
        overdue_since: None,
    });
    ordered.chain(planned).collect()
}

/// Panels whose drying ends so that they leave their rack on `day`: the first working day not before lift + dry days.
fn leaving_racks(facts: &Facts, plan: &Plan, day: Day) -> Vec<Task> {
    let leaves = |mix: &str, since: Day| leaves_rack_on(facts, mix, since) == Some(day);
    let drying = facts.lots.iter().filter(|l| l.stage == facts::Stage::Drying && leaves(&l.mix, l.since));
    let drying = drying.map(|l| (&l.panel, &l.mix, l.quantity, &l.rack));
    let lifted = plan.lifts.iter().filter(|l| leaves(&l.mix, l.day)).map(|l| (&l.panel, &l.mix, l.quantity, &l.rack));
    let mut together: BTreeMap<_, i64> = BTreeMap::new();
    for (panel, mix, quantity, rack) in drying.chain(lifted) {
        *together.entry((panel, mix, rack)).or_default() += quantity;
    }
    let task = |((panel, mix, rack), quantity): ((&String, &String, &Option<String>), i64)| {
        Task::planned(panel, mix, quantity, None, rack.as_deref())
    };
    together.into_iter().filter_map(task).collect()
}

fn whole_on(plan: &Plan, day: Day) -> Vec<String> {
    plan.orders.iter().filter(|o| o.ready_on == Some(day)).map(|o| o.id.clone()).collect()
}

/// Minutes of all moves and tickets; of pours, batches and washouts as planned, where there are no tickets yet.
fn labour(sheet: &DaySheet, facts: Option<&Facts>, planned: Option<&Plan>) -> f64 {
    let Some(facts) = facts else { return sheet.tickets.iter().map(|t| t.labour.get() as f64).sum() };
    let panels: BTreeMap<&str, &facts::Panel> = facts.panels.iter().map(|p| (p.id.as_str(), p)).collect();
    let minutes = |panel: &str, quantity: i64, each: fn(&facts::Panel) -> f64| {
        panels.get(panel).map_or(0.0, |p| each(p) * quantity as f64)
    };
    let strips: f64 = sheet.strips.iter().map(|t| minutes(t.panel.as_str(), t.quantity, |p| p.strip_minutes)).sum();
    let lifts: f64 = sheet.lifts.iter().map(|t| minutes(t.panel.as_str(), t.quantity, |p| p.lift_minutes)).sum();
    let pours: f64 = sheet.pours.iter().map(|p| minutes(&p.panel, p.quantity, |p| p.pour_minutes)).sum();
    let tickets: f64 = sheet.tickets.iter().map(|t| t.labour.get() as f64).sum();
    let mut batches: BTreeMap<&str, usize> = BTreeMap::new();
    for b in planned.iter().flat_map(|p| &p.batches).filter(|b| b.day == sheet.day) {
        *batches.entry(&b.mix).or_default() += b.litres.len();
    }
    let mixing = facts.mixes.iter().filter_map(|m| batches.get(m.id.as_str()).map(|n| (m, *n as f64)));
    let mixing: f64 = mixing.map(|(m, n)| n * m.batch_minutes + m.washout_minutes).sum();
    strips + lifts + pours + tickets + mixing
}
