//! The words feeds use for states and units; the same in every feed.

use workshop::catalogue::{Amount, StockUnit};
use workshop::tickets::{Fill, LineKind, TicketState};

use crate::table::Cell;

/// Where a ticket stands.
pub const fn ticket_state(state: TicketState) -> &'static str {
    match state {
        TicketState::Issued => "issued",
        TicketState::Mixed => "mixed",
        TicketState::Void => "void",
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
