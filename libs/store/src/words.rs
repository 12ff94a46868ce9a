//! How the lists of the domain (kinds, states, stages) are written in the tables.

use workshop::catalogue::{MaterialKind, RevisionState, StockUnit, Supply};
use workshop::corrections::{Did, LoadAnswer, WeighedAt};
use workshop::lots::{LossKind, Stage};
use workshop::moulds::UseState;
use workshop::orders::{OrderState, Priority};
use workshop::runs::RunState;
use workshop::site::{DayWork, DisplayUnits, TakingOver};
use workshop::stock::{DeliveryState, EntryKind};
use workshop::tickets::{LineKind, TicketState};
use workshop::trials::HardState;
use workshop::writing::{Clock, DateOrder, DecimalSign};

use crate::error::{Result, StoreError};

/// A value of a list, as one word.
pub(crate) trait Word: Sized {
    /// The word.
    fn word(&self) -> String;
    /// Back from the word.
    fn of(word: &str) -> Result<Self>;
}

macro_rules! words {
    ($($kind:ty { $($value:ident = $word:literal),* $(,)? })*) => { $(
        impl Word for $kind {
            fn word(&self) -> String {
                match self { $(Self::$value => $word,)* }.to_owned()
            }

            fn of(word: &str) -> Result<Self> {
                match word {
                    $($word => Ok(Self::$value),)*
                    _ => Err(strange(stringify!($kind), word)),
                }
            }
        }
    )* };
}

words! {
    StockUnit { Gram = "gram", Millilitre = "millilitre", SquareMillimetre = "square_millimetre", Piece = "piece" }
    MaterialKind {
        PortlandCement = "portland_cement", BlendedCement = "blended_cement", RapidCement = "rapid_cement",
        Water = "water", Aggregate = "aggregate", LightweightAggregate = "lightweight_aggregate",
        FoamingConcentrate = "foaming_concentrate", Fibre = "fibre", Pigment = "pigment", Admixture = "admixture",
        Mesh = "mesh", Hardware = "hardware", ReleaseOil = "release_oil",
    }
    Supply { Bought = "bought", NotSold = "not_sold", Mains = "mains" }
    RevisionState { OnTrial = "on_trial", InUse = "in_use", Retired = "retired" }
    DisplayUnits { Metric = "metric", UsCustomary = "us_customary" }
    DateOrder { DayFirst = "day_first", MonthFirst = "month_first", YearFirst = "year_first" }
    DecimalSign { Point = "point", Comma = "comma" }
    Clock { Hours24 = "hours_24", Hours12 = "hours_12" }
    TakingOver { ByItself = "by_itself", WaitForAPerson = "wait_for_a_person" }
    DayWork { Usual = "usual", Closed = "closed", Worked = "worked" }
    Priority { Low = "low", Usual = "usual", High = "high" }
    OrderState { Open = "open", Dispatched = "dispatched", Withdrawn = "withdrawn" }
    Stage { InMould = "in_mould", Soaking = "soaking", Drying = "drying", Ready = "ready" }
    UseState { Given = "given", Filled = "filled", Over = "over", NotUsed = "not_used" }
    LossKind { Scrapped = "scrapped", TakenBack = "taken_back", NotWhole = "not_whole" }
    EntryKind {
        Received = "received", Drawn = "drawn", Counted = "counted", Adjusted = "adjusted", WrittenOff = "written_off",
        Countered = "countered",
    }
    DeliveryState { OnItsWay = "on_its_way", Here = "here" }
    TicketState { Issued = "issued", Mixed = "mixed", Void = "void" }
    LineKind {
        Ingredient = "ingredient", FoamConcentrate = "foam_concentrate", FoamWater = "foam_water",
        PerPanel = "per_panel",
    }
    HardState {
        Demoulded = "demoulded", FromTheTank = "from_the_tank", AirDry = "air_dry", OvenDry = "oven_dry",
    }
    WeighedAt { Mixer = "mixer", Mould = "mould" }
    LoadAnswer { Accept = "accept", AddFoam = "add_foam", AddSlurry = "add_slurry", Reject = "reject" }
    Did {
        Poured = "poured", FoamAdded = "foam_added", SlurryAdded = "slurry_added", ThrownAway = "thrown_away",
    }
    RunState { Waiting = "waiting", Running = "running", Planned = "planned", Failed = "failed" }
}

/// A value no part of this program writes.
pub(crate) fn strange(what: &str, value: &str) -> StoreError {
    StoreError::Damaged(format!(
        "the database holds '{value}' where a {what} is expected: it was written by another program or is damaged; restore the last backup"
    ))
}

/// An id back from its column.
macro_rules! ids {
    ($($name:ident => $kind:ty),* $(,)?) => { $(
        /// That id, back from its column.
        pub(crate) fn $name(text: &str) -> Result<$kind> {
            <$kind>::parse(text).map_err(|_| strange(stringify!($kind), text))
        }
    )* };
}

use workshop::ids::{
    FinishId, MaterialId, MixId, MouldGroupId, OrderId, PanelId, RackId, RevisionId, ScrapCauseId, SetId, TankId,
    TicketNumber, TrialId, UpkeepTaskId,
};

ids!(
    material_id => MaterialId, finish_id => FinishId, mix_id => MixId, panel_id => PanelId, set_id => SetId,
    mould_group_id => MouldGroupId, tank_id => TankId, rack_id => RackId, order_id => OrderId,
    revision_id => RevisionId, scrap_cause_id => ScrapCauseId, trial_id => TrialId,
    upkeep_task_id => UpkeepTaskId,
);

/// A ticket number, back from its column.
pub(crate) fn ticket_number(text: &str) -> Result<TicketNumber> {
    TicketNumber::parse(text).ok_or_else(|| strange("ticket number", text))
}

/// An optional column, back to the domain.
pub(crate) fn perhaps<T>(text: Option<&String>, back: impl Fn(&str) -> Result<T>) -> Result<Option<T>> {
    text.map(|t| back(t)).transpose()
}

/// A moment as both databases keep it: UTC, whole microseconds.
pub(crate) fn moment(at: chrono::DateTime<chrono::Utc>) -> chrono::DateTime<chrono::Utc> {
    use chrono::SubsecRound as _;
    at.trunc_subsecs(6)
}

/// A list of names as a column holds it: a name a line; none where the list is empty.
pub(crate) fn lines_of(names: &[String]) -> Option<String> {
    (!names.is_empty()).then(|| names.join("\n"))
}

/// A list of names, back from its column.
pub(crate) fn of_lines(text: Option<&str>) -> Vec<String> {
    text.map(|text| text.split('\n').map(str::to_owned).collect()).unwrap_or_default()
}
