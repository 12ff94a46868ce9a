//! Batch tickets: one mixer load each, so fully decided that whoever mixes it has no choice left.

use chrono::{DateTime, Utc};
use quantities::{Grams, Millilitres, Minutes};

use crate::catalogue::Amount;
use crate::ids::{MaterialId, MouldGroupId, PanelId, RevisionId, RunId, TicketNumber};

/// Where a ticket stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TicketState {
    /// To be mixed.
    Issued,
    /// Mixed, its materials drawn from stock.
    Mixed,
    /// Not to be mixed; what it drew has been countered.
    Void,
}

/// What a line of a ticket is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// Weighed into the mixer.
    Ingredient,
    /// Foaming concentrate, inside the foam.
    FoamConcentrate,
    /// Water of the foam, inside the foam.
    FoamWater,
    /// Laid into the moulds or wiped onto them, not mixed.
    PerPanel,
}

/// One line of a ticket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TicketLine {
    /// Counted from 1, in mixing order.
    pub position: i64,
    /// What it is.
    pub kind: LineKind,
    /// Which material.
    pub material: MaterialId,
    /// Mass to weigh, rounded to the scale; none for what is counted or measured by area.
    pub mass: Option<Grams>,
    /// The same in the material's own unit: what is drawn from stock.
    pub target: Amount,
    /// What really went in, once mixed, in the material's own unit.
    pub actual: Option<Amount>,
    /// Whether it is drawn from stock (mains water is not).
    pub counted: bool,
}

/// Which moulds a ticket fills. A panel filled from two batches stands on both.
#[derive(Clone, Debug, PartialEq)]
pub struct Fill {
    /// Which panel.
    pub panel: PanelId,
    /// In which moulds.
    pub mould_group: MouldGroupId,
    /// How many panels this batch finishes.
    pub finished: i64,
    /// Litres that go into a panel which the next batch finishes, or 0.
    pub begun: Millilitres,
    /// Litres of this panel poured from this batch.
    pub volume: Millilitres,
    /// The moulds, by their numbers: of the panels it finishes, then of the one it begins. Fewer where none was known empty.
    pub moulds: Vec<i64>,
}

/// A batch ticket.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticket {
    /// Its number.
    pub number: TicketNumber,
    /// The planning run whose plan asked for it.
    pub run: RunId,
    /// The mix revision.
    pub revision: RevisionId,
    /// Litres for the moulds, as the plan says.
    pub batch: Millilitres,
    /// Litres on top for the washout: on the day's last ticket of a mix.
    pub washout: Millilitres,
    /// What goes in.
    pub lines: Vec<TicketLine>,
    /// Foam, volume; 0 where there is none.
    pub foam: Millilitres,
    /// Foam, mass.
    pub foam_mass: Grams,
    /// Density as it should leave the mixer, kg/m³.
    pub wet_density_kg_m3: f64,
    /// Least that is accepted, kg/m³.
    pub wet_density_low_kg_m3: f64,
    /// Most that is accepted, kg/m³.
    pub wet_density_high_kg_m3: f64,
    /// Which moulds it fills.
    pub fills: Vec<Fill>,
    /// Labour: the batch, its pours, and the washout where it is the last.
    pub labour: Minutes,
    /// What can hurt, and what to do about it.
    pub cautions: Vec<String>,
    /// Where it stands.
    pub state: TicketState,
    /// When it was issued.
    pub issued_at: DateTime<Utc>,
    /// When it was mixed or voided.
    pub closed_at: Option<DateTime<Utc>>,
    /// Wet density measured, kg/m³.
    pub measured_wet_density_kg_m3: Option<f64>,
    /// Why it was voided, or anything to remember.
    pub note: Option<String>,
    /// What else was noted at the mixer.
    pub mixing: Mixing,
}

/// What was noted at the mixer beside masses and density.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mixing {
    /// The name of the token it was mixed or voided with; none where there was none.
    pub by: Option<String>,
    /// Air temperature, °C, -40 to 60.
    pub air_c: Option<f64>,
    /// Temperature of the mix as it left the mixer, °C, -10 to 80.
    pub mix_c: Option<f64>,
    /// Water added beyond the ticket's own, 0 or more.
    pub water_added: Option<Millilitres>,
    /// Concrete left over when the moulds were full, 0 or more.
    pub left_over: Option<Millilitres>,
    /// Where it went.
    pub left_over_to: Option<String>,
    /// When mixing began.
    pub began_at: Option<DateTime<Utc>>,
    /// When the last mould was full.
    pub ended_at: Option<DateTime<Utc>>,
}
