//! Densities, air and water ratios of a recipe.

use super::*;
use crate::caution::PERLITE_OUTDOORS;

/// Hydration binds water of about a fifth of the Portland cement's mass (ASTM C567).
pub(crate) const BOUND_WATER: f64 = 0.2;
/// Equilibrium over oven-dry density of structural lightweight concrete, kg/m³ (ASTM C567).
const EQUILIBRIUM_OVER_DRY: f64 = 50.0;

impl Recipe {
    /// Wet density as mixed: the masses of all ingredients and the foam in a cubic metre.
    pub fn wet_density(&self) -> Density<Fresh> {
        self.wet
    }

    /// Calculated oven-dry density: (dry solids + 0.2 · Portland cement) / volume, that is, 1.2 · C for a Portland
    /// cement and dry aggregates as they are. The fifth is Portland's alone: the rest of a blended cement counts once.
    ///
    /// Refused for rapid-setting cement, whose hydration binds other amounts. (ASTM C567/C567M, section 9.2.)
    pub fn oven_dry_density(&self) -> Result<Density<OvenDry>, Fault> {
        if self.is_rapid() {
            return Err(no_oven_dry_rule("/ingredients"));
        }
        let solids: f64 = self.proportions.iter().map(|part| part.content.kg_m3() * part.written.dry_share()).sum();
        Density::from_kg_m3(solids + BOUND_WATER * self.portland_kg_m3())
            .map_err(|error| Fault::out_of_range("/ingredients", error))
    }

    /// Equilibrium density of structural lightweight concrete: oven-dry + 50 kg/m³. Refused for foamed concrete, for
    /// which the rule was never made, and where there is no lightweight aggregate.
    pub fn equilibrium_density(&self) -> Result<Density<quantities::AirDry>, Fault> {
        let remedy = "weigh an air-dry specimen of a trial and record its density";
        if self.foam.is_some() {
            let what = "oven-dry + 50 kg/m³ holds for structural lightweight concrete, not for foamed concrete";
            return Err(Fault::new("/ingredients", what, remedy));
        }
        if self.content_of(|role| role == Role::LightweightAggregate) == Content::ZERO {
            let what = "oven-dry + 50 kg/m³ holds for concrete with lightweight aggregate; there is none";
            return Err(Fault::new("/ingredients", what, remedy));
        }
        equilibrium_of(self.oven_dry_density()?)
    }

    /// All air over the volume of the concrete: the foam's and the other.
    pub fn air(&self) -> Ratio {
        let air = self.air.number() + self.foam.map_or(0.0, |foam| foam.air());
        Ratio::from_number(air.min(1.0)).unwrap_or(Ratio::ONE)
    }

    /// Water over cement and cementitious material, with and without the foam's water.
    pub fn water_ratios(&self) -> Result<WaterRatios, Fault> {
        let cement = self.content_of(|role| matches!(role, Role::Cement(_))).kg_m3();
        let cementitious = self.content_of(Role::is_cementitious).kg_m3();
        let mixing = self.mixing_water_kg_m3();
        let foam = self.foam.map_or(0.0, |foam| foam.content.kg_m3());
        let ratio = |water: f64, binder: f64| {
            Ratio::from_number(water / binder).map_err(|error| Fault::out_of_range("/ingredients", error))
        };
        Ok(WaterRatios {
            cement_with_foam: ratio(mixing + foam, cement)?,
            cement_without_foam: ratio(mixing, cement)?,
            cementitious_with_foam: ratio(mixing + foam, cementitious)?,
            cementitious_without_foam: ratio(mixing, cementitious)?,
            foam_counted: self.foam.is_some_and(|foam| foam.water_counted),
        })
    }

    /// Remarks a person should see beside the results; none for most mixes.
    pub fn remarks(&self) -> Vec<String> {
        let mut remarks = Vec::new();
        if let Some(claim) = self.claim.filter(YieldClaim::is_contradicted) {
            remarks.push(format!(
                "said to give {:.1} L, but the absolute volumes give {:.1} L ({:+.1} %): check masses and relative densities",
                claim.claimed.litres(),
                claim.absolute.litres(),
                claim.difference_per_cent
            ));
        }
        if self.content_of(|role| role == Role::LightweightAggregate) > Content::ZERO {
            remarks.push(PERLITE_OUTDOORS.to_owned());
        }
        remarks
    }

    pub(super) fn mixing_water_kg_m3(&self) -> f64 {
        self.proportions.iter().map(|part| part.content.kg_m3() * part.written.free_water().number()).sum()
    }

    pub(super) fn portland_kg_m3(&self) -> f64 {
        let portland = |part: &Proportion| part.content.kg_m3() * part.written.role.portland_share().number();
        self.proportions.iter().map(portland).sum()
    }

    /// What is missing to a cubic metre when all parts are added up, in litres: nothing but rounding noise.
    pub fn volume_balance(&self) -> f64 {
        let parts: f64 = self.proportions.iter().map(|part| part.absolute_volume().litres()).sum();
        let foam = self.foam.map_or(0.0, |foam| foam.volume.number() * 1000.0);
        1000.0 - parts - foam - self.air.number() * 1000.0
    }

    /// Wet density less the contents of all parts, kg/m³: nothing but rounding noise.
    pub fn mass_balance(&self) -> f64 {
        let parts: f64 = self.proportions.iter().map(|part| part.content.kg_m3()).sum();
        self.wet.kg_m3() - parts - self.foam.map_or(0.0, |foam| foam.content.kg_m3())
    }
}

/// Why rapid-setting cement has no calculated oven-dry density, where one is asked for at a field.
pub(crate) fn no_oven_dry_rule(at: &str) -> Fault {
    let what = "the 1.2 · C rule holds for Portland cement, not for calcium sulfoaluminate";
    Fault::new(at, what, "go by the wet density; weigh a dried specimen of a trial and record its density")
}

/// Equilibrium density of structural lightweight concrete from its oven-dry density (ASTM C567): + 50 kg/m³.
pub fn equilibrium_of(oven_dry: Density<OvenDry>) -> Result<Density<quantities::AirDry>, Fault> {
    Density::from_kg_m3(oven_dry.kg_m3() + EQUILIBRIUM_OVER_DRY)
        .map_err(|error| Fault::out_of_range("/ingredients", error))
}
