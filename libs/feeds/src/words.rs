//! The words feeds use for states and units; the same in every feed.

use workshop::catalogue::{Amount, MaterialKind, StockUnit, Supply};
use workshop::lots::Stage;
use workshop::orders::{OrderState, Priority};
use workshop::said::Progress;
use workshop::stock::{DeliveryState, EntryKind};
use workshop::tickets::{Fill, LineKind, TicketState};
use workshop::trials::HardState;

use crate::table::Cell;

/// Where a ticket stands.
pub const fn ticket_state(state: TicketState) -> &'static str {
    match state {
        TicketState::Issued => "issued",
        TicketState::Mixed => "mixed",
        TicketState::Void => "void",
    }
}

/// How far something on a day sheet has come.
pub const fn progress(progress: Progress) -> &'static str {
    match progress {
        Progress::ToDo => "to_do",
        Progress::PartlyDone => "partly_done",
        Progress::Done => "done",
        Progress::NotDone => "not_done",
    }
}

/// What a ticket's line is.
pub const fn line_kind(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Ingredient => "ingredient",
        LineKind::FoamConcentrate => "foam_concentrate",
        LineKind::FoamWater => "foam_water",
        LineKind::PerPanel => "per_panel",
    }
}

/// A material's unit.
pub const fn unit(unit: StockUnit) -> &'static str {
    match unit {
        StockUnit::Gram => "g",
        StockUnit::Millilitre => "ml",
        StockUnit::SquareMillimetre => "mm2",
        StockUnit::Piece => "pieces",
    }
}

/// How much a day late weighs.
pub const fn priority(priority: Priority) -> &'static str {
    match priority {
        Priority::Low => "low",
        Priority::Usual => "usual",
        Priority::High => "high",
    }
}

/// Whether an order still wants panels.
pub const fn order_state(state: OrderState) -> &'static str {
    match state {
        OrderState::Open => "open",
        OrderState::Dispatched => "dispatched",
        OrderState::Withdrawn => "withdrawn",
    }
}

/// Where a lot is.
pub const fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::InMould => "in_mould",
        Stage::Soaking => "soaking",
        Stage::Drying => "drying",
        Stage::Ready => "ready",
    }
}

/// Why stock changed.
pub const fn entry_kind(kind: EntryKind) -> &'static str {
    match kind {
        EntryKind::Received => "received",
        EntryKind::Drawn => "drawn",
        EntryKind::Counted => "counted",
        EntryKind::Adjusted => "adjusted",
        EntryKind::WrittenOff => "written_off",
        EntryKind::Countered => "countered",
    }
}

/// Where a delivery stands.
pub const fn delivery_state(state: DeliveryState) -> &'static str {
    match state {
        DeliveryState::OnItsWay => "on_its_way",
        DeliveryState::Here => "here",
    }
}

/// What a material is.
pub const fn material_kind(kind: MaterialKind) -> &'static str {
    match kind {
        MaterialKind::PortlandCement => "portland_cement",
        MaterialKind::BlendedCement => "blended_cement",
        MaterialKind::RapidCement => "rapid_cement",
        MaterialKind::Water => "water",
        MaterialKind::Aggregate => "aggregate",
        MaterialKind::LightweightAggregate => "lightweight_aggregate",
        MaterialKind::FoamingConcentrate => "foaming_concentrate",
        MaterialKind::Fibre => "fibre",
        MaterialKind::Pigment => "pigment",
        MaterialKind::Admixture => "admixture",
        MaterialKind::Mesh => "mesh",
        MaterialKind::Hardware => "hardware",
        MaterialKind::ReleaseOil => "release_oil",
    }
}

/// Where a material comes from.
pub const fn supply(supply: Supply) -> &'static str {
    match supply {
        Supply::Bought => "bought",
        Supply::NotSold => "not_sold",
        Supply::Mains => "mains",
    }
}

/// The state hardened concrete was weighed in.
pub const fn hard_state(state: HardState) -> &'static str {
    match state {
        HardState::Demoulded => "demoulded",
        HardState::FromTheTank => "from_the_tank",
        HardState::AirDry => "air_dry",
        HardState::OvenDry => "oven_dry",
    }
}

/// Yes or no.
pub const fn yes(is: bool) -> &'static str {
    if is { "yes" } else { "no" }
}

/// Which moulds a ticket fills, for people: `bed-side ×2; bed-end ×1 and 3.2 L of one more`.
pub fn fills(fills: &[Fill]) -> String {
    let one = |fill: &Fill| match fill.begun.get() {
        0 => format!("{} ×{}", fill.panel, fill.finished),
        begun => format!("{} ×{} and {:.1} L of one more", fill.panel, fill.finished, begun as f64 / 1000.0),
    };
    fills.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// An amount in four columns, one for each unit: g, ml, mm², pieces.
pub(crate) fn in_its_column(amount: Option<Amount>, of: Option<StockUnit>) -> [Cell; 4] {
    let cell = |unit| match (amount, of) {
        (Some(amount), Some(own)) if own == unit => Cell::Whole(amount.get()),
        _ => Cell::Empty,
    };
    [StockUnit::Gram, StockUnit::Millilitre, StockUnit::SquareMillimetre, StockUnit::Piece].map(cell)
}
