//! Everything one day needs: what arrives, what is moved, what is mixed, what becomes ready and whole.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

use crate::catalogue::Amount;
use crate::documents::{Facts, Plan, facts, plan};
use crate::ids::{DeliveryId, OrderId, PanelId, RevisionId};
use crate::lots::{LotMove, Stage};
use crate::month::leaves_rack_on;
use crate::planning::tasks::{self, Task};
use crate::said::{Progress, Said};
use crate::soaking::Slow;
use crate::stock::{Delivery, DeliveryState};
use crate::tickets::{Ticket, TicketState};
use crate::upkeep::UpkeepEntry;

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
    /// The plan's deliveries that nobody has ordered yet.
    pub to_order: &'a [plan::Delivery],
    /// The day's tickets.
    pub tickets: &'a [Ticket],
    /// Stages recorded that day.
    pub moves: &'a [(LotMove, PanelId, RevisionId)],
    /// Deliveries on their way, and those that came that day.
    pub deliveries: &'a [Delivery],
    /// Panels in cold water.
    pub slow: &'a [Slow],
    /// Upkeep tasks of the day.
    pub upkeep: &'a [UpkeepEntry],
    /// What was sent out that day, by order.
    pub sent: &'a [Sent],
}

/// Panels sent out for an order on the day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sent {
    /// The order.
    pub order: OrderId,
    /// How many panels went that day.
    pub panels: i64,
    /// Whether nothing of the order is left to send.
    pub complete: bool,
    /// Who recorded it, each name once.
    pub said: Vec<Said>,
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
    /// Panels that cold water keeps in their tank longer than usual.
    pub slow: Vec<Slow>,
    /// Panels out of their moulds into a tank.
    pub strips: Vec<Task>,
    /// Upkeep of tanks, racks and the workshop.
    pub upkeep: Vec<UpkeepEntry>,
    /// What is poured, where no tickets are issued for it yet.
    pub pours: Vec<PlannedPour>,
    /// What is mixed, in mixing order.
    pub tickets: Vec<Ticket>,
    /// Orders that are whole on this day by the plan and can go out, and those of which something went.
    pub dispatches: Vec<Dispatch>,
    /// Whether the day has ended.
    pub over: bool,
    /// Labour of all of it.
    pub labour_minutes: f64,
}

/// A pour as the plan has it.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedPour {
    /// The pour.
    pub pour: facts::Pour,
    /// Labour of it, without the batches.
    pub minutes: f64,
}

/// An order to be sent out, or sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dispatch {
    /// The order.
    pub order: String,
    /// Whether it is whole by the plan that day, and not all of it has gone.
    pub whole: bool,
    /// Panels that went that day.
    pub panels: i64,
    /// How far it has come.
    pub progress: Progress,
    /// Who recorded it, each name once.
    pub said: Vec<Said>,
}

/// Packs of one material due on the day, or come on it.
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
    /// What came, in the material's own unit.
    pub received: Option<Amount>,
    /// How far it has come.
    pub progress: Progress,
    /// Who said that it is here, and when.
    pub said: Said,
}

impl DaySheet {
    /// How far a ticket of it has come: a void one is not to be done.
    pub fn ticket_progress(&self, ticket: &Ticket) -> Progress {
        match ticket.state {
            TicketState::Mixed => Progress::Done,
            TicketState::Void => Progress::NotDone,
            TicketState::Issued => Progress::of(0, 1, self.over),
        }
    }

    /// Orders that are whole and can go out, or what is left of them can.
    pub fn whole(&self) -> impl Iterator<Item = &str> {
        self.dispatches.iter().filter(|d| d.whole).map(|d| d.order.as_str())
    }
}

/// Writes the sheet of a day.
pub fn sheet(inputs: &Inputs) -> DaySheet {
    let Inputs { day, facts, plan, moves, tickets, .. } = *inputs;
    let minutes = Labour::of(facts);
    let timed = |mut tasks: Vec<Task>, each: fn(&facts::Panel) -> f64| {
        tasks.iter_mut().for_each(|t| t.minutes = minutes.of_panels(t.panel.as_str(), t.quantity, each));
        tasks
    };
    let strips = timed(plan.map(|p| tasks::strips(p, day, moves)).unwrap_or_default(), |p| p.strip_minutes);
    let lifts = timed(plan.map(|p| tasks::lifts(p, day, moves)).unwrap_or_default(), |p| p.lift_minutes);
    let leaving = facts.zip(plan).map(|(f, p)| leaving_racks(f, p, day)).unwrap_or_default();
    let planned = plan.filter(|_| tickets.is_empty());
    let pour = |p: &facts::Pour| PlannedPour {
        pour: p.clone(),
        minutes: minutes.of_panels(&p.panel, p.quantity, |p| p.pour_minutes),
    };
    let mut sheet = DaySheet {
        day,
        arrivals: arrivals(inputs),
        ready: tasks::marked(leaving, moves, Stage::Ready, day),
        lifts,
        slow: inputs.slow.to_vec(),
        strips,
        upkeep: inputs.upkeep.to_vec(),
        pours: planned.iter().flat_map(|p| &p.pours).filter(|p| p.day == day).map(pour).collect(),
        tickets: tickets.to_vec(),
        dispatches: dispatches(inputs),
        over: day < inputs.today,
        labour_minutes: 0.0,
    };
    sheet.labour_minutes = labour(&sheet, facts, planned);
    sheet
}

fn arrivals(inputs: &Inputs) -> Vec<Arrival> {
    let here_on = |d: &Delivery| if d.expected_on < inputs.today { inputs.today } else { d.expected_on };
    let over = inputs.day < inputs.today;
    let due = |d: &&Delivery| match d.state {
        DeliveryState::OnItsWay if over => d.expected_on == inputs.day,
        DeliveryState::OnItsWay => here_on(d) == inputs.day,
        DeliveryState::Here => d.arrived_on == Some(inputs.day),
    };
    let ordered = inputs.deliveries.iter().filter(due).map(|d| Arrival {
        material: d.material.to_string(),
        packs: d.packs,
        delivery: Some(d.id),
        overdue_since: (d.expected_on < inputs.day).then_some(d.expected_on),
        received: d.received,
        progress: Progress::of(d.received.map_or(0, Amount::get), d.ordered().get(), over),
        said: d.said.clone(),
    });
    let planned = inputs.to_order.iter().filter(|d| d.arrives == inputs.day).map(|d| Arrival {
        material: d.material.clone(),
        packs: d.packs,
        delivery: None,
        overdue_since: None,
        received: None,
        progress: Progress::of(0, 1, over),
        said: Said::default(),
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

/// What the plan has whole on the day, and what was sent on it.
fn dispatches(inputs: &Inputs) -> Vec<Dispatch> {
    let ready = |o: &&plan::OrderResult| o.ready_on == Some(inputs.day);
    let whole: Vec<&str> =
        inputs.plan.into_iter().flat_map(|p| &p.orders).filter(ready).map(|o| o.id.as_str()).collect();
    let planned = whole.iter().filter(|id| !inputs.sent.iter().any(|s| s.order.as_str() == **id)).map(|id| Dispatch {
        order: (*id).to_owned(),
        whole: true,
        panels: 0,
        progress: Progress::of(0, 1, inputs.day < inputs.today),
        said: Vec::new(),
    });
    let sent = inputs.sent.iter().map(|s| Dispatch {
        order: s.order.to_string(),
        whole: !s.complete && whole.contains(&s.order.as_str()),
        panels: s.panels,
        progress: if s.complete { Progress::Done } else { Progress::PartlyDone },
        said: s.said.clone(),
    });
    let mut all: Vec<Dispatch> = planned.chain(sent).collect();
    all.sort_by(|a, b| a.order.cmp(&b.order));
    all
}

/// Labour of moves and pours, as the facts have it; without facts nobody knows.
struct Labour<'a>(BTreeMap<&'a str, &'a facts::Panel>);

impl<'a> Labour<'a> {
    fn of(facts: Option<&'a Facts>) -> Self {
        Self(facts.into_iter().flat_map(|f| &f.panels).map(|p| (p.id.as_str(), p)).collect())
    }

    fn of_panels(&self, panel: &str, quantity: i64, each: fn(&facts::Panel) -> f64) -> f64 {
        self.0.get(panel).map_or(0.0, |p| each(p) * quantity as f64)
    }
}

/// Minutes of all moves, tickets and upkeep; of pours, batches and washouts as planned, where there are no tickets yet.
fn labour(sheet: &DaySheet, facts: Option<&Facts>, planned: Option<&Plan>) -> f64 {
    let moves: f64 = sheet.strips.iter().chain(&sheet.lifts).map(|t| t.minutes).sum();
    let pours: f64 = sheet.pours.iter().map(|p| p.minutes).sum();
    let tickets: f64 = sheet.tickets.iter().map(|t| t.labour.get() as f64).sum();
    let upkeep: f64 = sheet.upkeep.iter().map(|u| u.task.minutes.get() as f64).sum();
    let mut batches: BTreeMap<&str, usize> = BTreeMap::new();
    for b in planned.iter().flat_map(|p| &p.batches).filter(|b| b.day == sheet.day) {
        *batches.entry(&b.mix).or_default() += b.litres.len();
    }
    let mixes = facts.into_iter().flat_map(|f| &f.mixes);
    let mixing = mixes.filter_map(|m| batches.get(m.id.as_str()).map(|n| (m, *n as f64)));
    let mixing: f64 = mixing.map(|(m, n)| n * m.batch_minutes + m.washout_minutes).sum();
    moves + pours + tickets + upkeep + mixing
}
