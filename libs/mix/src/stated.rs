//! Amounts in any usual form, brought to masses of one making.
//!
//! A making may be written in masses (metric or US), whole bags, loose measures with a bulk density and liquids; or per
//! cubic metre or yard; or in parts by mass. One of the three, not a mixture: the sizes would not fit together. Doses
//! (per cent of cementitious or of the mix, millilitres per 100 kg) go with any.

use quantities::{Content, Density, Mass, OfMaterial, Ratio, RelativeDensity, Unclear, Volume, written};

use crate::{Collecting, Fault, Faults, Ingredient, Role, admixture};

/// How much of an ingredient, as stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A mass in the making.
    Mass(Mass),
    /// Bags of a mass: "2 × 25 kg".
    Bags {
        /// How many, whole or in part.
        count: Ratio,
        /// Mass of one.
        bag: Mass,
    },
    /// A loose measure.
    Loose {
        /// Its volume.
        volume: Volume,
        /// Bulk density on record.
        bulk: Density<OfMaterial>,
    },
    /// A liquid by volume; its relative density makes it a mass.
    Liquid(Volume),
    /// Mass in a unit volume of concrete.
    PerVolume(Content),
    /// Parts by mass.
    Parts(Ratio),
    /// Share of the cementitious mass.
    OfCementitious(Ratio),
    /// Share of the whole mix without its foam, this ingredient included.
    OfMix(Ratio),
    /// Millilitres per 100 kg of cementitious material.
    MlPer100Kg(f64),
}

/// Reads an amount from writing: `15 lb`, `2 x 25 kg`, `350 kg/m³`, `590 lb/yd³`, `5 % of cementitious`, `2 % of mix`,
/// `650 ml per 100 kg`, `3 parts`, `4 ft³` (loose where a bulk density is on record, else a liquid). Capitals and spaces do
/// not matter.
pub fn read(written_down: &str, bulk: Option<Density<OfMaterial>>) -> Result<Amount, Unclear> {
    let no_number = || Unclear::NoNumber { written: written_down.trim().to_owned() };
    let number = |part: &str| part.trim().parse::<f64>().map_err(|_| no_number());
    let text = written_down.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ").replace(" / ", "/");
    let text = text.as_str();
    let ends = |endings: &[&str]| endings.iter().find_map(|ending| text.strip_suffix(ending));
    if let Some(front) = ends(&["% of cementitious"]) {
        return Ok(Amount::OfCementitious(Ratio::from_per_cent(number(front)?)?));
    }
    if let Some(front) = ends(&["% of mix"]) {
        return Ok(Amount::OfMix(Ratio::from_per_cent(number(front)?)?));
    }
    if let Some(front) = ends(&["ml per 100 kg", "ml/100 kg"]) {
        return Ok(Amount::MlPer100Kg(number(front)?));
    }
    if let Some(front) = ends(&["parts", "part"]) {
        return Ok(Amount::Parts(Ratio::from_number(number(front)?)?));
    }
    if let Some(front) = ends(&["kg/m³", "kg/m3"]) {
        return Ok(Amount::PerVolume(Content::from_kg_m3(number(front)?)?));
    }
    if let Some(front) = ends(&["lb/yd³", "lb/yd3"]) {
        return Ok(Amount::PerVolume(Content::from_lb_yd3(number(front)?)?));
    }
    if let Some((count, bag)) = text.split_once(['x', '×']) {
        return Ok(Amount::Bags { count: Ratio::from_number(number(count)?)?, bag: written::mass(bag)? });
    }
    match written::mass(text) {
        Ok(mass) => Ok(Amount::Mass(mass)),
        // A unit that is no mass may be a volume; one that could be either stays refused with all its choices.
        Err(Unclear::UnknownUnit { .. }) => written::volume(text).map(|volume| match bulk {
            Some(bulk) => Amount::Loose { volume, bulk },
            None => Amount::Liquid(volume),
        }),
        Err(unclear) => Err(unclear),
    }
}

/// An ingredient with its amount as stated; the other fields are those of [`Ingredient`].
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// The material.
    pub name: String,
    /// What it is to the mix.
    pub role: Role,
    /// How much.
    pub amount: Amount,
    /// Relative density as weighed.
    pub relative_density: RelativeDensity,
    /// Share of its mass that is water for the cement.
    pub water_share: Ratio,
    /// Absorption of an aggregate.
    pub absorption: Ratio,
}

/// A making in masses.
#[derive(Clone, Debug, PartialEq)]
pub struct Making {
    /// The ingredients in the order stated.
    pub ingredients: Vec<Ingredient>,
    /// One cubic metre where the amounts were stated per volume: a claim to hold against the absolute volumes.
    pub claimed_yield: Option<Volume>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Basis {
    Making,
    PerVolume,
    Parts,
    Dose,
}

impl Amount {
    fn basis(&self) -> Basis {
        match self {
            Self::Mass(_) | Self::Bags { .. } | Self::Loose { .. } | Self::Liquid(_) => Basis::Making,
            Self::PerVolume(_) => Basis::PerVolume,
            Self::Parts(_) => Basis::Parts,
            Self::OfCementitious(_) | Self::OfMix(_) | Self::MlPer100Kg(_) => Basis::Dose,
        }
    }

    /// The mass, where it does not hang on other ingredients.
    fn own_mass(&self, relative_density: RelativeDensity) -> Option<Mass> {
        match *self {
            Self::Mass(mass) => Some(mass),
            Self::Bags { count, bag } => Some(bag * count),
            Self::Loose { volume, bulk } => Some(bulk * volume),
            Self::Liquid(volume) => Some(relative_density.density() * volume),
            Self::PerVolume(content) => Some(content * Volume::CUBIC_METRE),
            Self::Parts(parts) => Mass::from_kg(parts.number()).ok(),
            Self::OfCementitious(_) | Self::OfMix(_) | Self::MlPer100Kg(_) => None,
        }
    }
}

/// Brings stated amounts to masses, or says what does not fit together.
pub fn making(stated: &[Stated]) -> Result<Making, Faults> {
    let mut input = Collecting::default();
    let bases: Vec<Basis> = stated.iter().map(|item| item.amount.basis()).filter(|b| *b != Basis::Dose).collect();
    if bases.iter().any(|basis| *basis != bases[0]) {
        let what = "amounts are stated for a making, per volume and in parts side by side";
        input.push(Fault::new("/ingredients", what, "state all of them one way; doses may stand beside any"));
    }
    for (i, item) in stated.iter().enumerate().filter(|(_, item)| item.role.is_cementitious()) {
        if item.amount.basis() == Basis::Dose {
            let what = format!("{} is stated as a dose of what it is itself part of", item.name);
            input.push(Fault::new(format!("/ingredients/{i}/amount"), what, "give its mass, bags, parts or content"));
        }
    }
    input.done()?;
    Ok(Making { ingredients: ingredients(stated)?, claimed_yield: claim(&bases) })
}

fn claim(bases: &[Basis]) -> Option<Volume> {
    (bases.first() == Some(&Basis::PerVolume)).then_some(Volume::CUBIC_METRE)
}

fn ingredients(stated: &[Stated]) -> Result<Vec<Ingredient>, Faults> {
    let cementitious: Mass = stated
        .iter()
        .filter(|item| item.role.is_cementitious())
        .filter_map(|item| item.amount.own_mass(item.relative_density))
        .sum();
    // Doses of the mix come last: they need the mass of all else.
    let mut input = Collecting::default();
    let before: Vec<Option<Mass>> = stated
        .iter()
        .enumerate()
        .map(|(i, item)| match item.amount {
            Amount::OfMix(_) => Some(Mass::ZERO),
            Amount::OfCementitious(share) => Some(cementitious * share),
            Amount::MlPer100Kg(dose) => input
                .take(&format!("/ingredients/{i}/amount"), admixture::volume(dose, cementitious))
                .map(|volume| item.relative_density.density() * volume),
            _ => item.amount.own_mass(item.relative_density),
        })
        .collect();
    let rest: Mass = before.iter().flatten().copied().sum();
    let total = whole_mix(stated, rest).unwrap_or_else(|fault| {
        input.push(fault);
        Mass::ZERO
    });
    input.done()?;
    let of_mix = |item: &Stated, mass: Mass| match item.amount {
        Amount::OfMix(share) => total * share,
        _ => mass,
    };
    Ok(stated.iter().zip(before.into_iter().flatten()).map(|(item, mass)| named(item, of_mix(item, mass))).collect())
}

/// Mass of the whole mix: all else over what its doses leave of the whole.
fn whole_mix(stated: &[Stated], rest: Mass) -> Result<Mass, Fault> {
    let shares: Ratio = stated
        .iter()
        .filter_map(|item| match item.amount {
            Amount::OfMix(share) => Some(share),
            _ => None,
        })
        .sum();
    if shares.number() >= 0.5 {
        let what = format!("{:.0} % of the mix are doses of the mix", shares.per_cent());
        return Err(Fault::new("/ingredients", what, "give the main ingredients by mass"));
    }
    Mass::from_kg(rest.kg() / (1.0 - shares.number())).map_err(|error| Fault::out_of_range("/ingredients", error))
}

fn named(item: &Stated, mass: Mass) -> Ingredient {
    Ingredient {
        name: item.name.clone(),
        role: item.role,
        mass,
        relative_density: item.relative_density,
        water_share: item.water_share,
        absorption: item.absorption,
    }
}
