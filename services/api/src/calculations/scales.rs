//! What a scale can tell apart, and how far a mass may be out.

use mix::weighing::{
    WaterRule, cement_band, en_206_tolerance, fine_enough, least_weighable, scale_accuracy, water_band,
};
use mix::{Role, Source};
use quantities::{Grams, Mass, Ratio};
use workshop::Fault;

use super::recipe::role_of_kind;
use super::written::Reading;
use super::{Calculation, Known, all_at, as_it_is, line_from};
use crate::wire::calculations::scales::{AskedScale, MassBand, ScaleCheck};
use crate::wire::proportions::WorkedLine;

as_it_is!(AskedScale);

const EN_206: Source = Source("EN 206, batching tolerances");
/// The step of a scale nobody told of, grams.
const FINE_STEP_G: i64 = 1;

impl Calculation for AskedScale {
    type Found = ScaleCheck;

    fn work_out(&self, known: &Known) -> Result<ScaleCheck, Vec<Fault>> {
        let mut reading = Reading::default();
        let capacity = reading.mass("/capacity", &self.capacity);
        let mass = reading.mass("/mass", &self.mass);
        let share = reading.perhaps(self.of_cement_percent, |r, percent| r.percent("/of_cement_percent", percent));
        let all_water = reading.perhaps(self.all_water.as_ref(), |r, text| r.mass("/all_water", text));
        let read = capacity.zip(mass).zip(share).zip(all_water);
        let (((capacity, mass), share), all_water) = reading.done(read)?;
        let role = role_of_kind(self.kind);
        let step = self.scale_step_g.map(Grams::new).or(known.scale_step).unwrap_or(Grams::new(FINE_STEP_G));
        let tolerance = en_206_tolerance(role, share.unwrap_or(Ratio::ONE));
        let least = least_weighable(step, tolerance).map_err(|faults| all_at("/scale_step_g", &faults))?;
        let accuracy = scale_accuracy(capacity, mass);
        let mut bands = vec![around(mass, tolerance)];
        bands.extend(ready_mixed(role, mass, capacity, all_water.unwrap_or(mass)));
        Ok(ScaleCheck {
            accuracy_g: accuracy.grams(),
            fine_enough: fine_enough(step, capacity),
            least_weighable_g: least.grams(),
            weighable: mass >= least,
            bands,
            worked: worked(capacity, mass, accuracy, step, tolerance, least),
        })
    }
}

fn worked(capacity: Mass, mass: Mass, accuracy: Mass, step: Grams, tolerance: Ratio, least: Mass) -> Vec<WorkedLine> {
    let asked = format!("max(0.0015 · {:.3} kg, 0.004 · {:.3} kg)", capacity.kg(), mass.kg());
    let half = format!("{} g / 2 / {:.3}", step.get(), tolerance.number());
    let formula = "the greater of 0.15 % of the capacity and 0.4 % of the load";
    vec![
        line_from("accuracy asked of the scale", formula, asked, accuracy.grams(), "g", Source::BATCHING),
        line_from("least weighable", "half a step / tolerance", half, least.grams(), "g", EN_206),
    ]
}

/// The band of EN 206 about a mass.
fn around(mass: Mass, tolerance: Ratio) -> MassBand {
    let out = mass * tolerance;
    let rule = format!("within {:.0} %", tolerance.per_cent());
    band(rule, (mass.checked_sub(out).unwrap_or(Mass::ZERO), mass + out), EN_206)
}

/// The bands of ready-mixed concrete, for cement and water.
fn ready_mixed(role: Role, mass: Mass, capacity: Mass, all_water: Mass) -> Vec<MassBand> {
    match role {
        Role::Cement(_) | Role::Addition => {
            let rule = "cement: within 1 % above 30 % of the scale's capacity, else up to 4 % over and none under";
            vec![band(rule.into(), cement_band(mass, capacity), Source::BATCHING)]
        }
        Role::Water => [
            (WaterRule::From2021, "water weighed: within 1.5 % of its target, from 2021"),
            (WaterRule::Before2021, "water weighed: within 1 % of all mixing water, before 2021"),
        ]
        .map(|(rule, words)| band(words.into(), water_band(rule, mass, all_water).added, Source::BATCHING))
        .into(),
        _ => Vec::new(),
    }
}

fn band(rule: String, (least, most): (Mass, Mass), source: Source) -> MassBand {
    MassBand { rule, least_kg: least.kg(), most_kg: most.kg(), source: source.cite().to_owned() }
}
