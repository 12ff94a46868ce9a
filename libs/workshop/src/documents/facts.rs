//! What the planner may know: one document, nothing else.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate as Day;

/// Everything a planning run is told. Ids are unique within their list; every id named is there.
#[derive(Clone, Debug, PartialEq)]
pub struct Facts {
    /// What to call this document, if anything.
    pub name: Option<String>,
    /// First day of the horizon.
    pub first_day: Day,
    /// Last day of the horizon, where counting ends, working day or not.
    pub last_day: Day,
    /// Work happens on these only; those outside the horizon are passed over.
    pub working_days: BTreeSet<Day>,
    /// Minutes of labour on each working day.
    pub labour_minutes: Labour,
    /// Most batches on one day, all mixes together.
    pub mixer_batches: i64,
    /// What is drawn from stock.
    pub materials: Vec<Material>,
    /// What is poured.
    pub mixes: Vec<Mix>,
    /// What it is poured into.
    pub mould_groups: Vec<MouldGroup>,
    /// What is cast.
    pub panels: Vec<Panel>,
    /// Where panels soak.
    pub tanks: Vec<Room>,
    /// Where panels dry.
    pub racks: Vec<Room>,
    /// Panels on hand, good and ready.
    pub ready_stock: Vec<ReadyStock>,
    /// Panels on the way.
    pub lots: Vec<Lot>,
    /// Pours decided already: exactly these happen.
    pub pinned: Vec<Pour>,
    /// What is wanted.
    pub orders: Vec<Order>,
    /// Pours of the plan now in force; not binding.
    pub published: Vec<Pour>,
    /// How to plan.
    pub policy: Policy,
}

/// Minutes of labour by day.
#[derive(Clone, Debug, PartialEq)]
pub struct Labour {
    /// On a day not named.
    pub usual: f64,
    /// On named days.
    pub on: BTreeMap<Day, f64>,
}

impl Labour {
    /// Minutes on that day.
    pub fn on(&self, day: Day) -> f64 {
        self.on.get(&day).copied().unwrap_or(self.usual)
    }
}

/// A material, its quantities in its own small unit (g, ml, mm², pieces), prices in minor currency units.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its id.
    pub id: String,
    /// On hand at the start of the first day.
    pub on_hand: f64,
    /// Not to be gone below at the end of a day that draws.
    pub floor: f64,
    /// Quantity in a pack, above 0.
    pub pack: f64,
    /// Price of a pack.
    pub pack_price: f64,
    /// Calendar days from the first day before what is ordered now can be here.
    pub lead_days: i64,
    /// Charge for each delivery.
    pub delivery_charge: f64,
    /// Most there may be on a day with a planned delivery, before its draws.
    pub store_max: Option<f64>,
    /// Lower pack prices for larger deliveries.
    pub price_breaks: Vec<PriceBreak>,
    /// On its way.
    pub expected: Vec<Expected>,
    /// What its small unit is called ("g", "ml", "pieces"), for sentences; nothing is worked out from it.
    pub unit: Option<String>,
}

/// A pack price from so many packs in one delivery.
#[derive(Clone, Debug, PartialEq)]
pub struct PriceBreak {
    /// Fewest packs.
    pub from_packs: i64,
    /// Price of each pack of such a delivery.
    pub pack_price: f64,
}

/// A delivery on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// Day it is expected; there on the next working day if that is none or past.
    pub day: Day,
    /// In the material's own small unit.
    pub quantity: f64,
}

/// A mix revision.
#[derive(Clone, Debug, PartialEq)]
pub struct Mix {
    /// Its id.
    pub id: String,
    /// The finish it gives.
    pub finish: String,
    /// Material drawn for each litre mixed, in the material's own small unit.
    pub per_litre: BTreeMap<String, f64>,
    /// Least litres of a batch.
    pub batch_litres_min: f64,
    /// Most litres of a batch.
    pub batch_litres_max: f64,
    /// Labour of a batch.
    pub batch_minutes: f64,
    /// Litres lost at the washout after the day's last batch.
    pub washout_litres: f64,
    /// Labour of the washout.
    pub washout_minutes: f64,
    /// Minor units a washout costs beside the material it takes, 0 or more.
    pub washout_price: f64,
    /// Other prices of a washout, by the day.
    pub washout_price_on: BTreeMap<Day, f64>,
    /// Calendar days in the mould, 1 or more.
    pub hold_days: i64,
    /// Other holds, by the day poured.
    pub hold_days_on: BTreeMap<Day, i64>,
    /// Calendar days in the tank.
    pub soak_days: i64,
    /// Calendar days on the rack.
    pub dry_days: i64,
    /// Days it may not be poured.
    pub not_on: BTreeSet<Day>,
}

impl Mix {
    /// Days in the mould when poured on `day`: 1 or more.
    pub fn hold_when_poured_on(&self, day: Day) -> i64 {
        self.hold_days_on.get(&day).copied().unwrap_or(self.hold_days).max(1)
    }

    /// Minor units a washout on `day` costs beside the material it takes.
    pub fn washout_price_on(&self, day: Day) -> f64 {
        self.washout_price_on.get(&day).copied().unwrap_or(self.washout_price)
    }
}

/// Interchangeable moulds.
#[derive(Clone, Debug, PartialEq)]
pub struct MouldGroup {
    /// Its id.
    pub id: String,
    /// How many moulds.
    pub moulds: i64,
    /// 1: a mould stripped on a day is not poured again that day; 0: it may be.
    pub turnaround_days: i64,
    /// Moulds missing for a while.
    pub out_of_service: Vec<OutOfService>,
}

impl MouldGroup {
    /// Moulds in service on `day` (may come out negative where more are named missing than there are).
    pub fn in_service(&self, day: Day) -> i64 {
        let out = self.out_of_service.iter().filter(|o| (o.from..=o.to).contains(&day));
        self.moulds - out.map(|o| o.moulds).sum::<i64>()
    }
}

/// Moulds missing from one day to another, both included.
#[derive(Clone, Debug, PartialEq)]
pub struct OutOfService {
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    /// How many.
    pub moulds: i64,
}

/// A panel type.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Its id.
    pub id: String,
    /// Moulds it is cast in.
    pub mould_group: String,
    /// Litres of concrete in one.
    pub litres: f64,
    /// Length of tank row it takes, mm.
    pub tank_mm: f64,
    /// Length of rack row it takes, mm.
    pub rack_mm: f64,
    /// Labour to pour one.
    pub pour_minutes: f64,
    /// Labour to strip one.
    pub strip_minutes: f64,
    /// Labour to lift one.
    pub lift_minutes: f64,
    /// Mixes that suit it.
    pub mixes: Vec<String>,
    /// Tanks it fits; all, where none is named.
    pub tanks: Option<Vec<String>>,
    /// Material drawn with each panel poured (mesh, release oil).
    pub per_panel: BTreeMap<String, f64>,
    /// Share of panels that come out good; no rule uses it.
    pub pass_rate: Option<f64>,
    /// Minor units to keep one that is ready for a night, 0 or more: until it is given and its order is due, or, if it is given to
    /// nobody, until the last day.
    pub keep_price: f64,
}

/// A tank or a rack.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its id.
    pub id: String,
    /// Usable length of row, mm.
    pub mm: f64,
}

/// Ready panels on hand.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadyStock {
    /// Which panel.
    pub panel: String,
    /// In which finish.
    pub finish: String,
    /// How many.
    pub quantity: i64,
}

/// Where a lot is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// In its mould.
    InMould,
    /// In a tank.
    Soaking,
    /// On a rack.
    Drying,
}

/// Panels on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// Where it is.
    pub stage: Stage,
    /// Day it came there, before the first day.
    pub since: Day,
    /// How many.
    pub quantity: i64,
    /// Which tank; may be left out where there is one.
    pub tank: Option<String>,
    /// Which rack; may be left out where there is one.
    pub rack: Option<String>,
    /// While soaking: the day from which it may be lifted, where cold water makes that later than `since` and the mix's soak
    /// days.
    pub soaked_on: Option<Day>,
}

impl Lot {
    /// Calendar days from `since` until a soaking lot may be lifted.
    pub fn soak_days(&self, mix: &Mix) -> i64 {
        self.soaked_on.map_or(mix.soak_days, |day| mix.soak_days.max((day - self.since).num_days()))
    }
}

/// Panels of one type poured from one mix on one day.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pour {
    /// When.
    pub day: Day,
    /// Which panel.
    pub panel: String,
    /// From which mix revision.
    pub mix: String,
    /// How many.
    pub quantity: i64,
}

/// A customer's order.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Its id.
    pub id: String,
    /// Day wanted.
    pub due_on: Day,
    /// What a day late weighs.
    pub weight: f64,
    /// Panels wanted; one line at least.
    pub lines: Vec<OrderLine>,
}

/// So many of one panel in one finish.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderLine {
    /// Which panel.
    pub panel: String,
    /// In which finish.
    pub finish: String,
    /// How many.
    pub quantity: i64,
}

/// How to plan, and for how long.
#[derive(Clone, Debug, PartialEq)]
pub struct Policy {
    /// Days added to the lateness of what is not ready by the last day.
    pub unmet_days: i64,
    /// Working days within which changes to the published plan count.
    pub steady_days: i64,
    /// Minor units an order-day late at weight 1 is worth; ranks cures, never plans.
    pub late_price: f64,
    /// Limit of the run, seconds.
    pub seconds: f64,
    /// Threads of the run.
    pub threads: i64,
    /// Seed of the run.
    pub seed: i64,
}
