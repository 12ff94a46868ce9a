//! The worked lines of a recipe.

use super::*;
use crate::{Source, Worked};

impl Recipe {
    /// How the results came about, in the order a person would work them out.
    pub fn worked(&self) -> Vec<Worked> {
        let mut lines: Vec<Worked> = self.proportions.iter().map(volume_line).collect();
        lines.extend(self.foam.iter().map(|foam| foam_line(foam, self.wet)));
        lines.push(self.yield_line());
        lines.push(self.wet_line());
        if let Ok(ratios) = self.water_ratios() {
            lines.push(self.water_line(&ratios));
        }
        if let Ok(dry) = self.oven_dry_density() {
            lines.push(self.dry_line(dry));
        }
        lines.push(self.air_line());
        lines
    }

    fn yield_line(&self) -> Worked {
        let parts: f64 = self.proportions.iter().map(|part| part.absolute_volume().m3()).sum();
        let foam = self.foam.map_or(0.0, |foam| foam.volume.number());
        Worked {
            what: "volume of all parts of a cubic metre".into(),
            formula: "Σ M / (G ρw) + Vf + a",
            numbers: format!("{parts:.4} + {foam:.4} + {:.4}", self.air.number()),
            result: parts + foam + self.air.number(),
            unit: "m³",
            source: Source::ABSOLUTE_VOLUME,
        }
    }

    fn wet_line(&self) -> Worked {
        let parts: f64 = self.proportions.iter().map(|part| part.content.kg_m3()).sum();
        let foam = self.foam.map_or(0.0, |foam| foam.content.kg_m3());
        Worked {
            what: "wet density".into(),
            formula: "D = Σ M + ρf Vf, in one cubic metre",
            numbers: format!("{parts:.1} + {foam:.1}"),
            result: self.wet.kg_m3(),
            unit: "kg/m³",
            source: Source::BALANCE,
        }
    }

    fn water_line(&self, ratios: &WaterRatios) -> Worked {
        let cement = self.content_of(|role| matches!(role, Role::Cement(_))).kg_m3();
        let mixing = self.mixing_water_kg_m3();
        let foam = self.foam.map_or(0.0, |foam| foam.content.kg_m3());
        let (formula, numbers) = if ratios.foam_counted {
            ("w/c = (W + ρf Vf) / C, foam water counted", format!("({mixing:.1} + {foam:.1}) / {cement:.1}"))
        } else {
            ("w/c = W / C, foam water not counted", format!("{mixing:.1} / {cement:.1}"))
        };
        Worked {
            what: "water/cement".into(),
            formula,
            numbers,
            result: ratios.water_cement().number(),
            unit: "",
            source: Source::DEFINITION,
        }
    }

    fn dry_line(&self, dry: Density<OvenDry>) -> Worked {
        let portland = self.portland_kg_m3();
        Worked {
            what: "oven-dry density".into(),
            formula: "O = dry solids + 0.2 · Portland cement (that is, dry aggregates + 1.2 C)",
            numbers: format!("{:.1} + {BOUND_WATER} · {portland:.1}", dry.kg_m3() - BOUND_WATER * portland),
            result: dry.kg_m3(),
            unit: "kg/m³",
            source: Source::OVEN_DRY,
        }
    }

    fn air_line(&self) -> Worked {
        let numbers = match &self.foam {
            Some(foam) => {
                let (volume, density) = (foam.volume.number(), foam.density.kg_m3());
                format!("{:.4} + {volume:.4} (1 - {density:.1} / 1000)", self.air.number())
            }
            None => format!("{:.4}", self.air.number()),
        };
        Worked {
            what: "air".into(),
            formula: "A = a + Vf (1 - ρf / ρw)",
            numbers,
            result: self.air().number(),
            unit: "",
            source: Source::BALANCE,
        }
    }
}

fn volume_line(part: &Proportion) -> Worked {
    let (content, density) = (part.content.kg_m3(), part.written.relative_density.density().kg_m3());
    Worked {
        what: format!("absolute volume of {}", part.written.name),
        formula: "V = M / (G ρw)",
        numbers: format!("{content:.1} / {density:.0}"),
        result: part.absolute_volume().m3(),
        unit: "m³",
        source: Source::ABSOLUTE_VOLUME,
    }
}

fn foam_line(foam: &FoamShare, wet: Density<Fresh>) -> Worked {
    let (formula, source) = if foam.water_counted {
        ("Vf = (M / D - V) / (1 - ρf / ρw), foam water counted", Source::FOAM_COUNTED)
    } else {
        ("Vf = (M - D V) / (D - ρf), foam water not counted", Source::BALANCE)
    };
    Worked {
        what: "foam volume".into(),
        formula,
        numbers: format!("D = {:.1}, ρf = {:.1} kg/m³", wet.kg_m3(), foam.density.kg_m3()),
        result: foam.volume.number(),
        unit: "m³",
        source,
    }
}
