//! Facts that contradict themselves are refused, every contradiction at once. What is merely unlucky (no mould, a tank too
//! small for what is in it, a material nobody can bring in time) is not a contradiction: it is planned with.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use workshop::documents::Facts;
use workshop::documents::facts::{Lot, Material, Mix, MouldGroup, Order, Panel, Pour, Stage};

use super::Problem;
use super::build::build;

/// Most days from first to last, both counted.
const LONGEST_HORIZON: i64 = 400;
/// Most panels, moulds or packs any one row may speak of, and most days any wait may last.
const MOST: i64 = 1_000_000;
/// Largest amount any number may give.
const LARGEST: f64 = 1e12;

/// A contradiction in the facts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The row and field, as a path into the facts (`/orders/3/lines/0/quantity`), which is a JSON pointer of their document.
    pub pointer: String,
    /// What is wrong and what to do about it.
    pub detail: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.pointer, self.detail)
    }
}

/// Indexes the facts.
///
/// # Errors
/// Every contradiction found, in the order of the facts' fields.
pub fn validate(facts: &Facts) -> Result<Problem, Vec<Fault>> {
    let mut look = Look { facts, faults: Vec::new() };
    look.horizon();
    look.names();
    facts.materials.iter().enumerate().for_each(|(n, m)| look.material(&format!("/materials/{n}"), m));
    facts.mixes.iter().enumerate().for_each(|(n, m)| look.mix(&format!("/mixes/{n}"), m));
    facts.mould_groups.iter().enumerate().for_each(|(n, g)| look.group(&format!("/mould_groups/{n}"), g));
    facts.panels.iter().enumerate().for_each(|(n, p)| look.panel(&format!("/panels/{n}"), p));
    look.rooms_and_stock();
    facts.lots.iter().enumerate().for_each(|(n, l)| look.lot(&format!("/lots/{n}"), l));
    look.pins();
    facts.orders.iter().enumerate().for_each(|(n, o)| look.order(&format!("/orders/{n}"), o));
    look.published();
    look.policy();
    if look.faults.is_empty() { Ok(build(facts)) } else { Err(look.faults) }
}

struct Look<'a> {
    facts: &'a Facts,
    faults: Vec<Fault>,
}

impl Look<'_> {
    fn fault(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        self.faults.push(Fault { pointer: pointer.into(), detail: detail.into() });
    }

    /// A finite amount, 0 or more.
    fn amount(&mut self, pointer: String, value: f64) {
        if !value.is_finite() {
            self.fault(pointer, format!("{value} is not a number; give a finite one"));
        } else if value < 0.0 {
            self.fault(pointer, format!("{value} is below 0; give 0 or more"));
        } else if value > LARGEST {
            self.fault(pointer, format!("{value} is beyond {LARGEST:e}; give a smaller one"));
        }
    }

    /// A finite amount above 0.
    fn above_zero(&mut self, pointer: String, value: f64) {
        if value == 0.0 {
            self.fault(pointer, "0 makes no sense here; give more than 0");
        } else {
            self.amount(pointer, value);
        }
    }

    /// A whole number from `least` up.
    fn whole(&mut self, pointer: String, value: i64, least: i64) {
        if value < least {
            self.fault(pointer, format!("{value} is below {least}; give {least} or more"));
        } else if value > MOST {
            self.fault(pointer, format!("{value} is beyond {MOST}; give a smaller number"));
        }
    }

    fn horizon(&mut self) {
        let (first, last) = (self.facts.first_day, self.facts.last_day);
        let days = (last - first).num_days() + 1;
        if last < first {
            self.fault("/last_day", format!("{last} is before the first day {first}; swap them or move one"));
        } else if days > LONGEST_HORIZON {
            self.fault(
                "/last_day",
                format!("the horizon has {days} days; {LONGEST_HORIZON} is the most, end it sooner"),
            );
        } else if self.facts.working_days.range(first..=last).next().is_none() {
            self.fault("/working_days", format!("no working day from {first} to {last}; name one at least"));
        }
        let labour = self.facts.labour_minutes.clone();
        self.amount("/labour_minutes/usual".into(), labour.usual);
        for (day, minutes) in &labour.on {
            self.amount(format!("/labour_minutes/on/{day}"), *minutes);
        }
        self.whole("/mixer_batches".into(), self.facts.mixer_batches, 0);
    }

    fn names(&mut self) {
        let facts = self.facts;
        self.unique("materials", facts.materials.iter().map(|row| &row.id));
        self.unique("mixes", facts.mixes.iter().map(|row| &row.id));
        self.unique("mould_groups", facts.mould_groups.iter().map(|row| &row.id));
        self.unique("panels", facts.panels.iter().map(|row| &row.id));
        self.unique("tanks", facts.tanks.iter().map(|row| &row.id));
        self.unique("racks", facts.racks.iter().map(|row| &row.id));
        self.unique("orders", facts.orders.iter().map(|row| &row.id));
    }

    fn unique<'b>(&mut self, list: &str, ids: impl Iterator<Item = &'b String>) {
        let mut seen = BTreeMap::new();
        for (n, id) in ids.enumerate() {
            if id.is_empty() {
                self.fault(format!("/{list}/{n}/id"), "the id is empty; give one");
            } else if let Some(before) = seen.insert(id, n) {
                self.fault(format!("/{list}/{n}/id"), format!("\"{id}\" is row {before}'s id already; rename one"));
            }
        }
    }

    fn named(&mut self, pointer: String, what: &str, id: &str, there: bool) {
        if !there {
            self.fault(pointer, format!("there is no {what} \"{id}\"; add it or name another"));
        }
    }

    fn quantities(&mut self, pointer: &str, of: &BTreeMap<String, f64>) {
        for (id, quantity) in of {
            let there = self.facts.materials.iter().any(|m| m.id == *id);
            self.named(format!("{pointer}/{id}"), "material", id, there);
            self.amount(format!("{pointer}/{id}"), *quantity);
        }
    }

    fn panel_named(&mut self, pointer: &str, id: &str) -> Option<Panel> {
        let panel = self.facts.panels.iter().find(|p| p.id == id).cloned();
        self.named(format!("{pointer}/panel"), "panel", id, panel.is_some());
        panel
    }

    fn mix_named(&mut self, pointer: &str, id: &str) -> Option<Mix> {
        let mix = self.facts.mixes.iter().find(|m| m.id == id).cloned();
        self.named(format!("{pointer}/mix"), "mix", id, mix.is_some());
        mix
    }

    fn material(&mut self, at: &str, m: &Material) {
        self.amount(format!("{at}/on_hand"), m.on_hand);
        self.amount(format!("{at}/floor"), m.floor);
        self.above_zero(format!("{at}/pack"), m.pack);
        self.amount(format!("{at}/pack_price"), m.pack_price);
        self.whole(format!("{at}/lead_days"), m.lead_days, 0);
        self.amount(format!("{at}/delivery_charge"), m.delivery_charge);
        if let Some(most) = m.store_max {
            self.amount(format!("{at}/store_max"), most);
        }
        for (n, step) in m.price_breaks.iter().enumerate() {
            self.whole(format!("{at}/price_breaks/{n}/from_packs"), step.from_packs, 1);
            self.amount(format!("{at}/price_breaks/{n}/pack_price"), step.pack_price);
        }
        for (n, coming) in m.expected.iter().enumerate() {
            self.amount(format!("{at}/expected/{n}/quantity"), coming.quantity);
        }
    }

    fn mix(&mut self, at: &str, m: &Mix) {
        if m.finish.is_empty() {
            self.fault(format!("{at}/finish"), "the finish is empty; name it");
        }
        self.quantities(&format!("{at}/per_litre"), &m.per_litre);
        self.amount(format!("{at}/batch_litres_min"), m.batch_litres_min);
        self.above_zero(format!("{at}/batch_litres_max"), m.batch_litres_max);
        if m.batch_litres_min > m.batch_litres_max {
            let (least, most) = (m.batch_litres_min, m.batch_litres_max);
            self.fault(format!("{at}/batch_litres_min"), format!("{least} L is above the most, {most} L; lower it"));
        }
        self.amount(format!("{at}/batch_minutes"), m.batch_minutes);
        self.amount(format!("{at}/washout_litres"), m.washout_litres);
        self.amount(format!("{at}/washout_minutes"), m.washout_minutes);
        self.amount(format!("{at}/washout_price"), m.washout_price);
        for (day, price) in &m.washout_price_on {
            self.amount(format!("{at}/washout_price_on/{day}"), *price);
        }
        self.whole(format!("{at}/hold_days"), m.hold_days, 1);
        for (day, hold) in &m.hold_days_on {
            self.whole(format!("{at}/hold_days_on/{day}"), *hold, 1);
        }
        self.whole(format!("{at}/soak_days"), m.soak_days, 0);
        self.whole(format!("{at}/dry_days"), m.dry_days, 0);
    }

    fn group(&mut self, at: &str, g: &MouldGroup) {
        self.whole(format!("{at}/moulds"), g.moulds, 0);
        if !(0..=1).contains(&g.turnaround_days) {
            let detail = format!("{} is neither 0 nor 1; give one of them", g.turnaround_days);
            self.fault(format!("{at}/turnaround_days"), detail);
        }
        for (n, out) in g.out_of_service.iter().enumerate() {
            self.whole(format!("{at}/out_of_service/{n}/moulds"), out.moulds, 0);
            if out.to < out.from {
                let detail = format!("{} is before {}; swap them", out.to, out.from);
                self.fault(format!("{at}/out_of_service/{n}/to"), detail);
            }
        }
    }

    fn panel(&mut self, at: &str, p: &Panel) {
        let facts = self.facts;
        let group_there = facts.mould_groups.iter().any(|g| g.id == p.mould_group);
        self.named(format!("{at}/mould_group"), "mould group", &p.mould_group, group_there);
        self.above_zero(format!("{at}/litres"), p.litres);
        self.amount(format!("{at}/tank_mm"), p.tank_mm);
        self.amount(format!("{at}/rack_mm"), p.rack_mm);
        self.amount(format!("{at}/pour_minutes"), p.pour_minutes);
        self.amount(format!("{at}/strip_minutes"), p.strip_minutes);
        self.amount(format!("{at}/lift_minutes"), p.lift_minutes);
        for (n, id) in p.mixes.iter().enumerate() {
            self.named(format!("{at}/mixes/{n}"), "mix", id, facts.mixes.iter().any(|m| m.id == *id));
        }
        for (n, id) in p.tanks.iter().flatten().enumerate() {
            self.named(format!("{at}/tanks/{n}"), "tank", id, facts.tanks.iter().any(|t| t.id == *id));
        }
        self.quantities(&format!("{at}/per_panel"), &p.per_panel);
        self.amount(format!("{at}/keep_price"), p.keep_price);
        if let Some(rate) = p.pass_rate.filter(|rate| !(*rate > 0.0 && *rate <= 1.0)) {
            self.fault(format!("{at}/pass_rate"), format!("{rate} is no share; give more than 0 and at most 1"));
        }
    }

    fn rooms_and_stock(&mut self) {
        let facts = self.facts;
        for (list, rooms) in [("tanks", &facts.tanks), ("racks", &facts.racks)] {
            for (n, room) in rooms.iter().enumerate() {
                self.amount(format!("/{list}/{n}/mm"), room.mm);
            }
        }
        for (n, stock) in facts.ready_stock.iter().enumerate() {
            self.panel_named(&format!("/ready_stock/{n}"), &stock.panel);
            self.whole(format!("/ready_stock/{n}/quantity"), stock.quantity, 1);
        }
    }

    fn lot(&mut self, at: &str, lot: &Lot) {
        let facts = self.facts;
        self.panel_named(at, &lot.panel);
        self.mix_named(at, &lot.mix);
        self.whole(format!("{at}/quantity"), lot.quantity, 1);
        if lot.since >= facts.first_day {
            let detail =
                format!("{} is not before the first day {}; a lot came there earlier", lot.since, facts.first_day);
            self.fault(format!("{at}/since"), detail);
        }
        if lot.soaked_on.is_some() && lot.stage != Stage::Soaking {
            self.fault(format!("{at}/soaked_on"), "is given, but only soaking lots have it: leave it out".to_owned());
        }
        let tanks: Vec<_> = facts.tanks.iter().map(|t| &t.id).collect();
        let racks: Vec<_> = facts.racks.iter().map(|r| &r.id).collect();
        match lot.stage {
            Stage::InMould => {}
            Stage::Soaking => self.place(format!("{at}/tank"), "tank", lot.tank.as_ref(), &tanks),
            Stage::Drying => self.place(format!("{at}/rack"), "rack", lot.rack.as_ref(), &racks),
        }
    }

    fn place(&mut self, pointer: String, what: &str, named: Option<&String>, there: &[&String]) {
        match named {
            Some(id) => self.named(pointer, what, id, there.contains(&id)),
            None if there.len() != 1 => {
                let count = there.len();
                self.fault(pointer, format!("there are {count} {what}s, so this lot has to name its own"));
            }
            None => {}
        }
    }

    fn pour(&mut self, at: &str, pour: &Pour) -> Option<(Panel, Mix)> {
        self.whole(format!("{at}/quantity"), pour.quantity, 1);
        let (panel, mix) = (self.panel_named(at, &pour.panel), self.mix_named(at, &pour.mix));
        panel.zip(mix)
    }

    fn pins(&mut self) {
        let facts = self.facts;
        for (n, pin) in facts.pinned.iter().enumerate() {
            let (at, day) = (format!("/pinned/{n}"), pin.day);
            let named = self.pour(&at, pin);
            if !(facts.first_day..=facts.last_day).contains(&day) {
                self.fault(format!("{at}/day"), format!("{day} is outside the horizon; drop the pin or move it"));
            } else if !facts.working_days.contains(&day) {
                self.fault(format!("{at}/day"), format!("{day} is not a working day; drop the pin or move it"));
            }
            let Some((panel, mix)) = named else { continue };
            if !panel.mixes.contains(&mix.id) {
                let detail =
                    format!("panel \"{}\" does not take mix \"{}\"; drop the pin or change it", panel.id, mix.id);
                self.fault(format!("{at}/mix"), detail);
            }
            if mix.not_on.contains(&day) {
                let detail = format!("mix \"{}\" may not be poured on {day}; drop the pin or move it", mix.id);
                self.fault(format!("{at}/day"), detail);
            }
        }
    }

    fn order(&mut self, at: &str, order: &Order) {
        if order.lines.is_empty() {
            self.fault(format!("{at}/lines"), "the order has no line; give one at least or drop the order");
        }
        self.amount(format!("{at}/weight"), order.weight);
        if (order.due_on - self.facts.first_day).num_days().abs() > MOST {
            self.fault(format!("{at}/due_on"), format!("{} is out of all reach; correct it", order.due_on));
        }
        for (n, line) in order.lines.iter().enumerate() {
            self.panel_named(&format!("{at}/lines/{n}"), &line.panel);
            self.whole(format!("{at}/lines/{n}/quantity"), line.quantity, 1);
        }
    }

    fn published(&mut self) {
        let facts = self.facts;
        let mut seen = BTreeSet::new();
        for (n, pour) in facts.published.iter().enumerate() {
            // The same fault in many published rows of one retired panel is told once.
            if seen.insert((&pour.panel, &pour.mix, pour.quantity < 1)) {
                self.pour(&format!("/published/{n}"), pour);
            }
        }
    }

    fn policy(&mut self) {
        let policy = self.facts.policy.clone();
        self.whole("/policy/unmet_days".into(), policy.unmet_days, 0);
        self.whole("/policy/steady_days".into(), policy.steady_days, 0);
        self.amount("/policy/late_price".into(), policy.late_price);
        self.amount("/policy/seconds".into(), policy.seconds);
        self.whole("/policy/threads".into(), policy.threads, 1);
    }
}
