//! The proportions of a mix at its own yield.

use mix::Recipe;
use quantities::{AirDry, Fresh, FromTheTank, OfMaterial, OvenDry, Volume};
use workshop::Fault;

use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, asked, line, lines, said};
use crate::wire::basics::RevisionText;
use crate::wire::calculations::mixture::AskedProportions;
use crate::wire::proportions::{Content, FoamContent, PanelMasses, Proportions, WorkedLine};

as_it_is!(AskedProportions);

impl Calculation for AskedProportions {
    type Found = Proportions;

    fn revisions(&self) -> Vec<&RevisionText> {
        self.revision.iter().collect()
    }

    fn work_out(&self, known: &Known) -> Result<Proportions, Vec<Fault>> {
        let mut reading = Reading::default();
        let mix = reading.keep(known.mix("", asked!(self)));
        let foam =
            reading.perhaps(self.foam_density.as_ref(), |r, text| r.density::<OfMaterial>("/foam_density", text));
        let panel = self.panel(&mut reading);
        let wet = reading
            .perhaps(self.reference_wet_density.as_ref(), |r, text| r.density::<Fresh>("/reference_wet_density", text));
        let dry = reading.perhaps(self.reference_oven_dry_density.as_ref(), |r, text| {
            r.density::<OvenDry>("/reference_oven_dry_density", text)
        });
        let ((((mix, foam), panel), wet), dry) = reading.done(mix.zip(foam).zip(panel).zip(wet).zip(dry))?;
        let mix = match foam {
            None => mix,
            Some(measured) => mix.with_foam_of(measured).map_err(|faults| all_at("/foam_density", &faults))?,
        };
        let mut found = worked_out(self.revision.clone(), &mix);
        if let Some(panel) = panel {
            panel.weigh(&mut found);
        }
        if let Some(reference) = wet {
            found.lighter_wet_percent = lighter("fresh", found.wet_density_kg_m3, reference.kg_m3(), &mut found.worked);
        }
        if let (Some(reference), Some(dry)) = (dry, found.oven_dry_density_kg_m3) {
            found.lighter_oven_dry_percent = lighter("oven-dry", dry, reference.kg_m3(), &mut found.worked);
        }
        Ok(found)
    }
}

/// By how many per cent a density is below a reference in the same state.
pub fn lighter(state: &str, kg_m3: f64, reference_kg_m3: f64, worked: &mut Vec<WorkedLine>) -> Option<f64> {
    let per_cent = (reference_kg_m3 - kg_m3) / reference_kg_m3 * 100.0;
    let numbers = format!("({reference_kg_m3:.1} - {kg_m3:.1}) / {reference_kg_m3:.1}");
    worked.push(line(format!("lighter, both {state}"), "(Dr - D) / Dr, both in one state", numbers, per_cent, "%"));
    Some(per_cent)
}

/// A recipe worked out.
pub fn worked_out(revision: Option<RevisionText>, recipe: &Recipe) -> Proportions {
    let ingredients = recipe.proportions().iter().map(|p| Content {
        material: p.written.name.clone(),
        content_kg_m3: p.content.kg_m3(),
        volume_l_m3: p.absolute_volume().litres(),
    });
    let solution = recipe.per_litre();
    let foam = recipe.foam().map(|foam| FoamContent {
        volume_l_m3: foam.volume.number() * 1000.0,
        content_kg_m3: foam.content.kg_m3(),
        density_kg_m3: foam.density.kg_m3(),
        concentrate_ml_m3: solution.concentrate_ml * 1000.0,
        water_kg_m3: solution.foam_water_g,
    });
    let (dry, equilibrium) = (recipe.oven_dry_density(), recipe.equilibrium_density());
    let ratios = recipe.water_ratios().ok();
    let claim = recipe.yield_claim();
    let remark = |fault: mix::Fault| said(&fault);
    Proportions {
        revision,
        ingredients: ingredients.collect(),
        foam,
        yield_l: recipe.making().litres(),
        claimed_yield_l: claim.map(|c| c.claimed.litres()),
        yield_difference_percent: claim.map(|c| c.difference_per_cent),
        air_percent: recipe.air().per_cent(),
        wet_density_kg_m3: recipe.wet_density().kg_m3(),
        slurry_density_kg_m3: recipe.slurry_density().ok().map(|d| d.kg_m3()),
        oven_dry_density_kg_m3: dry.as_ref().ok().map(|d| d.kg_m3()),
        oven_dry_remark: dry.err().map(remark),
        equilibrium_density_kg_m3: equilibrium.as_ref().ok().map(|d| d.kg_m3()),
        equilibrium_remark: equilibrium.err().map(remark),
        water_cement: ratios.map(|r| r.cement_without_foam.number()),
        water_cement_with_foam: ratios.map(|r| r.cement_with_foam.number()),
        water_cementitious: ratios.map(|r| r.cementitious_without_foam.number()),
        water_cementitious_with_foam: ratios.map(|r| r.cementitious_with_foam.number()),
        foam_water_counted: ratios.is_some_and(|r| r.foam_counted),
        panel: None,
        lighter_wet_percent: None,
        lighter_oven_dry_percent: None,
        remarks: recipe.remarks(),
        worked: lines(recipe.worked()),
    }
}

/// A panel, and the densities of its concrete that a trial found.
struct Panel {
    volume: Volume,
    from_the_tank: Option<f64>,
    air_dry: Option<f64>,
}

impl AskedProportions {
    fn panel(&self, reading: &mut Reading) -> Option<Option<Panel>> {
        let volume = reading.perhaps(self.panel.as_ref(), |r, text| r.volume("/panel", text));
        let from_the_tank = reading.perhaps(self.from_the_tank_density.as_ref(), |r, text| {
            r.density::<FromTheTank>("/from_the_tank_density", text)
        });
        let air_dry =
            reading.perhaps(self.air_dry_density.as_ref(), |r, text| r.density::<AirDry>("/air_dry_density", text));
        let (volume, from_the_tank, air_dry) = (volume?, from_the_tank?, air_dry?);
        if volume.is_none() && (from_the_tank.is_some() || air_dry.is_some()) {
            reading.push(
                "/panel",
                "is missing: give the panel whose mass is wanted, or leave out the densities of a trial",
            );
        }
        Some(volume.map(|volume| Panel {
            volume,
            from_the_tank: from_the_tank.map(|density| density.kg_m3()),
            air_dry: air_dry.map(|density| density.kg_m3()),
        }))
    }
}

impl Panel {
    /// Its masses, each state with its worked line.
    fn weigh(&self, found: &mut Proportions) {
        let m3 = self.volume.m3();
        let (wet, dry) = (found.wet_density_kg_m3, found.oven_dry_density_kg_m3);
        let air_dry = self.air_dry.or(found.equilibrium_density_kg_m3);
        let mut weigh = |state: &str, kg_m3: f64| {
            let (numbers, mass) = (format!("{kg_m3:.1} kg/m³ · {m3:.4} m³"), kg_m3 * m3);
            found.worked.push(line(format!("mass of the panel, {state}"), "m = D V", numbers, mass, "kg"));
            mass
        };
        found.panel = Some(PanelMasses {
            volume_l: self.volume.litres(),
            fresh_kg: weigh("fresh", wet),
            from_the_tank_kg: self.from_the_tank.map(|kg_m3| weigh("from the tank", kg_m3)),
            air_dry_kg: air_dry.map(|kg_m3| weigh("air-dry", kg_m3)),
            oven_dry_kg: dry.map(|kg_m3| weigh("oven-dry", kg_m3)),
        });
    }
}

/// A batch sheet as it is shown.
pub fn sheet(revision: Option<RevisionText>, sheet: mix::BatchSheet) -> crate::wire::proportions::BatchSheet {
    use crate::wire::proportions::{BatchSheet, SheetFoam, SheetLine};
    let worked = lines(sheet.worked());
    let weighed =
        |l: mix::sheet::SheetLine| SheetLine { material: l.name, exact_g: l.exact.grams(), mass_g: l.weighed.get() };
    BatchSheet {
        revision,
        volume_l: sheet.litres.litres(),
        lines: sheet.lines.into_iter().map(weighed).collect(),
        foam: sheet.foam.map(|f| SheetFoam {
            volume_l: f.volume.litres(),
            mass_g: f.weighed.get(),
            density_kg_m3: f.density.kg_m3(),
            concentrate_ml: f.concentrate.map(quantities::Millilitres::get),
            water_g: f.water.get(),
        }),
        wet_density_kg_m3: sheet.wet_density.kg_m3(),
        remarks: sheet.remarks,
        worked,
    }
}
