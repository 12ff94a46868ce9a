//! What the workshop has and makes: materials, finishes, mixes, panels, sets, moulds, tanks, racks.

use chrono::NaiveDate as Day;
use quantities::{Millilitres, Millimetres, MinorUnits, Minutes, Pieces};

use crate::ids::{FinishId, MaterialId, MixId, MouldGroupId, PanelId, RackId, RevisionId, ScrapCauseId, SetId, TankId};

/// The small unit a material is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StockUnit {
    /// Whole grams.
    Gram,
    /// Whole millilitres.
    Millilitre,
    /// Whole square millimetres.
    SquareMillimetre,
    /// Pieces.
    Piece,
}

/// An amount of one material in that material's own [`StockUnit`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Amount(i64);

impl Amount {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// From a count of the material's own unit.
    pub const fn new(count: i64) -> Self {
        Self(count)
    }

    /// The count of the material's own unit.
    pub const fn get(self) -> i64 {
        self.0
    }
}

impl core::ops::Add for Amount {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl core::ops::Sub for Amount {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl core::ops::Neg for Amount {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl core::iter::Sum for Amount {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        Self(items.map(|a| a.0).sum())
    }
}

/// What a material is, as far as proportioning and cautions care.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MaterialKind {
    /// Portland cement.
    PortlandCement,
    /// Blended hydraulic cement, with its own relative density.
    BlendedCement,
    /// Rapid-setting calcium sulfoaluminate cement.
    RapidCement,
    /// Mixing water.
    Water,
    /// Sand or gravel.
    Aggregate,
    /// Perlite, pumice and the like.
    LightweightAggregate,
    /// Liquid foaming agent.
    FoamingConcentrate,
    /// Fibre.
    Fibre,
    /// Pigment, dry or liquid.
    Pigment,
    /// Liquid or powder admixture.
    Admixture,
    /// Reinforcing mesh.
    Mesh,
    /// Corner pins, brackets, screws.
    Hardware,
    /// Release oil for moulds.
    ReleaseOil,
}

impl MaterialKind {
    /// Whether it is a cement of any kind.
    pub const fn is_cement(self) -> bool {
        matches!(self, MaterialKind::PortlandCement | MaterialKind::BlendedCement | MaterialKind::RapidCement)
    }
}

/// Where a material comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Supply {
    /// Bought in packs and counted.
    Bought,
    /// Counted, but no one sells it any more: what is on hand and on its way is all there will be.
    NotSold,
    /// From the main or the well: there is always enough, it is not counted.
    Mains,
}

/// Anything bought or drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its id.
    pub id: MaterialId,
    /// As people say it.
    pub name: String,
    /// What it is.
    pub kind: MaterialKind,
    /// What it is counted in.
    pub unit: StockUnit,
    /// Mass over that of the same volume of water, 0.01 to 10; needed where it is an ingredient.
    pub relative_density: Option<f64>,
    /// Where it comes from.
    pub supply: Supply,
    /// Not to be gone below.
    pub floor: Amount,
    /// In a pack, above 0.
    pub pack: Amount,
    /// Price of a pack.
    pub pack_price: MinorUnits,
    /// Calendar days from order to arrival, 0 to 365.
    pub lead_days: i64,
    /// Charge for each delivery.
    pub delivery_charge: MinorUnits,
    /// Most there is room for.
    pub store_max: Option<Amount>,
    /// Lower prices for larger deliveries, by rising `from_packs`.
    pub price_breaks: Vec<PriceBreak>,
    /// Days after it came in which it is to be used up, 1 to 3650; none where it keeps.
    pub keep_days: Option<i64>,
}

/// A pack price from so many packs in one delivery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PriceBreak {
    /// Fewest packs, 2 or more.
    pub from_packs: i64,
    /// Price of each pack.
    pub pack_price: MinorUnits,
}

/// What a customer chooses: colour and surface.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finish {
    /// Its id.
    pub id: FinishId,
    /// As people say it.
    pub name: String,
    /// How dark it is, 0 (white) to 100 (black): paler mixes go through the mixer first.
    pub darkness: i64,
}

/// How dark a finish is where nobody has said.
pub const MIDDLING_DARKNESS: i64 = 50;

/// Why panels are scrapped, in the workshop's own words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScrapCause {
    /// Its id.
    pub id: ScrapCauseId,
    /// As people say it.
    pub name: String,
}

/// A recipe; its numbers are in its revisions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mix {
    /// Its id.
    pub id: MixId,
    /// As people say it.
    pub name: String,
    /// The one finish it gives.
    pub finish: FinishId,
}

/// Whether a revision may be poured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RevisionState {
    /// Being tried; not planned.
    OnTrial,
    /// Planned; the newest in use is the one poured.
    InUse,
    /// No longer poured.
    Retired,
}

/// One revision of a mix. Its numbers never change; only its state does.
#[derive(Clone, Debug, PartialEq)]
pub struct MixRevision {
    /// The mix and the number.
    pub id: RevisionId,
    /// Whether it may be poured.
    pub state: RevisionState,
    /// Why it was put in use, where no trial says so.
    pub reason: Option<String>,
    /// What goes in, in mixing order, without the foam.
    pub ingredients: Vec<Ingredient>,
    /// The foam, where there is some.
    pub foam: Option<Foam>,
    /// Density as it should leave the mixer, kg/m³, 200 to 3000.
    pub wet_density_kg_m3: f64,
    /// Least that is accepted, kg/m³.
    pub wet_density_low_kg_m3: f64,
    /// Most that is accepted, kg/m³.
    pub wet_density_high_kg_m3: f64,
    /// Entrapped air not from the foam, per cent of volume, 0 to 20.
    pub air_percent: f64,
    /// Hours in the mould at 20 °C before it may be stripped, above 0, at most 240.
    pub hold_hours_at_20c: f64,
    /// Calendar days in the tank, 0 to 90.
    pub soak_days: i64,
    /// Calendar days on the rack, 0 to 90.
    pub dry_days: i64,
    /// Least litres of a batch, above 0.
    pub batch_min: Millilitres,
    /// Most litres of a batch.
    pub batch_max: Millilitres,
    /// Labour of a batch.
    pub batch_minutes: Minutes,
    /// Lost at the washout after the day's last batch.
    pub washout: Millilitres,
    /// Labour of the washout.
    pub washout_minutes: Minutes,
    /// Least expected air temperature of a day it may be poured, °C; the workshop's own where none is given.
    pub least_air_c: Option<f64>,
}

/// So much of a material in a cubic metre of the mix.
#[derive(Clone, Debug, PartialEq)]
pub struct Ingredient {
    /// Which material.
    pub material: MaterialId,
    /// kg in a cubic metre of fresh mix, 0 to 3000.
    pub kg_m3: f64,
}

/// Preformed foam: how dense, from what, how thin.
#[derive(Clone, Debug, PartialEq)]
pub struct Foam {
    /// The foaming concentrate.
    pub concentrate: MaterialId,
    /// Density of the foam, kg/m³, 20 to 120.
    pub density_kg_m3: f64,
    /// Parts of water to one of concentrate, by volume, 1 to 200.
    pub dilution: f64,
    /// Whether the foam's water is counted in the mix's stated w/c.
    pub water_counted: bool,
}

/// One cast piece type.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Its id.
    pub id: PanelId,
    /// As people say it.
    pub name: String,
    /// Outside length.
    pub length: Millimetres,
    /// Outside height.
    pub height: Millimetres,
    /// Outside thickness.
    pub thickness: Millimetres,
    /// Volume of its holes and rebates.
    pub voids: Millilitres,
    /// Moulds it is cast in.
    pub mould_group: MouldGroupId,
    /// Labour to pour one.
    pub pour_minutes: Minutes,
    /// Labour to strip one.
    pub strip_minutes: Minutes,
    /// Labour to lift one.
    pub lift_minutes: Minutes,
    /// Mix revisions that suit it, and on whose word.
    pub suits: Vec<Suit>,
    /// Tanks it fits; all, where none is named.
    pub tanks: Vec<TankId>,
    /// Material drawn with each panel poured.
    pub per_panel: Vec<PerPanel>,
    /// Share that comes out good, above 0, at most 1; shown, used for allowances, never by the planner itself.
    pub pass_rate: Option<f64>,
}

impl Panel {
    /// Concrete in one panel: length × height × thickness − voids, rounded half up to a millilitre.
    pub fn concrete(&self) -> Millilitres {
        let mm3 = self.length.get() * self.height.get() * self.thickness.get();
        Millilitres::new((mm3 + 500) / 1000) - self.voids
    }
}

/// That a mix revision suits a panel, and why that is believed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suit {
    /// Which revision.
    pub revision: RevisionId,
    /// The trial or the person's reason.
    pub reason: String,
}

/// Material drawn with each panel poured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PerPanel {
    /// Which material.
    pub material: MaterialId,
    /// How much, in its own unit.
    pub amount: Amount,
}

/// What is sold: panels and hardware.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PanelSet {
    /// Its id.
    pub id: SetId,
    /// As people say it.
    pub name: String,
    /// Panels in one, 1 or more of each.
    pub panels: Vec<(PanelId, i64)>,
    /// Hardware in one, 1 or more of each.
    pub hardware: Vec<(MaterialId, Pieces)>,
}

/// Interchangeable moulds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MouldGroup {
    /// Its id.
    pub id: MouldGroupId,
    /// As people say it.
    pub name: String,
    /// How many, 0 or more.
    pub moulds: i64,
    /// 1: a mould stripped on a day is not poured again that day; 0: it may be.
    pub turnaround_days: i64,
    /// Pours after which a mould is worn out, 1 or more; none where nobody knows.
    pub life_uses: Option<i64>,
    /// Moulds missing for a while.
    pub out_of_service: Vec<OutOfService>,
}

/// Moulds missing from one day to another, both included.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutOfService {
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    /// How many, 1 or more.
    pub moulds: i64,
    /// Which, by their numbers; the highest where fewer are named than are missing.
    pub which: Vec<i64>,
    /// Why.
    pub reason: String,
}

/// Where panels soak.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tank {
    /// Its id.
    pub id: TankId,
    /// As people say it.
    pub name: String,
    /// Its rows.
    pub rows: Rows,
    /// What its rows are called, in their order; none where they are only numbered from 1.
    pub row_names: Vec<String>,
    /// Inside depth of water.
    pub depth: Millimetres,
    /// Inside width.
    pub width: Millimetres,
}

/// Where panels dry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rack {
    /// Its id.
    pub id: RackId,
    /// As people say it.
    pub name: String,
    /// Its rows.
    pub rows: Rows,
    /// What its rows are called, in their order; none where they are only numbered from 1.
    pub row_names: Vec<String>,
}

/// Rows of one length in a tank or rack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rows {
    /// How many rows, 0 or more.
    pub count: i64,
    /// Usable length of each.
    pub usable: Millimetres,
}

impl Rows {
    /// Length of all rows together.
    pub fn total(self) -> Millimetres {
        self.usable * self.count
    }
}

/// What the rows of a tank or rack are called: their names, or their numbers from 1 where they have none.
pub fn row_names(rows: Rows, names: &[String]) -> Vec<String> {
    match names {
        [] => (1..=rows.count).map(|number| number.to_string()).collect(),
        names => names.to_vec(),
    }
}
