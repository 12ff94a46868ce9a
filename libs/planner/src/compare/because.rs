//! What a change comes from.

/// What a change comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Because {
    /// An order came in.
    OrderNew,
    /// An order is no longer open: sent out, withdrawn or removed.
    OrderGone,
    /// An order is wanted on another day.
    DueMoved,
    /// An order wants other panels, or weighs otherwise.
    OrderChanged,
    /// More or fewer panels are there than were planned.
    Actuals,
    /// More or less of a material is there than was planned.
    Stock,
    /// A delivery on its way comes otherwise than was known.
    Delivery,
    /// A material is sold otherwise: lead time, pack, price, room in the store.
    Supply,
    /// Working days.
    Calendar,
    /// Hours of labour.
    Hours,
    /// Batches of the mixer.
    Mixer,
    /// Moulds in service.
    Moulds,
    /// Tanks or racks.
    Rooms,
    /// Days on which a mix may not be poured, or how long it is held.
    Weather,
    /// A mix or panel is another.
    Recipe,
    /// A pour was pinned, or set free.
    Pin,
    /// How the workshop wants to plan, steadiness among it.
    Policy,
    /// Nothing it depends on: room was made for another change.
    Room,
    /// Nothing at all: it was found to be better.
    Better,
    /// Nothing at all, and it is no better: it was planned anew.
    Anew,
}

impl Because {
    /// Every cause.
    pub const ALL: [Because; 20] = [
        Because::OrderNew,
        Because::OrderGone,
        Because::DueMoved,
        Because::OrderChanged,
        Because::Actuals,
        Because::Stock,
        Because::Delivery,
        Because::Supply,
        Because::Calendar,
        Because::Hours,
        Because::Mixer,
        Because::Moulds,
        Because::Rooms,
        Because::Weather,
        Because::Recipe,
        Because::Pin,
        Because::Policy,
        Because::Room,
        Because::Better,
        Because::Anew,
    ];

    /// A short word for it.
    pub fn word(self) -> &'static str {
        match self {
            Because::OrderNew => "order_new",
            Because::OrderGone => "order_gone",
            Because::DueMoved => "due_moved",
            Because::OrderChanged => "order_changed",
            Because::Actuals => "actuals",
            Because::Stock => "stock",
            Because::Delivery => "delivery",
            Because::Supply => "supply",
            Because::Calendar => "calendar",
            Because::Hours => "hours",
            Because::Mixer => "mixer",
            Because::Moulds => "moulds",
            Because::Rooms => "rooms",
            Because::Weather => "weather",
            Because::Recipe => "recipe",
            Because::Pin => "pin",
            Because::Policy => "policy",
            Because::Room => "room",
            Because::Better => "better",
            Because::Anew => "anew",
        }
    }
}

/// Something the planner was told otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FactChange {
    /// What kind of thing it is.
    pub because: Because,
    /// What it is about: the id of an order, panel, material, mix, mould group, tank or rack; empty for the whole workshop.
    pub subject: String,
    /// In plain words.
    pub sentence: String,
}
