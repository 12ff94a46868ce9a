//! Moist curing: the least days concrete is kept wet or under cover, by what binds it.
//!
//! A specification's days for structures, and a floor for panels: the workshop's own soaking days may be more, not fewer.
//! (Unified Facilities Guide Specification UFGS-03301A, protection and curing.)

use quantities::Ratio;

use crate::{Cement, Fault, Recipe, Role, Source, Worked};

/// What binds the concrete, as curing tells it apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Binder {
    /// General-purpose Portland cement (type I), with silica fume or without.
    General,
    /// Portland cement of moderate heat and sulfate resistance (type II).
    Moderate,
    /// Portland cement with ash or slag, blended or added at the mixer; `other` is their share of the cementitious mass.
    Blended {
        /// Ash and slag over all cementitious material, 0 to 1.
        other: Ratio,
    },
}

/// Fresh concrete is kept from rain for so long, hours.
pub const RAIN_HOURS: f64 = 12.0;
/// Fresh concrete is kept from flowing water for so long, days; seven do for high-early-strength cement.
pub const FLOWING_WATER_DAYS: u32 = 14;
/// Ash and slag above this share of the cementitious mass need the longest curing.
const MUCH: f64 = 0.25;

impl Binder {
    /// Least days of moist curing.
    pub fn least_moist_days(self) -> u32 {
        match self {
            Self::General => 7,
            Self::Moderate => 14,
            Self::Blended { other } if other.number() <= MUCH + 1.0e-9 => 14,
            Self::Blended { .. } => 21,
        }
    }

    /// Binders other than Portland over all cementitious material.
    pub fn other_than_portland(self) -> Ratio {
        match self {
            Self::General | Self::Moderate => Ratio::ZERO,
            Self::Blended { other } => other,
        }
    }

    /// How the days came about.
    pub fn worked(self) -> Worked {
        let cement = match self {
            Self::General => "Portland cement of general use",
            Self::Moderate => "Portland cement of moderate heat",
            Self::Blended { .. } => "Portland cement with ash or slag",
        };
        Worked {
            what: "least days of moist curing".into(),
            formula: "7 days for general use, 14 for moderate heat or up to 25 % of other binders, 21 above",
            numbers: format!("{cement}, {:.1} % of other binders", self.other_than_portland().per_cent()),
            result: f64::from(self.least_moist_days()),
            unit: "days",
            source: Source::MOIST_CURING,
        }
    }
}

impl Recipe {
    /// What binds the mix: general-purpose Portland cement unless ash or slag is in it, by a blended cement or added. Every
    /// addition is taken for ash or slag, which is on the safe side of silica fume.
    ///
    /// Refused for rapid-setting cement, which is kept wet for hours by its own trials, not for days.
    pub fn binder(&self) -> Result<Binder, Fault> {
        if self.is_rapid() {
            let what = "days of moist curing are for Portland cement, not for calcium sulfoaluminate";
            return Err(Fault::new("/ingredients", what, "keep it wet for the hours its trials and its maker ask for"));
        }
        let portland_share = |role: Role| match role {
            Role::Cement(cement) => Cement::portland_share(cement).number(),
            _ => 0.0,
        };
        let content = |part: &crate::Proportion| part.content.kg_m3();
        let binders = || self.proportions().iter().filter(|part| part.written.role.is_cementitious());
        let all: f64 = binders().map(content).sum();
        let portland: f64 = binders().map(|part| content(part) * portland_share(part.written.role)).sum();
        let other = Ratio::from_number((1.0 - portland / all).max(0.0));
        let other = other.map_err(|error| Fault::out_of_range("/ingredients", error))?;
        let not_plain = |part: &crate::Proportion| part.written.role != Role::Cement(Cement::Portland);
        let blended = binders().any(|part| not_plain(part) && content(part) > 0.0);
        Ok(if blended { Binder::Blended { other } } else { Binder::General })
    }
}
