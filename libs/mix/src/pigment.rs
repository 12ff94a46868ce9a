//! Colour: dose by per cent of cementitious material, and what liquid colour brings along.

use quantities::{Mass, Ratio};

use crate::{Fault, Faults, Source, Worked};

/// Most pigment of all kinds together over the cementitious mass (ASTM C979, section 1.4; also BS EN 12878).
pub const MOST_PIGMENT_PER_CENT: f64 = 10.0;

/// Iron oxides by colour. Beyond saturation more pigment gives no more colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Oxide {
    /// Black.
    Black,
    /// Brown.
    Brown,
    /// Red.
    Red,
    /// Yellow.
    Yellow,
}

impl Oxide {
    /// Dose at which the colour is saturated, per cent of cement; typical (manufacturer's literature on oxides).
    pub const fn saturation_per_cent(self) -> f64 {
        match self {
            Self::Black => 6.0,
            Self::Brown => 7.0,
            Self::Red => 8.0,
            Self::Yellow => 9.0,
        }
    }
}

/// Most of a phthalocyanine blue or green worth giving, per cent of cement; half of it already colours (manufacturer's
/// literature on pigments).
pub const PHTHALOCYANINE_MOST_PER_CENT: f64 = 1.0;

/// What a dose of oxides looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shade {
    /// Below 1 %: hardly seen on grey cement.
    Faint,
    /// 1 to 3 %: pastel.
    Pastel,
    /// 3 to 5 %: strong.
    Strong,
    /// Above 5 %: little more colour for much more pigment.
    LittleGained,
}

impl Shade {
    /// The shade of all oxides together over the cementitious mass (manufacturers' literature on pigments).
    pub fn of(of_cementitious: Ratio) -> Self {
        match of_cementitious.per_cent() {
            less if less < 1.0 => Self::Faint,
            less if less < 3.0 => Self::Pastel,
            less if less <= 5.0 + 1.0e-9 => Self::Strong,
            _ => Self::LittleGained,
        }
    }
}

/// One pigment of a mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// Solid pigment over cementitious mass.
    pub of_cementitious: Ratio,
    /// The most of this pigment its maker allows or that still colours, per cent; an [`Oxide`]'s saturation, say.
    pub most_per_cent: f64,
}

/// Mass of solid pigment for a cementitious mass.
pub fn mass(of_cementitious: Ratio, cementitious: Mass) -> Mass {
    cementitious * of_cementitious
}

/// Checks all pigments of a mix together: the sum against 10 %, and against the lowest maximum among them.
pub fn check(doses: &[Dose]) -> Result<(), Faults> {
    let total = total_per_cent(doses);
    let lowest = doses.iter().map(|dose| dose.most_per_cent).fold(f64::INFINITY, f64::min);
    let mut found = Vec::new();
    if total > MOST_PIGMENT_PER_CENT + 1.0e-9 {
        let what = format!("{total:.1} % of pigment is above {MOST_PIGMENT_PER_CENT:.0} % of cementitious material");
        found.push(Fault::new("/pigments", what, "take less: more weakens the concrete (ASTM C979)"));
    }
    if total > lowest + 1.0e-9 {
        let what = format!("{total:.1} % of pigment is above the lowest maximum among the pigments, {lowest:.1} %");
        found.push(Fault::new("/pigments", what, "take less, or leave out the pigment with that maximum"));
    }
    Faults::none_of(found)
}

/// All pigments of a mix added up, per cent of cementitious mass.
pub fn total_per_cent(doses: &[Dose]) -> f64 {
    doses.iter().map(|dose| dose.of_cementitious.per_cent()).sum()
}

/// What to weigh of a colour for its solid pigment, by its solids share, above nothing and at most the whole: the reverse
/// of [`liquid`].
pub fn as_it_comes(solid: Mass, solids: Ratio) -> Result<Mass, Faults> {
    if solids == Ratio::ZERO || solids > Ratio::ONE {
        let what = format!("{:.0} % of solids is no colour", solids.per_cent());
        return Err(Fault::new("/solids", what, "give the share from the maker's data sheet, above 0 to 100 %").into());
    }
    Mass::from_kg(solid.kg() / solids.number()).map_err(|error| Fault::out_of_range("/solids", error).into())
}

/// How a pigment's mass came about: its solid, and where it comes with water, all of it.
pub fn worked(name: &str, dose: Dose, cementitious: Mass, solids: Ratio, as_it_comes: Mass) -> Vec<Worked> {
    let solid = mass(dose.of_cementitious, cementitious);
    let mut lines = vec![Worked {
        what: format!("{name}, solid"),
        formula: "p · cementitious",
        numbers: format!("{:.2} % · {:.3} kg", dose.of_cementitious.per_cent(), cementitious.kg()),
        result: solid.kg(),
        unit: "kg",
        source: Source::DEFINITION,
    }];
    if solids < Ratio::ONE {
        lines.push(Worked {
            what: format!("{name}, as it comes"),
            formula: "solid / solids",
            numbers: format!("{:.4} kg / {:.3}", solid.kg(), solids.number()),
            result: as_it_comes.kg(),
            unit: "kg",
            source: Source::DEFINITION,
        });
    }
    lines
}

/// How the sum over all pigments came about.
pub fn total_worked(doses: &[Dose]) -> Worked {
    let each: Vec<_> = doses.iter().map(|dose| format!("{:.2}", dose.of_cementitious.per_cent())).collect();
    Worked {
        what: "all pigments".into(),
        formula: "Σ, at most 10 %",
        numbers: each.join(" + "),
        result: total_per_cent(doses),
        unit: "%",
        source: Source::MOST_PIGMENT,
    }
}

/// Liquid colour split by its solids share: (solid pigment, water). The water counts in w/c.
pub fn liquid(mass: Mass, solids: Ratio) -> Result<(Mass, Mass), Faults> {
    if solids > Ratio::ONE {
        let what = format!("{:.0} % of solids is more than the whole", solids.per_cent());
        return Err(Fault::new("/solids", what, "give the share from the maker's data sheet, 0 to 100 %").into());
    }
    Ok((mass * solids, mass * solids.rest()))
}
