//! What was measured of a ticket's load at the mixer and at the mould, what was answered, and what was done: kept for good,
//! whatever came of it.

use chrono::{DateTime, Utc};
use quantities::{Grams, Millilitres};

use crate::ids::TicketNumber;
use crate::tickets::{Ticket, TicketState};

/// Where a load was weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WeighedAt {
    /// Before it left the mixer.
    Mixer,
    /// At the mould, before it was poured.
    Mould,
}

/// What was answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LoadAnswer {
    /// Pour it.
    Accept,
    /// Fold in foam.
    AddFoam,
    /// Mix in slurry without foam.
    AddSlurry,
    /// Do not pour it.
    Reject,
}

/// What was done with the load then.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Did {
    /// Poured.
    Poured,
    /// Foam was folded in.
    FoamAdded,
    /// Slurry was mixed in.
    SlurryAdded,
    /// Not poured.
    ThrownAway,
}

/// A load as weighed, with what the answer depends on.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// By whom.
    pub by: String,
    /// Where.
    pub place: WeighedAt,
    /// Wet density measured, kg/m³, 100 to 3500.
    pub measured_wet_density_kg_m3: f64,
    /// Volume of the load then; what it should be by the ticket and what was added since, where none is given.
    pub volume: Option<Millilitres>,
    /// Minutes since the foam went in, 0 to 1440.
    pub minutes_since_foaming: f64,
    /// Density of the foam as weighed today, kg/m³, 10 to 300; the revision's where it was not.
    pub foam_density_kg_m3: Option<f64>,
    /// Density of the slurry without foam, kg/m³, 100 to 3500; the revision's where none is given.
    pub slurry_density_kg_m3: Option<f64>,
    /// Most the mixer holds in work; the revision's largest batch and washout where none is given.
    pub mixer_most: Option<Millilitres>,
    /// Output of the foam generator, litres a minute, above 0.
    pub generator_l_per_minute: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
}

/// One weighing of a ticket's load, and the answer to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// Which ticket.
    pub ticket: TicketNumber,
    /// Counted from 1 for each ticket, in the order they were made.
    pub sequence: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// By whom.
    pub by: String,
    /// Where it was weighed.
    pub place: WeighedAt,
    /// Wet density measured, kg/m³.
    pub measured_wet_density_kg_m3: f64,
    /// Volume of the load when it was weighed.
    pub volume: Millilitres,
    /// Minutes since the foam went in.
    pub minutes_since_foaming: f64,
    /// Density of the foam the answer reckons with, kg/m³.
    pub foam_density_kg_m3: Option<f64>,
    /// Density of the slurry without foam it reckons with, kg/m³.
    pub slurry_density_kg_m3: Option<f64>,
    /// Most the mixer holds that it reckons with.
    pub mixer_most: Option<Millilitres>,
    /// Output of the foam generator it reckons with, litres a minute.
    pub generator_l_per_minute: Option<f64>,
    /// What was answered.
    pub answer: LoadAnswer,
    /// The answer in a sentence.
    pub sentence: String,
    /// Foam or slurry to add.
    pub added: Option<Millilitres>,
    /// Its mass.
    pub added_mass: Option<Grams>,
    /// Seconds of the foam generator.
    pub generator_seconds: Option<f64>,
    /// The load after it.
    pub volume_then: Millilitres,
    /// Whole panels it then fills, where the ticket is of one panel.
    pub panels_then: Option<i64>,
    /// Rise of the wet density from the mixer to the mould, per cent, at the mould.
    pub rise_percent: Option<f64>,
    /// Anything to remember.
    pub note: Option<String>,
    /// What was done then.
    pub done: Option<Done>,
}

/// What was done with a load after an answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// When it was said.
    pub at: DateTime<Utc>,
    /// By whom.
    pub by: String,
    /// What.
    pub did: Did,
    /// How much foam or slurry really went in.
    pub added: Option<Millilitres>,
    /// Anything to remember.
    pub note: Option<String>,
}

/// Whether a ticket's load can still be weighed: not one that is void.
///
/// # Errors
/// Why not, to follow the ticket's name.
pub fn may_be_weighed(ticket: &Ticket) -> Result<(), String> {
    match ticket.state {
        TicketState::Issued | TicketState::Mixed => Ok(()),
        TicketState::Void => Err("is void: nothing of it is weighed any more".to_owned()),
    }
}

/// The wet density at the mixer that one at the mould is held against: that of the last weighing there, if it was accepted.
/// After a correction, or anything added all the same, the load has to be weighed again to have one.
pub fn accepted_at_the_mixer(earlier: &[Correction]) -> Option<f64> {
    let last = earlier.iter().rev().find(|one| one.place == WeighedAt::Mixer)?;
    let as_weighed = last.done.as_ref().is_none_or(|done| done.did == Did::Poured);
    (last.answer == LoadAnswer::Accept && as_weighed).then_some(last.measured_wet_density_kg_m3)
}

/// Volume of a ticket's load now, as far as is known: as issued, washout and all, or as weighed last with what was added since.
pub fn volume_now(ticket: &Ticket, earlier: &[Correction]) -> Millilitres {
    let Some(last) = earlier.last() else { return ticket.batch + ticket.washout };
    match &last.done {
        Some(Done { did: Did::FoamAdded | Did::SlurryAdded, added: Some(added), .. }) => last.volume + *added,
        Some(Done { did: Did::FoamAdded | Did::SlurryAdded, added: None, .. }) => last.volume_then,
        _ => last.volume,
    }
}

impl Correction {
    /// What was done, with the amount answered where it was done as answered and nobody says how much.
    pub fn done_as_answered(&self, said: Done) -> Done {
        let as_answered = matches!(
            (self.answer, said.did),
            (LoadAnswer::AddFoam, Did::FoamAdded) | (LoadAnswer::AddSlurry, Did::SlurryAdded)
        );
        Done { added: said.added.or(self.added.filter(|_| as_answered)), ..said }
    }
}

#[cfg(test)]
mod tests;
