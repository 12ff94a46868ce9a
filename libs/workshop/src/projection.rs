//! How long each material lasts: day by day what is on hand, used, arriving and to be ordered, and one sentence on top.

mod ordered;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate as Day};
use quantities::MinorUnits;

pub use ordered::still_to_order;

use crate::catalogue::{Amount, Material, StockUnit, Supply};
use crate::documents::{Facts, Plan, plan};
use crate::ids::MaterialId;
use crate::ordering::price;
use crate::planning::{WorkCalendar, days};
use crate::stock::Delivery;
use crate::tickets::{Ticket, TicketState};

/// What is known of one material before it is projected.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outlook {
    /// On hand now, before today's use.
    pub on_hand: Amount,
    /// Planned use by day.
    pub used: BTreeMap<Day, Amount>,
    /// Deliveries on their way by the day they are expected.
    pub expected: BTreeMap<Day, Amount>,
    /// Packs the plan wants ordered, by the day they are to arrive.
    pub to_order: BTreeMap<Day, i64>,
}

/// One day of a projection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProjectedDay {
    /// Which day.
    pub day: Day,
    /// Planned use.
    pub used: Amount,
    /// Arriving, already on its way.
    pub expected: Amount,
    /// Arriving, if it is ordered as planned.
    pub to_order: Amount,
    /// On hand at the day's end, if everything is ordered as planned.
    pub on_hand: Amount,
    /// On hand at the day's end, if nothing more is ordered.
    pub unordered: Amount,
}

/// A material's days to come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Projection {
    /// Every day from today to the last.
    pub days: Vec<ProjectedDay>,
    /// First day whose use would leave less than the floor, if nothing more is ordered.
    pub first_short_day: Option<Day>,
    /// Last working day to order for it; a day that is past means it comes too late.
    pub order_by: Option<Day>,
    /// Packs to order by then; 0 where there is nothing to order, or no one to order from.
    pub packs: i64,
    /// All of it in one sentence.
    pub sentence: String,
}

/// Projects a material from `today` to `last_day`.
///
/// A delivery expected on a day not worked, or overdue, is there on the next working day.
pub fn project(
    material: &Material,
    outlook: &Outlook,
    calendar: &WorkCalendar,
    today: Day,
    last_day: Day,
) -> Projection {
    let days = day_by_day(material, outlook, calendar, today, last_day);
    let short = |d: &&ProjectedDay| d.used > Amount::ZERO && d.unordered < material.floor;
    let first_short_day = days.iter().find(short).map(|d| d.day);
    let lead = Days::new(material.lead_days.max(0).unsigned_abs());
    let sold = material.supply == Supply::Bought;
    let order_by = first_short_day.filter(|_| sold).and_then(|day| calendar.last_until(day - lead));
    let packs = first_short_day.filter(|_| sold).map_or(0, |day| packs_for(material, outlook, &days, day));
    let earliest = calendar.next_after(today + lead - Days::new(1));
    let sentence = Sentence { material, calendar, today, first_short_day, order_by, packs, earliest, days: &days };
    Projection { first_short_day, order_by, packs, sentence: sentence.write(), days }
}

fn day_by_day(
    material: &Material,
    outlook: &Outlook,
    calendar: &WorkCalendar,
    today: Day,
    last_day: Day,
) -> Vec<ProjectedDay> {
    let mut expected: BTreeMap<Day, Amount> = BTreeMap::new();
    for (day, amount) in &outlook.expected {
        let there = calendar.next_after((*day).max(today) - Days::new(1)).unwrap_or(last_day);
        let sum = expected.entry(there).or_default();
        *sum = *sum + *amount;
    }
    let (mut on_hand, mut unordered) = (outlook.on_hand, outlook.on_hand);
    let on = |map: &BTreeMap<Day, Amount>, day| map.get(&day).copied().unwrap_or_default();
    days(today, last_day)
        .map(|day| {
            let packs = outlook.to_order.get(&day).copied().unwrap_or(0);
            let to_order = Amount::new(packs * material.pack.get());
            let (used, expected) = (on(&outlook.used, day), on(&expected, day));
            on_hand = on_hand + expected + to_order - used;
            unordered = unordered + expected - used;
            ProjectedDay { day, used, expected, to_order, on_hand, unordered }
        })
        .collect()
}

/// Packs to order for the first short day: what the plan orders first, unless that is not enough to get over the day; then
/// (the plan is older than the shortage) whole packs for all the use to come.
fn packs_for(material: &Material, outlook: &Outlook, days: &[ProjectedDay], short_day: Day) -> i64 {
    let missing = |d: &ProjectedDay| (material.floor - d.unordered).get().max(0);
    let on_the_day = days.iter().find(|d| d.day == short_day).map_or(0, missing);
    let pack = material.pack.get().max(1);
    match outlook.to_order.values().next() {
        Some(first) if first * pack >= on_the_day => *first,
        _ => packs_up(days.iter().filter(|d| d.used > Amount::ZERO).map(missing).max().unwrap_or(0), pack),
    }
}

/// Whole packs, rounded up.
fn packs_up(amount: i64, pack: i64) -> i64 {
    (amount + pack - 1) / pack
}

/// The parts of the sentence.
struct Sentence<'a> {
    material: &'a Material,
    calendar: &'a WorkCalendar<'a>,
    today: Day,
    first_short_day: Option<Day>,
    order_by: Option<Day>,
    packs: i64,
    earliest: Option<Day>,
    days: &'a [ProjectedDay],
}

impl Sentence<'_> {
    fn write(&self) -> String {
        let name = self.name();
        let Some(short) = self.first_short_day else {
            return match self.days.last().filter(|_| self.days.iter().any(|d| d.used > Amount::ZERO)) {
                Some(last) => format!("{name} lasts to the end of the plan, {}.", spoken(last.day)),
                None => format!("{name} is not used by the plan."),
            };
        };
        format!("{}; {}.", self.lasts(short), self.what_to_do(short))
    }

    /// The material's name without what follows a comma (`Portland cement, 25 kg bags`).
    fn name(&self) -> &str {
        self.material.name.split(',').next().unwrap_or_default()
    }

    fn lasts(&self, short: Day) -> String {
        let name = self.name();
        match self.calendar.last_until(short - Days::new(1)).filter(|day| *day >= self.today) {
            Some(day) => format!("{name} lasts to {}", spoken(day)),
            None => format!("{name} is short on {}", spoken(short)),
        }
    }

    fn what_to_do(&self, short: Day) -> String {
        let packs = if self.packs == 1 { "1 pack".to_owned() } else { format!("{} packs", self.packs) };
        let packs = format!("{packs}{}", price_said(self.material, self.packs));
        let too_late = self.order_by.is_none_or(|by| by < self.today);
        match (self.material.supply, self.order_by, self.earliest) {
            (Supply::Bought, Some(by), _) if by == self.today => format!("order {packs} today"),
            (Supply::Bought, Some(by), _) if !too_late => format!("order {packs} by {}", spoken(by)),
            (Supply::Bought, _, Some(earliest)) => {
                let pronoun = if self.packs == 1 { "it is" } else { "they are" };
                format!(
                    "order {packs} at once: {pronoun} needed on {} and cannot be here before {}",
                    spoken(short),
                    spoken(earliest)
                )
            }
            (Supply::Bought, _, None) => format!("order {packs} at once"),
            (Supply::NotSold | Supply::Mains, ..) => {
                let missing = self.days.iter().map(|d| (self.material.floor - d.unordered).get()).max().unwrap_or(0);
                format!("no one sells it any more, and {missing} {} are missing", unit_sign(self.material.unit))
            }
        }
    }
}

/// The price break that so many packs reach and the charge for their delivery, as far as there are any; money as whole units
/// and hundredths.
fn price_said(material: &Material, packs: i64) -> String {
    let price = price(material, packs);
    let reached = price.from_packs.map(|from| format!("at {} each from {from} on", hundredths(price.pack)));
    let charge = (price.charge.get() > 0).then(|| format!("{} for the delivery", hundredths(price.charge)));
    match (reached, charge) {
        (Some(reached), Some(charge)) => format!(" ({reached}, and {charge})"),
        (Some(one), None) | (None, Some(one)) => format!(" ({one})"),
        (None, None) => String::new(),
    }
}

fn hundredths(money: MinorUnits) -> String {
    format!("{}.{:02}", money.get() / 100, money.get() % 100)
}

/// A plan with what it was told, and what has been ordered beside it.
#[derive(Clone, Copy, Debug)]
pub struct Planned<'a> {
    /// What it was told.
    pub facts: &'a Facts,
    /// The plan.
    pub plan: &'a Plan,
    /// Deliveries that came to be since its facts were read, on their way or here, by number.
    pub since: &'a [Delivery],
}

/// What the records say of all materials, from which each one's [`Outlook`] is made.
#[derive(Clone, Debug)]
pub struct Known {
    today: Day,
    on_hand: BTreeMap<MaterialId, Amount>,
    deliveries: Vec<Delivery>,
    draws: BTreeMap<String, BTreeMap<Day, f64>>,
    to_order: Vec<plan::Delivery>,
    /// What today's open tickets will draw; none where they are not issued, so that the plan speaks for today.
    ticketed: Option<BTreeMap<MaterialId, Amount>>,
}

impl Known {
    /// From what is on hand and on its way, the plan in force, and today's tickets, if they are issued.
    pub fn new(
        today: Day,
        on_hand: BTreeMap<MaterialId, Amount>,
        deliveries: Vec<Delivery>,
        planned: Option<Planned>,
        tickets: Option<&[Ticket]>,
    ) -> Self {
        let to_order = planned.map(|p| still_to_order(p.facts, p.plan, p.since)).unwrap_or_default();
        let draws = planned.map(|p| planned_draws(p.facts, p.plan)).unwrap_or_default();
        Self { today, on_hand, deliveries, draws, to_order, ticketed: tickets.map(open_draws) }
    }

    /// The same, with what tickets of earlier days that nobody reported have drawn taken off what is on hand.
    #[must_use]
    pub fn less_open(mut self, earlier: &[Ticket]) -> Self {
        for (material, amount) in open_draws(earlier) {
            let left = self.on_hand.entry(material).or_insert(Amount::ZERO);
            *left = *left - amount;
        }
        self
    }

    /// What is known of one material. Planned use before today is over, whatever came of it.
    pub fn outlook(&self, material: &Material) -> Outlook {
        let planned = self.draws.get(material.id.as_str()).into_iter().flatten();
        let from = |day: &Day| *day > self.today || (*day == self.today && self.ticketed.is_none());
        let mut used: BTreeMap<Day, Amount> =
            planned.filter(|(day, _)| from(day)).map(|(day, amount)| (*day, to_whole_nearest(*amount))).collect();
        if let Some(amount) = self.ticketed.as_ref().and_then(|t| t.get(&material.id)) {
            used.insert(self.today, *amount);
        }
        let mut expected: BTreeMap<Day, Amount> = BTreeMap::new();
        for delivery in self.deliveries.iter().filter(|d| d.material == material.id) {
            let sum = expected.entry(delivery.expected_on).or_default();
            *sum = *sum + delivery.ordered();
        }
        let mut to_order = BTreeMap::new();
        let mine = |d: &&plan::Delivery| d.material == material.id.as_str() && d.arrives >= self.today;
        for delivery in self.to_order.iter().filter(mine) {
            *to_order.entry(delivery.arrives).or_default() += delivery.packs;
        }
        Outlook { on_hand: self.on_hand.get(&material.id).copied().unwrap_or_default(), used, expected, to_order }
    }
}

/// What tickets that are still to be mixed will draw.
pub fn open_draws(tickets: &[Ticket]) -> BTreeMap<MaterialId, Amount> {
    let mut drawn = BTreeMap::new();
    let open = tickets.iter().filter(|t| t.state == TicketState::Issued);
    for line in open.flat_map(|t| &t.lines).filter(|l| l.counted) {
        let sum = drawn.entry(line.material.clone()).or_insert(Amount::ZERO);
        *sum = *sum + line.target;
    }
    drawn
}

/// A day as it is said: `Thursday 7 May`.
pub fn spoken(day: Day) -> String {
    day.format("%A %-d %B").to_string()
}

/// The sign of a stock unit.
pub const fn unit_sign(unit: StockUnit) -> &'static str {
    match unit {
        StockUnit::Gram => "g",
        StockUnit::Millilitre => "ml",
        StockUnit::SquareMillimetre => "mm²",
        StockUnit::Piece => "pieces",
    }
}

/// What a plan draws, by material and day, in the materials' own units: for each mix and day per_litre × (batch litres +
/// washout litres), and per_panel × panels poured. Materials the facts do not count are not there.
pub fn planned_draws(facts: &Facts, plan: &Plan) -> BTreeMap<String, BTreeMap<Day, f64>> {
    let mut litres: BTreeMap<(Day, &str), f64> = BTreeMap::new();
    for batches in &plan.batches {
        *litres.entry((batches.day, &batches.mix)).or_default() += batches.litres.iter().sum::<f64>();
    }
    let mut drawn: BTreeMap<String, BTreeMap<Day, f64>> = BTreeMap::new();
    let mut draw = |material: &String, day: Day, amount: f64| {
        *drawn.entry(material.clone()).or_default().entry(day).or_default() += amount;
    };
    for ((day, id), poured) in litres {
        for mix in facts.mixes.iter().filter(|m| m.id == id) {
            mix.per_litre.iter().for_each(|(m, a)| draw(m, day, a * (poured + mix.washout_litres)));
        }
    }
    for pour in &plan.pours {
        for panel in facts.panels.iter().filter(|p| p.id == pour.panel) {
            panel.per_panel.iter().for_each(|(m, a)| draw(m, pour.day, a * pour.quantity as f64));
        }
    }
    drawn
}

/// A planned draw as a whole amount, to the nearest unit.
pub fn to_whole_nearest(amount: f64) -> Amount {
    Amount::new(amount.round() as i64)
}
