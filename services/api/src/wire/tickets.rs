//! Forms of tickets, their completion and voiding.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, SubsecRound as _, Utc};
use quantities::Millilitres;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use workshop::Fault;
use workshop::catalogue as materials;
use workshop::completion::Given;
use workshop::ids::MaterialId;
use workshop::tickets as domain;

use super::basics::{Id, RevisionText, words};
use super::catalogue::StockUnit;
use super::lots::Lot;
use crate::http::body::Incoming;

words!(
    /// Where a ticket stands.
    TicketState for domain::TicketState {
        /// To be mixed.
        Issued,
        /// Mixed, its materials drawn from stock.
        Mixed,
        /// Not to be mixed; what it drew has been countered.
        Void,
    }
);

words!(
    /// What a line of a ticket is.
    LineKind for domain::LineKind {
        /// Weighed into the mixer.
        Ingredient,
        /// Foaming concentrate, inside the foam.
        FoamConcentrate,
        /// Water of the foam, inside the foam.
        FoamWater,
        /// Laid into the moulds or wiped onto them, not mixed.
        PerPanel,
    }
);

/// One mixer load, so fully decided that whoever mixes it has no choice left.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "number": "2026-05-04-01", "day": "2026-05-04", "state": "issued", "run": 7, "revision": "foamed-grey@2",
    "batch_volume_l": 31.5, "washout_volume_l": 1.2,
    "lines": [
        { "position": 1, "kind": "ingredient", "material": "water", "mass_g": 10150, "unit": "gram", "target": 10150, "actual": null, "drawn_from_stock": false },
        { "position": 2, "kind": "ingredient", "material": "cement", "mass_g": 20310, "unit": "gram", "target": 20310, "actual": null, "drawn_from_stock": true },
    ],
    "foam_volume_l": 16.1, "foam_mass_g": 803,
    "wet_density_kg_m3": 960.0, "wet_density_low_kg_m3": 920.0, "wet_density_high_kg_m3": 1000.0,
    "fills": [{ "panel": "bed-side-900", "mould_group": "side-moulds", "finished_panels": 3, "begun_volume_l": 0.0, "volume_l": 31.5, "moulds": [3, 7, 1] }],
    "labour_minutes": 50, "cautions": ["Wet cement burns: …"], "issued_at": "2026-05-04T05:00:00Z", "closed_at": null,
    "measured_wet_density_kg_m3": null, "note": null,
    "mixing": { "by": null, "air_c": null, "mix_c": null, "water_added_ml": null, "left_over_ml": null, "left_over_to": null, "began_at": null, "ended_at": null },
}))]
pub struct Ticket {
    /// Its number: the day and its place in the mixing order.
    pub number: String,
    /// The day it is mixed.
    pub day: NaiveDate,
    /// Where it stands.
    pub state: TicketState,
    /// The planning run whose plan asked for it.
    pub run: i64,
    /// The mix revision.
    pub revision: RevisionText,
    /// Litres for the moulds, as the plan says.
    pub batch_volume_l: f64,
    /// Litres on top for the washout: on the day's last ticket of a mix.
    pub washout_volume_l: f64,
    /// What goes in, in mixing order.
    pub lines: Vec<TicketLine>,
    /// Foam; 0 where there is none.
    pub foam_volume_l: f64,
    /// Its mass.
    pub foam_mass_g: i64,
    /// Wet (fresh) density as it should leave the mixer.
    pub wet_density_kg_m3: f64,
    /// Least that is accepted.
    pub wet_density_low_kg_m3: f64,
    /// Most that is accepted.
    pub wet_density_high_kg_m3: f64,
    /// Which moulds it fills. A panel filled from two batches stands on both.
    pub fills: Vec<Fill>,
    /// Labour: the batch, its pours, and the washout where it is the last of its mix.
    pub labour_minutes: i64,
    /// What can hurt, and what to do about it.
    pub cautions: Vec<String>,
    /// When it was issued.
    pub issued_at: DateTime<Utc>,
    /// When it was mixed or voided.
    pub closed_at: Option<DateTime<Utc>>,
    /// Wet density measured.
    pub measured_wet_density_kg_m3: Option<f64>,
    /// Why it was voided, or anything to remember.
    pub note: Option<String>,
    /// What else was noted at the mixer.
    pub mixing: Mixing,
}

/// What was noted at the mixer beside masses and density; null for what nobody noted.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Mixing {
    /// The name of the token the ticket was completed or voided with.
    pub by: Option<String>,
    /// Air temperature, °C.
    pub air_c: Option<f64>,
    /// Temperature of the mix as it left the mixer, °C.
    pub mix_c: Option<f64>,
    /// Water added beyond the ticket's own.
    pub water_added_ml: Option<i64>,
    /// Concrete left over when the moulds were full.
    pub left_over_ml: Option<i64>,
    /// Where it went.
    pub left_over_to: Option<String>,
    /// When mixing began.
    pub began_at: Option<DateTime<Utc>>,
    /// When the last mould was full.
    pub ended_at: Option<DateTime<Utc>>,
}

impl From<domain::Mixing> for Mixing {
    fn from(m: domain::Mixing) -> Self {
        Self {
            by: m.by,
            air_c: m.air_c,
            mix_c: m.mix_c,
            water_added_ml: m.water_added.map(Millilitres::get),
            left_over_ml: m.left_over.map(Millilitres::get),
            left_over_to: m.left_over_to,
            began_at: m.began_at,
            ended_at: m.ended_at,
        }
    }
}

/// One line of a ticket.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct TicketLine {
    /// Counted from 1, in mixing order.
    pub position: i64,
    /// What it is.
    pub kind: LineKind,
    /// Which material.
    pub material: Id,
    /// Mass to weigh, rounded to the scale; null for what is counted or measured by area.
    pub mass_g: Option<i64>,
    /// What the material is counted in: the unit of target and actual.
    pub unit: Option<StockUnit>,
    /// What is drawn from stock if all goes as written.
    pub target: i64,
    /// What really went in, once mixed.
    pub actual: Option<i64>,
    /// Whether it is drawn from stock; mains water is not.
    pub drawn_from_stock: bool,
}

/// Which moulds a ticket fills.
#[derive(Clone, Debug, Serialize, ToSchema)]
pub struct Fill {
    /// Which panel.
    pub panel: Id,
    /// In which moulds.
    pub mould_group: Id,
    /// How many panels this batch finishes.
    pub finished_panels: i64,
    /// Litres that go into a panel which the next batch finishes, or 0.
    pub begun_volume_l: f64,
    /// Litres of this panel poured from this batch.
    pub volume_l: f64,
    /// The moulds, by the numbers painted on them: of the panels it finishes, then of the one it begins.
    pub moulds: Vec<i64>,
}

/// What each material is counted in.
pub type Units = BTreeMap<MaterialId, materials::StockUnit>;

fn litres(volume: quantities::Millilitres) -> f64 {
    volume.get() as f64 / 1000.0
}

impl Ticket {
    /// A ticket, its amounts with their units.
    pub fn of(t: domain::Ticket, units: &Units) -> Self {
        let line = |l: domain::TicketLine| TicketLine {
            position: l.position,
            kind: l.kind.into(),
            unit: units.get(&l.material).copied().map(StockUnit::from),
            material: Id::of(&l.material),
            mass_g: l.mass.map(quantities::Grams::get),
            target: l.target.get(),
            actual: l.actual.map(materials::Amount::get),
            drawn_from_stock: l.counted,
        };
        let fill = |f: domain::Fill| Fill {
            panel: Id::of(&f.panel),
            mould_group: Id::of(&f.mould_group),
            finished_panels: f.finished,
            begun_volume_l: litres(f.begun),
            volume_l: litres(f.volume),
            moulds: f.moulds,
        };
        Self {
            number: t.number.to_string(),
            day: t.number.day,
            state: t.state.into(),
            run: t.run.get(),
            revision: RevisionText::of(&t.revision),
            batch_volume_l: litres(t.batch),
            washout_volume_l: litres(t.washout),
            lines: t.lines.into_iter().map(line).collect(),
            foam_volume_l: litres(t.foam),
            foam_mass_g: t.foam_mass.get(),
            wet_density_kg_m3: t.wet_density_kg_m3,
            wet_density_low_kg_m3: t.wet_density_low_kg_m3,
            wet_density_high_kg_m3: t.wet_density_high_kg_m3,
            fills: t.fills.into_iter().map(fill).collect(),
            labour_minutes: t.labour.get(),
            cautions: t.cautions,
            issued_at: t.issued_at,
            closed_at: t.closed_at,
            measured_wet_density_kg_m3: t.measured_wet_density_kg_m3,
            note: t.note,
            mixing: t.mixing.into(),
        }
    }
}

/// What a person says of a ticket that was mixed. Everything may be left out: then all went as written.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "lines": [{ "position": 2, "actual": 20350 }], "measured_wet_density_kg_m3": 955.0, "mix_c": 17.5, "left_over_ml": 1500, "left_over_to": "two paving stones" }))]
pub struct GivenCompletion {
    /// What really went in, line by line, in the unit of the line; the target where a line is not named.
    #[serde(default)]
    #[schema(max_items = 100)]
    pub lines: Vec<GivenLine>,
    /// Wet density measured.
    #[schema(minimum = 100, maximum = 3500)]
    pub measured_wet_density_kg_m3: Option<f64>,
    /// Air temperature, °C.
    #[schema(minimum = -40, maximum = 60)]
    pub air_c: Option<f64>,
    /// Temperature of the mix as it left the mixer, °C.
    #[schema(minimum = -10, maximum = 80)]
    pub mix_c: Option<f64>,
    /// Water added beyond the ticket's own.
    #[schema(minimum = 0, maximum = 1000000)]
    pub water_added_ml: Option<i64>,
    /// Concrete left over when the moulds were full.
    #[schema(minimum = 0, maximum = 1000000)]
    pub left_over_ml: Option<i64>,
    /// Where it went; needed where some was left over.
    #[schema(min_length = 1, max_length = 200)]
    pub left_over_to: Option<String>,
    /// When mixing began.
    pub began_at: Option<DateTime<Utc>>,
    /// When the last mould was full.
    pub ended_at: Option<DateTime<Utc>>,
    /// Anything to remember.
    #[schema(max_length = 2000)]
    pub note: Option<String>,
}

/// What really went into one line.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GivenLine {
    /// Which line.
    #[schema(minimum = 1, maximum = 1000)]
    pub position: i64,
    /// How much, in the unit of the line.
    #[schema(minimum = 0, maximum = 1000000000000i64)]
    pub actual: i64,
}

impl Incoming for GivenCompletion {
    type Domain = Given;

    fn into_domain(self) -> Result<Given, Vec<Fault>> {
        let mut actual = BTreeMap::new();
        let mut faults = Vec::new();
        for (index, line) in self.lines.iter().enumerate() {
            if actual.insert(line.position, materials::Amount::new(line.actual)).is_some() {
                let detail = format!("line {} is given twice: give it once", line.position);
                faults.push(Fault::at(format!("/lines/{index}/position"), detail));
            }
        }
        let (measured_wet_density_kg_m3, note) = (self.measured_wet_density_kg_m3, self.note);
        let mixing = domain::Mixing {
            by: None,
            air_c: self.air_c,
            mix_c: self.mix_c,
            water_added: self.water_added_ml.map(Millilitres::new),
            left_over: self.left_over_ml.map(Millilitres::new),
            left_over_to: self.left_over_to,
            began_at: self.began_at.map(kept),
            ended_at: self.ended_at.map(kept),
        };
        if faults.is_empty() { Ok(Given { actual, measured_wet_density_kg_m3, note, mixing }) } else { Err(faults) }
    }
}

/// What came of a completion.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(example = json!({
    "ticket": {
        "number": "2026-05-04-01", "day": "2026-05-04", "state": "mixed", "run": 7, "revision": "foamed-grey@2",
        "batch_volume_l": 31.5, "washout_volume_l": 1.2,
        "lines": [{ "position": 2, "kind": "ingredient", "material": "cement", "mass_g": 20310, "unit": "gram", "target": 20310, "actual": 20350, "drawn_from_stock": true }],
        "foam_volume_l": 16.1, "foam_mass_g": 803,
        "wet_density_kg_m3": 960.0, "wet_density_low_kg_m3": 920.0, "wet_density_high_kg_m3": 1000.0,
        "fills": [{ "panel": "bed-side-900", "mould_group": "side-moulds", "finished_panels": 3, "begun_volume_l": 0.0, "volume_l": 31.5, "moulds": [3, 7, 1] }],
        "labour_minutes": 50, "cautions": ["Wet cement burns: …"], "issued_at": "2026-05-04T05:00:00Z", "closed_at": "2026-05-04T13:10:00Z",
        "measured_wet_density_kg_m3": 955.0, "note": null,
        "mixing": { "by": "bench tablet", "air_c": null, "mix_c": 17.5, "water_added_ml": null, "left_over_ml": 1500, "left_over_to": "two paving stones", "began_at": null, "ended_at": null },
    },
    "lots": [{ "id": 31, "panel": "bed-side-900", "revision": "foamed-grey@2", "finish": "grey-smooth", "poured_on": "2026-05-04",
        "ticket": "2026-05-04-01", "stage": "in_mould", "since": "2026-05-04", "quantity": 3, "tank": null, "rack": null }],
    "warnings": ["cement is now 1200 g below nothing in the ledger: it has been used, so count what is there"],
}))]
pub struct Completed {
    /// The ticket, mixed.
    pub ticket: Ticket,
    /// Panels it finished.
    pub lots: Vec<Lot>,
    /// What to look at.
    pub warnings: Vec<String>,
}

/// Why a ticket is not to count.
#[derive(Clone, Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({ "reason": "the mixer broke, nothing was poured" }))]
pub struct GivenVoid {
    /// In words.
    #[schema(min_length = 1, max_length = 2000)]
    pub reason: String,
}

impl Incoming for GivenVoid {
    type Domain = String;

    fn into_domain(self) -> Result<String, Vec<Fault>> {
        Ok(self.reason)
    }
}

/// A moment as it is kept, to the microsecond: said again it is the same.
fn kept(at: DateTime<Utc>) -> DateTime<Utc> {
    at.trunc_subsecs(6)
}
