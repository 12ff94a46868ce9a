//! Why orders are late: what comes back beside a plan.

use chrono::NaiveDate as Day;

/// What a plan has to say for itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Explanation {
    /// One entry for each order late or not ready, by order id.
    pub late: Vec<LateOrder>,
    /// Materials that kept panels from being poured, by id.
    pub shorts: Vec<MaterialShort>,
    /// Moulds, tanks and racks that hold more than they have room for at the start: nothing is added until it fits again.
    pub overfull: Vec<Overfull>,
    /// What would make late orders less late, the one worth most first; none where nobody looked.
    pub cures: Vec<Cure>,
}

/// Why one order is late or not ready.
#[derive(Clone, Debug, PartialEq)]
pub struct LateOrder {
    /// Which order.
    pub order: String,
    /// Day wanted.
    pub due_on: Day,
    /// Day it is whole; none where that is not by the last day.
    pub ready_on: Option<Day>,
    /// Calendar days from due to ready, or to the last day plus the days the policy adds.
    pub days_late: i64,
    /// What holds it back.
    pub cause: Cause,
    /// Day it would be whole beside the others, were there enough of what holds it back; none where more would not help.
    pub freed_on: Option<Day>,
    /// The same in plain words.
    pub sentence: String,
}

/// What holds an order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// All moulds of the panel's group were taken.
    Moulds,
    /// There is no mould for the panel at all.
    NoMould,
    /// No mix that suits the panel gives the finish.
    NoMix,
    /// The tanks were full, so panels waited in their moulds.
    Tank,
    /// The racks were full, so panels waited in their tank.
    Rack,
    /// The day's labour was used up.
    Hours,
    /// The mixer managed no more batches.
    Mixer,
    /// A material was not there.
    Material,
    /// The mix may not be poured on those days.
    ColdDays,
    /// Due sooner than hold, soak and dry times allow.
    LeadTime,
    /// A pinned pour rules out any other of its panel and mix on its day.
    Pins,
    /// Other orders are served first.
    Turn,
    /// Nobody looked: there was no time left.
    Unknown,
}

impl Cause {
    /// Every cause.
    pub const ALL: [Cause; 13] = [
        Cause::Moulds,
        Cause::NoMould,
        Cause::NoMix,
        Cause::Tank,
        Cause::Rack,
        Cause::Hours,
        Cause::Mixer,
        Cause::Material,
        Cause::ColdDays,
        Cause::LeadTime,
        Cause::Pins,
        Cause::Turn,
        Cause::Unknown,
    ];

    /// A short word for it.
    pub fn word(self) -> &'static str {
        match self {
            Cause::Moulds => "moulds",
            Cause::NoMould => "no_mould",
            Cause::NoMix => "no_mix",
            Cause::Tank => "tank",
            Cause::Rack => "rack",
            Cause::Hours => "hours",
            Cause::Mixer => "mixer",
            Cause::Material => "material",
            Cause::ColdDays => "cold_days",
            Cause::LeadTime => "lead_time",
            Cause::Pins => "pins",
            Cause::Turn => "turn",
            Cause::Unknown => "unknown",
        }
    }
}

/// What would make late orders less late: tried by planning on from the plan with it, and told with what that gained.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// What there would be more of.
    pub remedy: Remedy,
    /// Which: an id, a day, or `labour` or `mixer`.
    pub subject: String,
    /// Σ weight × days late that it saves.
    pub order_days_fewer: f64,
    /// What that is worth by the policy, minor units; what the cure itself costs is not in it.
    pub worth: i64,
    /// What materials would cost more, minor units; below 0 where they cost less.
    pub cost_more: i64,
    /// Orders less late with it, those that gain most first.
    pub orders: Vec<Cured>,
    /// The same in plain words.
    pub sentence: String,
}

/// An order less late.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cured {
    /// Which order.
    pub order: String,
    /// Day it would be whole; none where that is not by the last day even so.
    pub ready_on: Option<Day>,
    /// Days late that it would be spared.
    pub days_sooner: i64,
}

/// What there would be more of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Remedy {
    /// Moulds of a group.
    Moulds,
    /// Row in a tank.
    TankRow,
    /// Row on a rack.
    RackRow,
    /// Minutes of labour on every working day.
    Hours,
    /// Minutes of labour on one day.
    Overtime,
    /// Batches a day.
    Batches,
    /// Packs of a material.
    Packs,
    /// A delivery that comes sooner.
    Delivery,
    /// Days on which a mix may be poured.
    Warmth,
    /// A pinned pour set free.
    Pin,
}

impl Remedy {
    /// Every remedy.
    pub const ALL: [Remedy; 10] = [
        Remedy::Moulds,
        Remedy::TankRow,
        Remedy::RackRow,
        Remedy::Hours,
        Remedy::Overtime,
        Remedy::Batches,
        Remedy::Packs,
        Remedy::Delivery,
        Remedy::Warmth,
        Remedy::Pin,
    ];

    /// A short word for it.
    pub fn word(self) -> &'static str {
        match self {
            Remedy::Moulds => "moulds",
            Remedy::TankRow => "tank_row",
            Remedy::RackRow => "rack_row",
            Remedy::Hours => "hours",
            Remedy::Overtime => "overtime",
            Remedy::Batches => "batches",
            Remedy::Packs => "packs",
            Remedy::Delivery => "delivery",
            Remedy::Warmth => "warmth",
            Remedy::Pin => "pin",
        }
    }
}

/// A material that was short.
#[derive(Clone, Debug, PartialEq)]
pub struct MaterialShort {
    /// Which material.
    pub material: String,
    /// First day it kept panels of a late order from being poured.
    pub day: Day,
    /// By how much, for the late panels it kept back: the material's own small unit.
    pub short_by: f64,
    /// The same in plain words.
    pub sentence: String,
}

/// A place with more panels in it than it has room for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overfull {
    /// Which mould group, tank or rack.
    pub place: String,
    /// What is there, what there is room for, and what the plan does about it.
    pub sentence: String,
}
