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
    /// What held it.
    pub cause: Cause,
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
    /// Other orders were served first.
    Turn,
}

impl Cause {
    /// Every cause.
    pub const ALL: [Cause; 11] = [
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
        Cause::Turn,
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
            Cause::Turn => "turn",
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
