//! The forms by which the workshop's things are recorded.

use maud::{Markup, html};

pub const A_FINISH: &str = "A finish";
pub const A_MATERIAL: &str = "A material";
pub const A_GROUP: &str = "A group of moulds";
pub const A_TANK: &str = "A tank";
pub const A_RACK: &str = "A rack";
pub const A_MIX: &str = "A mix";
pub const A_REVISION: &str = "A revision of a mix";
pub const A_PANEL: &str = "A panel";
pub const A_SET: &str = "A set";
pub const BACK_TO_THE_WORKSHOP: &str = "Back to the workshop";
pub const RECORD_IT: &str = "Record it";
pub const SHORT_NAME: &str = "Short name, as the label on its shelf";
pub const NAME: &str = "As people say it";
pub const DARKNESS: &str = "How dark, 0 white to 100 black: paler mixes go through the mixer first";
pub const PORTLAND_CEMENT: &str = "Portland cement";
pub const BLENDED_CEMENT: &str = "blended cement";
pub const RAPID_CEMENT: &str = "rapid-setting cement (calcium sulfoaluminate)";
pub const WATER: &str = "water";
pub const AGGREGATE: &str = "sand or gravel";
pub const LIGHTWEIGHT_AGGREGATE: &str = "lightweight aggregate: perlite, pumice";
pub const FOAMING_CONCENTRATE: &str = "foaming concentrate";
pub const FIBRE: &str = "fibre";
pub const PIGMENT: &str = "pigment";
pub const ADMIXTURE: &str = "admixture";
pub const MESH: &str = "mesh";
pub const HARDWARE: &str = "hardware: pins, brackets, screws";
pub const RELEASE_OIL: &str = "release oil";
pub const GRAMS: &str = "grams";
pub const MILLILITRES: &str = "millilitres";
pub const SQUARE_MILLIMETRES: &str = "square millimetres";
pub const PIECES: &str = "pieces";
pub const BOUGHT: &str = "bought in packs";
pub const MAINS: &str = "from the main or the well, never counted";
pub const NOT_SOLD: &str = "what is left of it; nobody sells it";
pub const WHAT_IT_IS: &str = "What it is";
pub const COUNTED_IN: &str = "Counted in";
pub const RELATIVE_DENSITY: &str = "Times as heavy as water, where it goes into a mix (the maker's sheet says)";
pub const SUPPLY: &str = "Where it comes from";
pub const PACK: &str = "In a pack, in what it is counted in";
pub const LEAD_DAYS: &str = "Days from order to arrival";
pub const FLOOR: &str = "Never to be below, in what it is counted in";
pub const MOST_ROOM: &str = "Most there is room for, in what it is counted in";
pub const HOW_MANY: &str = "How many";
pub const POURED_AGAIN: &str = "Poured again";
pub const DAY_AFTER: &str = "the day after it is stripped";
pub const SAME_DAY: &str = "on the day it is stripped";
pub const LIFE: &str = "Pours one is good for, where you know";
pub const ROWS: &str = "Rows";
pub const USABLE_ROW: &str = "Usable length of a row";
pub const TANK_CAUTION: &str = "Cover every tank: children drown in them. Full, it is heavy: whoever answers for the floor says whether it bears that.";
pub const DEPTH_OF_WATER_INSIDE: &str = "Depth of water inside";
pub const WIDTH_INSIDE: &str = "Width inside";
pub const FINISH_GIVEN: &str = "The finish it gives";
pub const OF_WHICH_MIX: &str = "Of which mix";
pub const ITS_NUMBER: &str = "Its number";
pub const IT_IS: &str = "It is";
pub const ON_TRIAL: &str = "on trial";
pub const IN_USE: &str = "in use";
pub const ON_WHOSE_WORD: &str = "On whose word, where in use";
pub const IN_A_CUBIC_METRE: &str = "In a cubic metre, in mixing order, without the foam";
pub const MATERIAL: &str = "Material";
pub const SO_MUCH: &str = "So much";
pub const FOAM: &str = "Foam, where there is some";
pub const FOAM_CONCENTRATE: &str = "Foaming concentrate";
pub const FOAM_DENSITY: &str = "Density of the foam itself";
pub const DILUTION: &str = "Parts of water to one of concentrate";
pub const NO_FOAM: &str = "no foam";
pub const NO: &str = "no";
pub const YES: &str = "yes";
pub const WATER_COUNTED: &str = "Its water is counted in the water/cement ratio";
pub const AS_MIXED: &str = "As it leaves the mixer";
pub const WET_DENSITY: &str = "Wet density";
pub const LEAST_ACCEPTED: &str = "Least that is accepted";
pub const MOST_ACCEPTED: &str = "Most that is accepted";
pub const AIR: &str = "Air not from the foam, per cent";
pub const TIMES: &str = "Times";
pub const HOLD_HOURS: &str = "Hours in the mould at 20 °C";
pub const DAYS_IN_THE_TANK: &str = "Days in the tank";
pub const DAYS_ON_THE_RACK: &str = "Days on the rack";
pub const BATCH_WORK: &str = "Work of a batch, minutes";
pub const WASHOUT_WORK: &str = "Work of the washout, minutes";
pub const AT_THE_MIXER: &str = "At the mixer";
pub const LEAST_OF_A_BATCH: &str = "Least of a batch";
pub const MOST_OF_A_BATCH: &str = "Most of a batch";
pub const LOST_AT_THE_WASHOUT: &str = "Lost at the washout";
pub const LEAST_AIR: &str = "No pouring on a day colder than (empty: the workshop's own)";
pub const STRUCTURES: &str =
    "Walls that hold back soil are structures: local codes and licensed practice decide what they have to bear.";
pub const LENGTH: &str = "Length";
pub const HEIGHT: &str = "Height";
pub const THICKNESS: &str = "Thickness";
pub const VOIDS: &str = "Its holes and rebates together";
pub const CAST_IN: &str = "Cast in";
pub const TO_POUR_ONE_MINUTES: &str = "To pour one, minutes";
pub const TO_STRIP_ONE_MINUTES: &str = "To strip one, minutes";
pub const TO_LIFT_ONE_MINUTES: &str = "To lift one, minutes";
pub const SUITS: &str = "Revisions that suit it";
pub const REVISION: &str = "Revision";
pub const SUITS_REASON: &str = "On whose word: a trial, or your reason";
pub const DRAWN: &str = "Drawn with each one poured: mesh, oil";
pub const HOW_MUCH: &str = "How much, in what it is counted in";
pub const PANELS_IN_IT: &str = "Panels in it";
pub const PANEL: &str = "Panel";
pub const HARDWARE_IN_IT: &str = "Hardware in it";
pub const PIECE: &str = "Piece";

/// What a pack costs, in which currency.
pub fn pack_price(currency: &str) -> String {
    format!("Price of a pack {currency}")
}

/// What a delivery costs besides, in which currency.
pub fn delivery_charge(currency: &str) -> String {
    format!("Charge for each delivery {currency}")
}

/// What a revision is, and where one is worked out.
pub fn about_revisions(cheapest: &str) -> Markup {
    html! {
        "A revision's numbers never change: what is mixed differently is a new revision. Work it out first on the "
        a href=(cheapest) { "page of cheapest proportions" } ", or take it from a trial."
    }
}
