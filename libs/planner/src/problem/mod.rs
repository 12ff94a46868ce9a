//! The facts, indexed: what every way to a plan works on. Rows are sorted by id, so the order of the facts' rows has no
//! effect on anything; days are indices of working days, `calendar.len()` meaning "not within the horizon".

mod build;
mod calendar;
mod validate;

use chrono::NaiveDate as Day;

pub use calendar::Calendar;
pub use validate::{Fault, validate};

/// Index of a working day; `calendar.len()` is past the horizon.
pub type DayIx = usize;
/// Index of a make: a panel in a mix.
pub type MakeIx = usize;
/// Index of a kind: a panel in a finish.
pub type KindIx = usize;

/// Everything a planning run works on.
#[derive(Clone, Debug)]
pub struct Problem {
    /// The working days.
    pub calendar: Calendar,
    /// Minutes of labour by working day.
    pub labour: Vec<f64>,
    /// Most batches on a day, all mixes together.
    pub mixer_batches: i64,
    /// Materials by id.
    pub materials: Vec<Material>,
    /// Mixes by id.
    pub mixes: Vec<Mix>,
    /// Mould groups by id.
    pub groups: Vec<Group>,
    /// Panels by id.
    pub panels: Vec<Panel>,
    /// Tanks by id.
    pub tanks: Vec<Room>,
    /// Racks by id.
    pub racks: Vec<Room>,
    /// What can be poured, and what is on the way.
    pub makes: Vec<Make>,
    /// What can be ordered.
    pub kinds: Vec<Kind>,
    /// Orders by id.
    pub orders: Vec<Order>,
    /// Panels on the way.
    pub lots: Vec<Lot>,
    /// Pours decided already, by working day: make and panels.
    pub pins: Vec<Vec<(MakeIx, i64)>>,
    /// The published pours of the steady days: day, panel, mix and panels; none where nothing at all is published.
    pub published: Option<Vec<(Day, usize, usize, i64)>>,
    /// Working days within which changes count.
    pub steady_days: usize,
    /// By working day: nights from it to the last day.
    pub nights: Vec<i64>,
    /// Days added to the lateness of what is not ready by the last day.
    pub unmet_days: i64,
}

/// A material, quantities in its own small unit.
#[derive(Clone, Debug)]
pub struct Material {
    /// Its id.
    pub id: String,
    /// Least left at the end of a day that draws.
    pub floor: f64,
    /// Quantity in a pack.
    pub pack: f64,
    /// Price of a pack.
    pub pack_price: f64,
    /// Charge for a delivery.
    pub delivery_charge: f64,
    /// Most there may be when a delivery has come.
    pub store_max: Option<f64>,
    /// From so many packs on, a pack price.
    pub price_breaks: Vec<(i64, f64)>,
    /// First working day a delivery can be here.
    pub lead: DayIx,
    /// On hand and expected by the morning of each working day, nothing drawn.
    pub arrived: Vec<f64>,
    /// What its small unit is called, if it is said.
    pub unit: Option<String>,
}

impl Material {
    /// Price of a pack in a delivery of `packs`.
    pub fn price_of(&self, packs: i64) -> f64 {
        let reached = self.price_breaks.iter().filter(|(from, _)| packs >= *from).map(|(_, price)| *price);
        reached.fold(self.pack_price, f64::min)
    }

    /// The lowest pack price there is.
    pub fn lowest_price(&self) -> f64 {
        self.price_breaks.iter().map(|(_, price)| *price).fold(self.pack_price, f64::min)
    }
}

/// A mix revision.
#[derive(Clone, Debug)]
pub struct Mix {
    /// Its id.
    pub id: String,
    /// Index of the finish it gives, within the sorted finishes.
    pub finish: usize,
    /// Material drawn for each litre.
    pub per_litre: Vec<(usize, f64)>,
    /// Minor units of material in a litre.
    pub litre_price: f64,
    /// Least litres of a batch.
    pub batch_min: f64,
    /// Most litres of a batch.
    pub batch_max: f64,
    /// Minutes of a batch.
    pub batch_minutes: f64,
    /// Litres lost at the washout.
    pub washout_litres: f64,
    /// Minutes of the washout.
    pub washout_minutes: f64,
    /// By working day: minor units of a washout beside its material.
    pub washout_price: Vec<f64>,
    /// First day a panel stripped on a day may be lifted.
    pub lift_from: Vec<DayIx>,
    /// Day a panel lifted on a day is ready.
    pub ready_from: Vec<DayIx>,
    /// Whether panels need no tank.
    pub soak_free: bool,
    /// Whether panels need no rack.
    pub dry_free: bool,
    /// Makes of this mix that may be poured.
    pub makes: Vec<MakeIx>,
}

/// The batches of a mix on a day.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Batching {
    /// How many.
    pub count: i64,
    /// Litres of each, whole millilitres where the mixer's limits allow.
    pub each: f64,
}

impl Batching {
    /// Litres mixed.
    pub fn litres(&self) -> f64 {
        self.count as f64 * self.each
    }
}

impl Mix {
    /// Fewest equal batches that hold `litres`; none where there is nothing to pour.
    pub fn batching(&self, litres: f64) -> Batching {
        if litres <= 0.0 {
            return Batching::default();
        }
        let count = up(litres / self.batch_max - 1e-9).max(1.0);
        let millilitres_up = up(litres / count * 1000.0 - 1e-6) / 1000.0;
        Batching { count: count as i64, each: millilitres_up.max(self.batch_min).min(self.batch_max) }
    }

    /// Minutes of labour for so many batches and the washout after them.
    pub fn minutes(&self, batches: i64) -> f64 {
        if batches == 0 { 0.0 } else { batches as f64 * self.batch_minutes + self.washout_minutes }
    }
}

/// Rounded up; by a cast where that is exact, for it is asked by the million.
fn up(x: f64) -> f64 {
    if !(0.0..1e15).contains(&x) {
        return x.ceil();
    }
    let whole = x as i64 as f64;
    if whole < x { whole + 1.0 } else { whole }
}

/// Interchangeable moulds.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its id.
    pub id: String,
    /// Whether a mould stripped today is taken until tomorrow.
    pub turnaround: bool,
    /// Moulds in service by working day, 0 or more.
    pub in_service: Vec<i64>,
    /// Moulds there are, in service or not.
    pub moulds: i64,
    /// By working day: moulds named out of service beyond those there are. So many more would be out as well.
    pub out_beyond: Vec<i64>,
}

/// A panel type.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Its id.
    pub id: String,
    /// Its mould group.
    pub group: usize,
    /// Litres of one.
    pub litres: f64,
    /// Length of tank row, mm.
    pub tank_mm: f64,
    /// Length of rack row, mm.
    pub rack_mm: f64,
    /// Minutes to pour one.
    pub pour_minutes: f64,
    /// Minutes to strip one.
    pub strip_minutes: f64,
    /// Minutes to lift one.
    pub lift_minutes: f64,
    /// Tanks it fits, fewest others first.
    pub tanks: Vec<usize>,
    /// Material drawn with each.
    pub per_panel: Vec<(usize, f64)>,
    /// Minor units of that material.
    pub panel_price: f64,
    /// Minor units to keep one for a night.
    pub keep_price: f64,
}

/// A tank or rack.
#[derive(Clone, Debug)]
pub struct Room {
    /// Its id.
    pub id: String,
    /// Usable length of row, mm.
    pub mm: f64,
}

/// A panel in a mix.
#[derive(Clone, Debug)]
pub struct Make {
    /// Which panel.
    pub panel: usize,
    /// From which mix.
    pub mix: usize,
    /// What it becomes.
    pub kind: KindIx,
    /// Whether the panel takes the mix; otherwise it is on the way only.
    pub suits: bool,
    /// By day poured: whether it may be.
    pub may_pour: Vec<bool>,
    /// By day poured: first day it may be stripped.
    pub strip_from: Vec<DayIx>,
    /// By day poured: day it is ready if it never waits.
    pub ready_soonest: Vec<DayIx>,
}

/// A panel in a finish.
#[derive(Clone, Debug)]
pub struct Kind {
    /// Which panel.
    pub panel: usize,
    /// Index of the finish.
    pub finish: usize,
    /// The finish by name.
    pub finish_name: String,
    /// Makes that give it and suit, cheapest first.
    pub makes: Vec<MakeIx>,
    /// Ready on hand.
    pub stock: i64,
    /// Ordered in all.
    pub ordered: i64,
}

/// A customer's order.
#[derive(Clone, Debug)]
pub struct Order {
    /// Its id.
    pub id: String,
    /// Day wanted.
    pub due_on: Day,
    /// Day wanted, in days from the first day.
    pub due: i64,
    /// Last working day not after the due day; 0 where there is none.
    pub due_ix: DayIx,
    /// What a day late weighs.
    pub weight: f64,
    /// Kinds wanted and how many, each kind once.
    pub lines: Vec<(KindIx, i64)>,
    /// Days late if not ready by the last day.
    pub unmet_late: i64,
}

/// Where a lot is and when it may go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum At {
    /// In its mould, to be stripped from that day.
    Mould(DayIx),
    /// In that tank, to be lifted from that day.
    Tank(usize, DayIx),
    /// On that rack until that day.
    Rack(usize, DayIx),
}

/// Panels on the way.
#[derive(Clone, Debug)]
pub struct Lot {
    /// What it is.
    pub make: MakeIx,
    /// Where it is.
    pub at: At,
    /// How many.
    pub quantity: i64,
}

impl Problem {
    /// Number of working days.
    pub fn len(&self) -> usize {
        self.calendar.len()
    }

    /// Whether there is no working day; a validated problem always has one.
    pub fn is_empty(&self) -> bool {
        self.calendar.len() == 0
    }

    /// Days late of an order given its last panel on that working day, or not by the last day.
    pub fn days_late(&self, order: &Order, ready: DayIx) -> i64 {
        match self.calendar.offsets().get(ready) {
            Some(offset) => (offset - order.due).max(0),
            None => order.unmet_late,
        }
    }

    /// Whether keeping panels costs anything.
    pub fn keeps(&self) -> bool {
        self.panels.iter().any(|panel| panel.keep_price > 0.0)
    }

    /// Nights from a working day to the last day; none past the horizon.
    pub fn nights_from(&self, day: DayIx) -> f64 {
        self.nights.get(day).map_or(0.0, |nights| *nights as f64)
    }

    /// Minor units to keep a panel of a make poured on a day until the last day: from the day it could be ready, wherever it waits.
    pub fn keep_from_pour(&self, make: MakeIx, day: DayIx) -> f64 {
        self.panel_of(make).keep_price * self.nights_from(self.makes[make].ready_soonest[day])
    }

    /// Minor units to keep what is there on the first morning, ready or on the way, until the last day.
    pub fn keep_from_start(&self) -> f64 {
        let stock =
            self.kinds.iter().map(|kind| kind.stock as f64 * self.panels[kind.panel].keep_price * self.nights_from(0));
        let of_lot =
            |lot: &Lot| lot.quantity as f64 * self.panel_of(lot.make).keep_price * self.nights_from(self.soonest(lot));
        stock.chain(self.lots.iter().map(of_lot)).sum()
    }

    /// Day a lot is ready if it never waits.
    pub fn soonest(&self, lot: &Lot) -> DayIx {
        let mix = self.mix_of(lot.make);
        let then = |from: &[DayIx], day: DayIx| from.get(day).copied().unwrap_or(self.len());
        match lot.at {
            At::Mould(day) => then(&mix.ready_from, then(&mix.lift_from, day)),
            At::Tank(_, day) => then(&mix.ready_from, day),
            At::Rack(_, day) => day,
        }
    }

    /// Minor units that need not be paid to keep a panel of an order until the last day, because it was given on a day: it is gone
    /// then, or when the order is due.
    pub fn kept_no_longer(&self, order: &Order, kind: KindIx, given: DayIx) -> f64 {
        self.panels[self.kinds[kind].panel].keep_price * self.nights_from(given.max(order.due_ix))
    }

    /// The panel of a make.
    pub fn panel_of(&self, make: MakeIx) -> &Panel {
        &self.panels[self.makes[make].panel]
    }

    /// The mix of a make.
    pub fn mix_of(&self, make: MakeIx) -> &Mix {
        &self.mixes[self.makes[make].mix]
    }

    /// Minor units of material in one panel of a make.
    pub fn make_price(&self, make: MakeIx) -> f64 {
        self.panel_of(make).litres * self.mix_of(make).litre_price + self.panel_of(make).panel_price
    }
}
