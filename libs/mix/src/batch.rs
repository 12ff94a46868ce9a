//! Litres into mixer loads.

use quantities::{Pieces, Ratio, Volume, rounding};

use crate::{Fault, Faults, Source, Worked};

/// What one load of a mixer can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MixerLimits {
    /// The least it mixes properly.
    pub least: Volume,
    /// The most it holds in work.
    pub most: Volume,
}

impl MixerLimits {
    /// Limits from the vessel's brim volume, the share of it usable (a drum's tilt, a pail's splash) and the least load.
    pub fn of_vessel(brim: Volume, usable: Ratio, least: Volume) -> Result<Self, Faults> {
        if usable > Ratio::ONE {
            let what = format!("{:.0} % of a vessel cannot be used", usable.per_cent());
            return Err(Fault::new("/usable", what, "give a share from 0 to 1").into());
        }
        let limits = Self { least, most: brim * usable };
        Faults::none_of(limits.faults())?;
        Ok(limits)
    }

    /// The limits narrowed to what is placed within the pot life of a rapid-setting mix, at so many minutes for a panel
    /// of so many litres: whole panels only. `mixing_minutes` come off the pot life first.
    pub fn within_pot_life(
        self,
        pot_life: f64,
        mixing: f64,
        minutes_per_panel: f64,
        panel: Volume,
    ) -> Result<Self, Faults> {
        let sound = [pot_life, mixing, minutes_per_panel].iter().all(|m| m.is_finite() && *m >= 0.0);
        if !sound || minutes_per_panel <= 0.0 || panel == Volume::ZERO {
            let what = "pot life, mixing and placing times must be minutes, with something to place";
            return Err(Fault::new("/pot_life", what, "give minutes of 0 or more and the panel's litres").into());
        }
        let panels = ((pot_life - mixing) / minutes_per_panel + 1.0e-9).floor();
        let most = Ratio::from_number(panels.clamp(0.0, 1000.0)).map(|panels| panel * panels);
        let most = most.map_err(|error| Fault::out_of_range("/pot_life", error))?.min(self.most);
        if panels < 1.0 || most < self.least {
            let what = format!("in {pot_life} min less {mixing} min mixing only {panels:.0} panels are placed");
            return Err(Fault::new("/pot_life", what, "retard the mix, place faster or mix in a smaller vessel").into());
        }
        Ok(Self { most, ..self })
    }

    /// How the most of a vessel came about, of limits made by [`MixerLimits::of_vessel`].
    pub fn vessel_worked(&self, brim: Volume, usable: Ratio) -> Worked {
        let numbers = format!("{:.3} L · {:.3}", brim.litres(), usable.number());
        step("most of the mixer", "brim · usable", numbers, self.most.litres(), "L")
    }

    /// How the most that can be placed in time came about, of limits made by [`MixerLimits::within_pot_life`]. Minutes.
    pub fn pot_life_worked(&self, pot_life: f64, mixing: f64, minutes_per_panel: f64, panel: Volume) -> Worked {
        let panel = panel.litres();
        let numbers = format!("({pot_life} - {mixing}) min / {minutes_per_panel} min, downwards, · {panel:.3} L");
        let what = "most that can be placed, and mixed at once";
        step(what, "whole panels in the pot life · panel", numbers, self.most.litres(), "L")
    }

    fn faults(&self) -> Vec<Fault> {
        if self.most == Volume::ZERO || self.least > self.most {
            let what = format!("a load of {:.1} to {:.1} cannot be mixed", self.least, self.most);
            return vec![Fault::new("/mixer", what, "give a least load below the most, and a most above 0 L")];
        }
        Vec::new()
    }
}

fn step(what: &str, formula: &'static str, numbers: String, result: f64, unit: &'static str) -> Worked {
    Worked { what: what.to_owned(), formula, numbers, result, unit, source: Source::DEFINITION }
}

/// Equal loads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Batches {
    /// How many.
    pub count: Pieces,
    /// Litres of each.
    pub each: Volume,
    /// Litres beyond those asked for, because no load may be smaller.
    pub spare: Volume,
}

impl Batches {
    /// The litres of each load, one by one.
    pub fn litres(&self) -> impl Iterator<Item = Volume> {
        let each = self.each;
        (0..self.count.get()).map(move |_| each)
    }

    /// How the loads of so many litres came about.
    pub fn worked(&self, litres: Volume, limits: MixerLimits) -> [Worked; 2] {
        let (all, count) = (litres.litres(), self.count.get());
        let most = limits.most.litres();
        [
            step("loads", "n = V / Vmax, upwards", format!("{all:.3} L / {most:.3} L"), count as f64, ""),
            step(
                "litres of each load",
                "V / n, at least the mixer's least",
                format!("{all:.3} L / {count}"),
                self.each.litres(),
                "L",
            ),
        ]
    }

    /// All litres mixed.
    pub fn made(&self) -> Volume {
        Volume::from_litres(self.each.litres() * self.count.get() as f64).unwrap_or(self.each)
    }
}

/// The fewest equal loads that give so many litres within the mixer's limits. Nothing asked for is no load.
///
/// Less than the least load is mixed as the least load, and the rest is `spare`; so is what equal loads of at least the
/// least give too much.
pub fn equal_batches(litres: Volume, limits: MixerLimits) -> Result<Batches, Faults> {
    Faults::none_of(limits.faults())?;
    let count = rounding::loads_up(litres, limits.most).unwrap_or(Pieces::ZERO);
    if count == Pieces::ZERO {
        return Ok(Batches { count, each: Volume::ZERO, spare: Volume::ZERO });
    }
    let share = litres.litres() / count.get() as f64;
    // `loads_up` forgives rounding noise; the loads themselves must not pass the limit by it.
    let each = Volume::from_litres(share).map_err(|error| Fault::out_of_range("/litres", error))?;
    let each = each.min(limits.most).max(limits.least);
    let spare = (each.litres() * count.get() as f64 - litres.litres()).max(0.0);
    let spare = Volume::from_litres(spare).map_err(|error| Fault::out_of_range("/litres", error))?;
    Ok(Batches { count, each, spare })
}
