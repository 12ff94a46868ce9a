//! The lines of a ticket: what is weighed, foamed and laid in, and how much of it is drawn from stock.
//!
//! Masses come from the same draw per litre as the planning facts, so the tickets of a day add up to what the plan draws,
//! up to these roundings: ingredients to the scale's step, a half upwards; the foam's two liquids to whole grams and
//! millilitres, a half to the even neighbour.

use quantities::rounding::{to_grams_half_even, to_millilitres_half_even, to_resolution_half_up};
use quantities::{Grams, Mass, Millilitres, Volume};
use workshop::catalogue::{Amount, Foam, Material, MixRevision, Panel, StockUnit, Supply};
use workshop::fault::Fault;
use workshop::ids::MaterialId;
use workshop::planning::draws::{FoamShare, Materials, foam_share, mixing_water};
use workshop::tickets::{LineKind, TicketLine};

/// Above this share of its mass, half a step of the scale is worth a remark on the ticket: half of the 4 % that cement may
/// be out in small loads (ASTM C94/C94M, section 9, from memory).
const COARSE: f64 = 0.02;

/// What goes into one load.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weighed {
    /// Lines in mixing order, foam last, not yet numbered for panels' own materials.
    pub lines: Vec<TicketLine>,
    /// Foam, volume.
    pub foam: Millilitres,
    /// Foam, mass.
    pub foam_mass: Grams,
    /// What the weigher should know.
    pub remarks: Vec<String>,
}

/// Weighs out `load` (batch and washout together) of a revision on a scale with steps of `scale`.
pub fn weigh(
    revision: &MixRevision,
    load: Millilitres,
    scale: Grams,
    materials: &Materials,
) -> Result<Weighed, Vec<Fault>> {
    let mut weighed = Weighed::default();
    let mut faults = Vec::new();
    for ingredient in &revision.ingredients {
        let exact = mass_in(ingredient.kg_m3, load);
        match counted(&ingredient.material, materials) {
            Ok(material) => weighed.ingredient(material, exact, scale),
            Err(fault) => faults.push(fault),
        }
    }
    if let Some(foam) = &revision.foam {
        match foam_share(revision, foam, materials) {
            Ok(share) => faults.extend(weighed.foam(revision, foam, share, load, materials).err()),
            Err(found) => faults.extend(found),
        }
    }
    if faults.is_empty() { Ok(weighed) } else { Err(faults) }
}

/// The panels' own materials for so many panels begun in this load.
pub fn per_panel(panel: &Panel, begun: i64, materials: &Materials) -> Result<Vec<TicketLine>, Fault> {
    let lines = panel.per_panel.iter().filter(|_| begun > 0).map(|each| {
        let material = counted(&each.material, materials)?;
        let target = Amount::new(each.amount.get() * begun);
        Ok(line(LineKind::PerPanel, material, None, target))
    });
    lines.collect()
}

impl Weighed {
    fn ingredient(&mut self, material: &Material, exact: Mass, scale: Grams) {
        let on_the_scale = to_resolution_half_up(exact, scale);
        let half_step = scale.get() as f64 / 2.0;
        if exact > Mass::ZERO && half_step > COARSE * exact.grams() {
            let grams = exact.grams();
            self.remarks.push(format!(
                "{}: {grams:.1} g on a scale with steps of {scale} may be {:.0} % out: weigh it on a finer scale",
                material.name,
                half_step / grams * 100.0
            ));
        }
        // What the scale would round away altogether is left in whole grams.
        let mass = if on_the_scale == Grams::ZERO { to_grams_half_even(exact) } else { on_the_scale };
        self.lines.push(line(LineKind::Ingredient, material, Some(mass), own_amount(material, mass)));
    }

    fn foam(
        &mut self,
        revision: &MixRevision,
        foam: &Foam,
        share: FoamShare,
        load: Millilitres,
        materials: &Materials,
    ) -> Result<(), Fault> {
        let concentrate = counted(&foam.concentrate, materials)?;
        let (agent, water) = (mass_in(share.concentrate_kg_m3, load), mass_in(share.water_kg_m3, load));
        self.foam = to_millilitres_half_even(litres(share.volume * load.get() as f64 / 1000.0));
        self.foam_mass = to_grams_half_even(agent + water);
        let target = match (concentrate.unit, concentrate.relative_density) {
            (StockUnit::Millilitre, Some(relative)) => {
                Amount::new(to_millilitres_half_even(litres(agent.kg() / relative)).get())
            }
            _ => Amount::new(to_grams_half_even(agent).get()),
        };
        self.lines.push(line(LineKind::FoamConcentrate, concentrate, Some(to_grams_half_even(agent)), target));
        if let Some(id) = mixing_water(revision, materials) {
            let (material, mass) = (counted(id, materials)?, to_grams_half_even(water));
            self.lines.push(line(LineKind::FoamWater, material, Some(mass), own_amount(material, mass)));
        }
        Ok(())
    }
}

fn line(kind: LineKind, material: &Material, mass: Option<Grams>, target: Amount) -> TicketLine {
    TicketLine {
        position: 0,
        kind,
        material: material.id.clone(),
        mass,
        target,
        actual: None,
        counted: material.supply != Supply::Mains,
    }
}

/// A mass in the material's own unit: grams as they are, millilitres by relative density.
fn own_amount(material: &Material, mass: Grams) -> Amount {
    match (material.unit, material.relative_density) {
        (StockUnit::Millilitre, Some(relative)) => {
            Amount::new(to_millilitres_half_even(litres(mass.get() as f64 / 1000.0 / relative)).get())
        }
        _ => Amount::new(mass.get()),
    }
}

/// kg/m³ in so many millilitres: never below nothing, and far inside a mass's range for any load a mixer takes.
fn mass_in(kg_m3: f64, load: Millilitres) -> Mass {
    Mass::from_kg(kg_m3.max(0.0) * load.get().max(0) as f64 / 1.0e6).unwrap_or(Mass::ZERO)
}

fn litres(litres: f64) -> Volume {
    Volume::from_litres(litres.max(0.0)).unwrap_or(Volume::ZERO)
}

fn counted<'a>(id: &MaterialId, materials: &Materials<'a>) -> Result<&'a Material, Fault> {
    let missing = || Fault::at(format!("/materials/{id}"), format!("the material '{id}' is not there: add it"));
    materials.get(id).copied().ok_or_else(missing)
}
