//! From the workshop's tables to what the planner is told: one pure function, [`facts_from`].
//!
//! A [`Snapshot`] is everything planning may know, read at one moment. The facts begin today; once today's tickets are
//! issued they begin on the next working day, with today's sheet projected as done. New pours use the newest revision in
//! use of each mix; older ones are told of only for panels still on their way. Pass rates are carried along but add
//! nothing yet: no extra panels are planned for expected rejects.

mod calendar;
pub mod draws;
#[cfg(test)]
pub(crate) mod example;
mod holds;
mod horizon;
mod labour;
mod mixes;
mod rooms;
mod stock;
pub mod tasks;
#[cfg(test)]
mod tests;
mod today;
mod wanted;

use std::collections::BTreeMap;

use chrono::NaiveDate as Day;

pub use calendar::{WorkCalendar, days};
pub use holds::{Hold, Holds, holds_wanted};

use crate::catalogue::{Amount, Finish, Material, Mix, MixRevision, MouldGroup, Panel, PanelSet, Rack, Tank};
use crate::documents::{Facts, Plan, facts};
use crate::fault::Fault;
use crate::ids::{FinishId, MaterialId, OrderId, PanelId, RevisionId, UpkeepTaskId};
use crate::lots::{Lot, LotMove, Pin};
use crate::orders::Order;
use crate::site::{CalendarDay, Workshop};
use crate::soaking::{Soaking, Water};
use crate::stock::Delivery;
use crate::tickets::Ticket;
use crate::upkeep::{UpkeepReport, UpkeepTask};
use horizon::Horizon;

/// The kind of a job that carries out a planning run; its key and its payload are the run's number.
pub const JOB: &str = "plan";

/// Everything planning may know of the workshop, read at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Snapshot {
    /// The workshop and its policy.
    pub workshop: Workshop,
    /// Days the calendar names.
    pub calendar: Vec<CalendarDay>,
    /// All materials.
    pub materials: Vec<Material>,
    /// What the ledger says is there.
    pub on_hand: BTreeMap<MaterialId, Amount>,
    /// Deliveries on their way.
    pub deliveries: Vec<Delivery>,
    /// All finishes.
    pub finishes: Vec<Finish>,
    /// All mixes.
    pub mixes: Vec<Mix>,
    /// All their revisions.
    pub revisions: Vec<MixRevision>,
    /// All panels.
    pub panels: Vec<Panel>,
    /// All sets.
    pub sets: Vec<PanelSet>,
    /// All mould groups.
    pub mould_groups: Vec<MouldGroup>,
    /// All tanks.
    pub tanks: Vec<Tank>,
    /// All racks.
    pub racks: Vec<Rack>,
    /// Open orders.
    pub orders: Vec<Order>,
    /// Panels of open orders that have been sent out already.
    pub dispatched: BTreeMap<(OrderId, PanelId, FinishId), i64>,
    /// Lots present, ready ones too.
    pub lots: Vec<Lot>,
    /// Pins from today on.
    pub pins: Vec<Pin>,
    /// Today's tickets, if they are issued, and those of earlier days that nobody has said anything of yet.
    pub tickets: Vec<Ticket>,
    /// Stages recorded today, each with its panel and revision.
    pub moves: Vec<(LotMove, PanelId, RevisionId)>,
    /// The plan in force.
    pub in_force: Option<Plan>,
    /// The plan today's tickets were issued from: today's strips and lifts stand there.
    pub issued_plan: Option<Plan>,
    /// Days in the mould, for at least what [`holds_wanted`] names.
    pub holds: Holds,
    /// Temperatures measured in tanks, as far back as panels have been in one.
    pub water: Water,
    /// All upkeep tasks.
    pub upkeep: Vec<UpkeepTask>,
    /// When each was last done before today.
    pub upkeep_done: BTreeMap<UpkeepTaskId, Day>,
    /// What was said of them today.
    pub upkeep_reports: Vec<UpkeepReport>,
}

impl Snapshot {
    /// Materials by id.
    pub fn materials_by_id(&self) -> draws::Materials<'_> {
        self.materials.iter().map(|m| (&m.id, m)).collect()
    }

    /// How long panels soak.
    pub fn soaking(&self) -> Soaking<'_> {
        Soaking::new(&self.workshop, &self.revisions, &self.materials, &self.water)
    }

    /// The working calendar.
    pub fn work_calendar(&self) -> WorkCalendar<'_> {
        WorkCalendar::new(&self.workshop, &self.calendar)
    }
}

/// What the planner is told, from what is in the tables: the same snapshot gives the same facts.
///
/// `issued_today` says that today's tickets are out.
///
/// # Errors
/// Everything that keeps the tables from being told as facts, each with its place and what to do.
pub fn facts_from(snapshot: &Snapshot, today: Day, issued_today: bool) -> Result<Facts, Vec<Fault>> {
    let calendar = snapshot.work_calendar();
    let horizon = Horizon::of(snapshot, &calendar, today, issued_today).map_err(|fault| vec![fault])?;
    let mut faults = Vec::new();
    let standing =
        if issued_today { today::projected(snapshot, today) } else { today::before_the_issue(snapshot, today) };
    let panels = rooms::panels(snapshot);
    let mixes = mixes::table(snapshot, &calendar, horizon, &mut faults);
    let facts = Facts {
        name: Some(snapshot.workshop.name.clone()),
        first_day: horizon.first,
        last_day: horizon.last,
        working_days: days(horizon.first, horizon.last).filter(|d| calendar.works_on(*d)).collect(),
        labour_minutes: labour::told(snapshot, &calendar, horizon, today),
        mixer_batches: snapshot.workshop.mixer_batches,
        materials: stock::table(snapshot, horizon, today, issued_today, &mut faults),
        mould_groups: rooms::mould_groups(snapshot, horizon),
        tanks: rooms::tanks(snapshot),
        racks: rooms::racks(snapshot),
        ready_stock: wanted::ready_stock(snapshot),
        lots: wanted::lots(standing, horizon, &snapshot.soaking()),
        pinned: wanted::pinned(snapshot, &panels, &calendar, horizon, &mut faults),
        orders: wanted::orders(snapshot),
        published: wanted::published(snapshot, &panels, &mixes, horizon),
        policy: policy(snapshot),
        mixes,
        panels,
    };
    if faults.is_empty() { Ok(facts) } else { Err(faults) }
}

fn policy(snapshot: &Snapshot) -> facts::Policy {
    let policy = &snapshot.workshop.policy;
    facts::Policy {
        unmet_days: policy.unmet_days,
        steady_days: policy.steady_days,
        late_price: policy.late_price as f64,
        seconds: policy.seconds as f64,
        threads: policy.threads,
        seed: policy.seed,
    }
}
