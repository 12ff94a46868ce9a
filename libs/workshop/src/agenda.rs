//! What a calendar shows of the work to come, and how an entry in it lives: it is changed, moved, cancelled and comes back
//! under one name.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Days, NaiveDate as Day, Utc};

use crate::documents::Plan;
use crate::orders::{Order, OrderState};
use crate::stock::{Delivery, DeliveryState};

/// What an entry is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// Panels poured on a day.
    Pour,
    /// Panels taken out of their moulds on a day.
    Strip,
    /// Panels taken out of a tank on a day.
    Lift,
    /// Packs coming.
    Delivery,
    /// The last day to order packs that the plan wants.
    OrderDay,
    /// The day an order is whole.
    Order,
}

impl Topic {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Pour, Self::Strip, Self::Lift, Self::Delivery, Self::OrderDay, Self::Order];

    /// Its word, with which names of entries begin.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pour => "pour",
            Self::Strip => "strip",
            Self::Lift => "lift",
            Self::Delivery => "delivery",
            Self::OrderDay => "order-day",
            Self::Order => "order",
        }
    }
}

/// An entry as it should be.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wanted {
    /// What it is about.
    pub topic: Topic,
    /// Its name among those of its topic; the same for the same thing ever after.
    pub name: String,
    /// The whole day it is on.
    pub day: Day,
    /// In a few words.
    pub summary: String,
    /// In full, line by line.
    pub description: String,
}

/// An entry as it was given out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// What it says.
    pub content: Wanted,
    /// How often it was changed.
    pub sequence: i64,
    /// When it was made or changed last.
    pub changed_at: DateTime<Utc>,
    /// Whether it is taken back.
    pub cancelled: bool,
}

/// What is known when entries are wanted.
pub struct Known<'a> {
    /// The plan in force, and the first day it speaks of.
    pub plan: Option<(&'a Plan, Day)>,
    /// All deliveries, on their way and here.
    pub deliveries: &'a [Delivery],
    /// All orders.
    pub orders: &'a [Order],
    /// Calendar days from order to arrival, by material.
    pub lead_days: &'a BTreeMap<String, u64>,
}

impl Known<'_> {
    /// Every entry there should be, by topic and name.
    pub fn wanted(&self) -> Vec<Wanted> {
        let mut wanted = Vec::new();
        if let Some((plan, _)) = self.plan {
            let pours = plan.pours.iter().map(|p| (p.day, of(&p.panel, &p.mix, p.quantity, None), p.quantity));
            wanted.extend(by_day(Topic::Pour, "Pour", pours));
            let strips =
                plan.strips.iter().map(|s| (s.day, of(&s.panel, &s.mix, s.quantity, s.tank.as_deref()), s.quantity));
            wanted.extend(by_day(Topic::Strip, "Strip", strips));
            let lifts =
                plan.lifts.iter().map(|l| (l.day, of(&l.panel, &l.mix, l.quantity, l.rack.as_deref()), l.quantity));
            wanted.extend(by_day(Topic::Lift, "Lift", lifts));
            wanted.extend(self.order_days(plan));
        }
        wanted.extend(self.deliveries.iter().map(delivery));
        wanted.extend(self.orders.iter().filter(|o| o.state == OrderState::Open).map(|o| self.order(o)));
        wanted.sort();
        wanted
    }

    /// Whether nothing that is known now can take this entry back: its day lies before the plan's, or its order went out.
    pub fn is_settled(&self, entry: &Wanted) -> bool {
        match entry.topic {
            Topic::Pour | Topic::Strip | Topic::Lift | Topic::OrderDay => {
                self.plan.is_none_or(|(_, first_day)| entry.day < first_day)
            }
            // All deliveries are known, so one that is missing was taken back.
            Topic::Delivery => false,
            Topic::Order => {
                let sent = |o: &&Order| o.state == OrderState::Dispatched && o.id.as_str() == entry.name;
                self.orders.iter().any(|o| sent(&o))
            }
        }
    }

    fn order_days(&self, plan: &Plan) -> Vec<Wanted> {
        let mut packs: BTreeMap<(&str, Day), i64> = BTreeMap::new();
        for delivery in &plan.deliveries {
            *packs.entry((&delivery.material, delivery.arrives)).or_default() += delivery.packs;
        }
        let wanted = packs.into_iter().map(|((material, arrives), packs)| Wanted {
            topic: Topic::OrderDay,
            name: format!("{material}-{arrives}"),
            day: arrives - Days::new(self.lead_days.get(material).copied().unwrap_or(0)),
            summary: format!("Order {}", packs_of(packs, material)),
            description: format!("To be here on {arrives}."),
        });
        wanted.collect()
    }

    fn order(&self, order: &Order) -> Wanted {
        let planned = self.plan.and_then(|(plan, _)| plan.orders.iter().find(|o| o.id == order.id.as_str()));
        let ready = planned.and_then(|result| result.ready_on);
        let (summary, day) = match ready {
            Some(day) if day > order.due_on => {
                (format!("Order {} whole, {} days late", order.id, (day - order.due_on).num_days()), day)
            }
            Some(day) => (format!("Order {} whole", order.id), day),
            None => (format!("Order {} due, not planned", order.id), order.due_on),
        };
        let description = format!("Wanted on {}.", order.due_on);
        Wanted { topic: Topic::Order, name: order.id.to_string(), day, summary, description }
    }
}

fn packs_of(packs: i64, material: &str) -> String {
    format!("{packs} {} of {material}", if packs == 1 { "pack" } else { "packs" })
}

fn of(panel: &str, mix: &str, quantity: i64, place: Option<&str>) -> String {
    let place = place.map_or(String::new(), |place| format!(", {place}"));
    format!("{quantity} × {panel}, {mix}{place}")
}

/// One entry for each day: its lines in order, and how many panels.
fn by_day(topic: Topic, verb: &str, lines: impl Iterator<Item = (Day, String, i64)>) -> Vec<Wanted> {
    let mut days: BTreeMap<Day, (BTreeSet<String>, i64)> = BTreeMap::new();
    for (day, line, quantity) in lines {
        let (of_day, panels) = days.entry(day).or_default();
        of_day.insert(line);
        *panels += quantity;
    }
    let wanted = days.into_iter().map(|(day, (lines, panels))| Wanted {
        topic,
        name: day.to_string(),
        day,
        summary: format!("{verb} {panels} {}", if panels == 1 { "panel" } else { "panels" }),
        description: lines.into_iter().collect::<Vec<_>>().join("\n"),
    });
    wanted.collect()
}

fn delivery(delivery: &Delivery) -> Wanted {
    let packs = packs_of(delivery.packs, delivery.material.as_str());
    let (day, summary) = match (delivery.state, delivery.arrived_on) {
        (DeliveryState::Here, Some(day)) => (day, format!("{packs}: here")),
        _ => (delivery.expected_on, format!("{packs}: on the way")),
    };
    let description = format!("Delivery {}, expected on {}.", delivery.id, delivery.expected_on);
    Wanted { topic: Topic::Delivery, name: delivery.id.to_string(), day, summary, description }
}

/// What has to be written so that what is kept agrees with what is wanted: new entries, changed ones with the next sequence,
/// and those no longer wanted as cancelled, unless they are settled.
pub fn changes(
    kept: &[Event],
    wanted: &[Wanted],
    is_settled: impl Fn(&Wanted) -> bool,
    now: DateTime<Utc>,
) -> Vec<Event> {
    let known: BTreeMap<(Topic, &str), &Event> =
        kept.iter().map(|event| ((event.content.topic, event.content.name.as_str()), event)).collect();
    let names: BTreeSet<(Topic, &str)> = wanted.iter().map(|w| (w.topic, w.name.as_str())).collect();
    let next = |event: &Event| event.sequence + 1;
    let mut changes = Vec::new();
    for content in wanted {
        let sequence = match known.get(&(content.topic, content.name.as_str())) {
            Some(event) if event.content == *content && !event.cancelled => continue,
            Some(event) => next(event),
            None => 0,
        };
        changes.push(Event { content: content.clone(), sequence, changed_at: now, cancelled: false });
    }
    let gone = kept.iter().filter(|event| {
        let wanted = names.contains(&(event.content.topic, event.content.name.as_str()));
        !event.cancelled && !wanted && !is_settled(&event.content)
    });
    changes.extend(gone.map(|event| Event {
        sequence: next(event),
        changed_at: now,
        cancelled: true,
        content: event.content.clone(),
    }));
    changes
}

#[cfg(test)]
mod tests;
