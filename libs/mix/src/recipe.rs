//! A recipe at the mix's own yield: amounts written for any one making, brought to kg/m³ by absolute volumes.

use quantities::{Content, Density, Fresh, OfMaterial, OvenDry, Ratio, Volume};

use crate::foam::{self, Foamed, Slurry};
use crate::{Cement, Fault, Faults, FoamAmount, FoamDraft, FoamShare, Ingredient, Role};

pub(crate) mod check;
mod densities;
mod steps;

pub use densities::equilibrium_of;
pub(crate) use densities::{BOUND_WATER, no_oven_dry_rule};

/// A recipe as written down, for one making of any size.
#[derive(Clone, Debug, PartialEq)]
pub struct RecipeDraft {
    /// The ingredients in mixing order, foam apart.
    pub ingredients: Vec<Ingredient>,
    /// Air that is not the foam's over the volume of the concrete: entrapped or entrained, 0 to 0.3.
    pub air: Ratio,
    /// Preformed foam.
    pub foam: Option<FoamDraft>,
    /// Wet density to aim at, with its limits.
    pub target: Option<Target>,
    /// What the making is said to give, to be held against the absolute volumes.
    pub claimed_yield: Option<Volume>,
}

/// Wet density to aim at at the mixer, and the limits within which a load is accepted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// To aim at.
    pub wet: Density<Fresh>,
    /// Below it the load is refused.
    pub lower: Density<Fresh>,
    /// Above it the load is refused.
    pub upper: Density<Fresh>,
}

impl Target {
    /// Whether a measured wet density is within the limits.
    pub fn accepts(&self, measured: Density<Fresh>) -> bool {
        self.lower <= measured && measured <= self.upper
    }
}

/// An ingredient in a cubic metre of the mix.
#[derive(Clone, Debug, PartialEq)]
pub struct Proportion {
    /// The ingredient as written, its mass being that of the making.
    pub written: Ingredient,
    /// Its mass in a cubic metre; mixing water less the foam's where that is counted.
    pub content: Content,
}

impl Proportion {
    /// Its absolute volume in a cubic metre of the mix.
    pub fn absolute_volume(&self) -> Volume {
        self.content * Volume::CUBIC_METRE / self.written.relative_density.density()
    }
}

/// Water over cement and over all cementitious material, with the foam's water and without it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterRatios {
    /// Water / cement with the foam's water.
    pub cement_with_foam: Ratio,
    /// Water / cement without the foam's water.
    pub cement_without_foam: Ratio,
    /// Water / cementitious with the foam's water.
    pub cementitious_with_foam: Ratio,
    /// Water / cementitious without the foam's water.
    pub cementitious_without_foam: Ratio,
    /// Which of the two the recipe means: whether it counts the foam's water.
    pub foam_counted: bool,
}

impl WaterRatios {
    /// The w/c the recipe means.
    pub fn water_cement(&self) -> Ratio {
        if self.foam_counted { self.cement_with_foam } else { self.cement_without_foam }
    }
}

/// A claimed yield beside that of the absolute volumes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YieldClaim {
    /// What the making is said to give.
    pub claimed: Volume,
    /// What the absolute volumes give.
    pub absolute: Volume,
    /// Absolute less claimed, per cent of the claim.
    pub difference_per_cent: f64,
}

impl YieldClaim {
    /// Beyond this many per cent the claim is taken as contradicted: the spread of published mixes with careful
    /// weighing (standard deviation 1.6 %).
    pub const CONTRADICTED_PER_CENT: f64 = 2.0;

    /// Whether the absolute volumes contradict the claim.
    pub fn is_contradicted(&self) -> bool {
        self.difference_per_cent.abs() > Self::CONTRADICTED_PER_CENT
    }
}

/// A mix at its own yield.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    proportions: Vec<Proportion>,
    air: Ratio,
    foam: Option<FoamShare>,
    target: Option<Target>,
    making: Volume,
    claim: Option<YieldClaim>,
    wet: Density<Fresh>,
}

impl Recipe {
    /// Brings a draft to its own yield, or says everything that is wrong with it.
    ///
    /// A mix on record at its own yield (kg/m³ as weighed) is read with its contents as masses, a claimed yield of one cubic
    /// metre and [`FoamAmount::Filling`]; that gives back the same contents.
    ///
    /// The making's yield is the sum of the absolute volumes, foam and other air; foam to a target is found from the mass
    /// and volume balances (see [`crate::foam`]). Where the recipe gives a target, its own wet density must lie within
    /// the limits: a mix that misses its target on paper would be refused at the mixer every time.
    pub fn new(draft: &RecipeDraft) -> Result<Self, Faults> {
        Faults::none_of(check::faults(draft))?;
        let slurry = slurry_of(draft);
        let made = match &draft.foam {
            None => Foamed { foam: 0.0, foam_mass: 0.0, made: slurry.volume / (1.0 - slurry.air) },
            Some(foam) => foam::solve(slurry, foam, draft.target.map(|target| target.wet))?,
        };
        let recipe = at_own_yield(draft, slurry, made)?;
        check::meets_its_target(&recipe)?;
        Ok(recipe)
    }

    /// The ingredients in mixing order.
    pub fn proportions(&self) -> &[Proportion] {
        &self.proportions
    }

    /// The foam in it.
    pub fn foam(&self) -> Option<&FoamShare> {
        self.foam.as_ref()
    }

    /// Wet density to aim at, with its limits.
    pub fn target(&self) -> Option<Target> {
        self.target
    }

    /// What the making as written gives.
    pub fn making(&self) -> Volume {
        self.making
    }

    /// The claimed yield beside the absolute one, where one was claimed.
    pub fn yield_claim(&self) -> Option<YieldClaim> {
        self.claim
    }

    /// Whether any of its cement sets rapidly: then it has a pot life, takes its hold from trials and needs a washout
    /// between it and Portland.
    pub fn is_rapid(&self) -> bool {
        self.cements().any(|cement| cement == Cement::RapidSettingCsa)
    }

    /// The kinds of cement in it.
    pub fn cements(&self) -> impl Iterator<Item = Cement> {
        self.proportions.iter().filter_map(|part| match part.written.role {
            Role::Cement(cement) => Some(cement),
            _ => None,
        })
    }

    /// Whether the mixer must be washed out between this mix and another: rapid-setting and Portland cement set at once
    /// when they meet.
    pub fn needs_washout_before(&self, next: &Self) -> bool {
        self.is_rapid() != next.is_rapid()
    }

    /// The same mix with foam of the density measured today: foam and contents are found anew for the same target (or,
    /// where there is none, the same wet density). A mix without foam stays as it is.
    pub fn with_foam_of(&self, measured: Density<OfMaterial>) -> Result<Self, Faults> {
        let Some(foam) = self.foam else { return Ok(self.clone()) };
        let target = self.target.unwrap_or(Target { wet: self.wet, lower: self.wet, upper: self.wet });
        let amount = FoamAmount::ToTarget;
        let FoamShare { water_counted, dilution, .. } = foam;
        let draft = RecipeDraft {
            ingredients: self.proportions.iter().map(|part| self.rewritten(part, &foam)).collect(),
            air: self.air,
            foam: Some(FoamDraft { density: measured, water_counted, amount, dilution }),
            target: Some(target),
            claimed_yield: None,
        };
        Ok(Self { target: self.target, claim: self.claim, ..Self::new(&draft)? })
    }

    /// An ingredient for a making of one cubic metre, water including the foam's where that is counted.
    fn rewritten(&self, part: &Proportion, foam: &FoamShare) -> Ingredient {
        let is_water = |role| role == Role::Water;
        let mut mass = part.content * Volume::CUBIC_METRE;
        if foam.water_counted && is_water(part.written.role) {
            // The foam took of each water in proportion to what was written of it.
            let waters = self.proportions.iter().map(|part| &part.written).filter(|item| is_water(item.role));
            let share = part.written.mass.over(waters.map(|item| item.mass).sum()).unwrap_or(Ratio::ZERO);
            mass = mass + foam.content * Volume::CUBIC_METRE * share;
        }
        Ingredient { mass, ..part.written.clone() }
    }

    /// Density of the mix before its foam goes in: all ingredients and the other air.
    pub fn slurry_density(&self) -> Result<Density<Fresh>, Faults> {
        let (foam, content) = self.foam.map_or((0.0, 0.0), |foam| (foam.volume.number(), foam.content.kg_m3()));
        let density = (self.wet.kg_m3() - content) / (1.0 - foam);
        Density::from_kg_m3(density).map_err(|error| Fault::out_of_range("/ingredients", error).into())
    }

    /// Mass in a cubic metre of all ingredients of a kind.
    pub fn content_of(&self, wanted: impl Fn(Role) -> bool) -> Content {
        self.proportions.iter().filter(|part| wanted(part.written.role)).map(|part| part.content).sum()
    }
}

fn slurry_of(draft: &RecipeDraft) -> Slurry {
    let of = |wanted: fn(Role) -> bool| -> f64 {
        draft.ingredients.iter().filter(|item| wanted(item.role)).map(|item| item.mass.kg()).sum()
    };
    Slurry {
        mass: of(|_| true),
        volume: draft.ingredients.iter().map(|item| item.absolute_volume().m3()).sum(),
        water: of(|role| role == Role::Water),
        air: draft.air.number(),
        to_fill: draft.claimed_yield.unwrap_or(Volume::CUBIC_METRE).m3(),
    }
}

fn at_own_yield(draft: &RecipeDraft, slurry: Slurry, made: Foamed) -> Result<Recipe, Faults> {
    let making =
        Volume::from_m3(made.made).map_err(|error| Faults::from(Fault::out_of_range("/ingredients", error)))?;
    let counted = draft.foam.is_some_and(|foam| foam.water_includes_foam());
    let water_left = if counted { 1.0 - made.foam_mass / slurry.water } else { 1.0 };
    let content = |item: &Ingredient| {
        let share = if item.role == Role::Water { water_left.max(0.0) } else { 1.0 };
        Content::from_kg_m3(item.mass.kg() * share / made.made)
    };
    let outside = |error| Faults::from(Fault::out_of_range("/ingredients", error));
    let proportions =
        draft.ingredients.iter().map(|item| Ok(Proportion { written: item.clone(), content: content(item)? }));
    let proportions = proportions.collect::<Result<Vec<_>, _>>().map_err(outside)?;
    let foam = draft.foam.map(|foam| foam_share(&foam, made)).transpose().map_err(outside)?;
    let foam_added = if counted { 0.0 } else { made.foam_mass };
    let wet = Density::from_kg_m3((slurry.mass + foam_added) / made.made).map_err(outside)?;
    let claim = draft.claimed_yield.map(|claimed| YieldClaim {
        claimed,
        absolute: making,
        difference_per_cent: (making.litres() / claimed.litres() - 1.0) * 100.0,
    });
    Ok(Recipe { proportions, air: draft.air, foam, target: draft.target, making, claim, wet })
}

fn foam_share(draft: &FoamDraft, made: Foamed) -> Result<FoamShare, quantities::OutOfRange> {
    Ok(FoamShare {
        density: draft.density,
        volume: Ratio::from_number(made.foam / made.made)?,
        content: Content::from_kg_m3(made.foam_mass / made.made)?,
        water_counted: draft.water_counted,
        dilution: draft.dilution,
    })
}
