//! What trials say: one against a reference concrete, and all of them as the workshop's own line from density to strength.

use mix::trials::{self, DensityStrength};
use quantities::{ConcreteState, Density, OutOfRange, OvenDry, Pressure, StatedDensity};
use workshop::Fault;
use workshop::ids::PanelId;
use workshop::trials::{HardState, Trial};

use super::{as_it_is, line, lines, said};
use crate::wire::proportions::WorkedLine;
use crate::wire::trial_findings as wire;
use crate::wire::{Id, RevisionText};

as_it_is!(wire::AskedTrialComparison);

/// A concrete's figures that compare: those of a trial, means where several specimens were tested, or those of a reference.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    /// The trial's id, or the reference's name.
    pub name: String,
    /// The trial they are of.
    pub trial: Option<Trial>,
    /// Densities, one for each state known.
    pub densities: Vec<StatedDensity>,
    /// Strength at the age compared.
    pub strength: Option<Pressure>,
    /// Loss in the wear test, grams.
    pub wear_g: Option<f64>,
    /// Material cost in minor units to the cubic metre.
    pub cost_per_m3: Option<f64>,
}

impl Figures {
    /// Those of a trial at an age, with the material cost of its revision.
    ///
    /// # Errors
    /// A figure on record that is none.
    pub fn of_trial(trial: Trial, age_days: f64, cost_per_m3: Option<f64>) -> Result<Self, OutOfRange> {
        let fresh = trial.wet_density_kg_m3.map(|kg_m3| (ConcreteState::Fresh, kg_m3));
        let hard = HardState::ALL.into_iter().filter_map(|state| Some((state.of_concrete(), trial.density(state)?)));
        let densities = fresh.into_iter().chain(hard).map(|(state, kg_m3)| StatedDensity::from_kg_m3(state, kg_m3));
        Ok(Self {
            name: trial.id.to_string(),
            densities: densities.collect::<Result<_, _>>()?,
            strength: trial.strength(age_days).map(Pressure::from_mpa).transpose()?,
            wear_g: trial.wear_loss_g,
            cost_per_m3,
            trial: Some(trial),
        })
    }

    /// Those of a reference concrete as written.
    ///
    /// # Errors
    /// Every fault at its place under `/reference`.
    pub fn of_reference(written: &wire::ReferenceFigures) -> Result<Self, Vec<Fault>> {
        let mut faults = Vec::new();
        let mut densities: Vec<StatedDensity> = Vec::new();
        for (at, density) in written.densities.iter().enumerate() {
            match StatedDensity::from_kg_m3(density.state.into(), density.density_kg_m3) {
                Ok(found) if densities.iter().any(|earlier| earlier.state() == found.state()) => {
                    let detail = format!("{} density is given twice: give it once", found.state());
                    faults.push(Fault::at(format!("/reference/densities/{at}/state"), detail));
                }
                Ok(found) => densities.push(found),
                Err(error) => {
                    faults.push(Fault::at(format!("/reference/densities/{at}/density_kg_m3"), error.to_string()))
                }
            }
        }
        let strength = written.strength_mpa.map(Pressure::from_mpa).transpose();
        let strength = strength.unwrap_or_else(|error| {
            faults.push(Fault::at("/reference/strength_mpa", error.to_string()));
            None
        });
        if !faults.is_empty() {
            return Err(faults);
        }
        let (wear_g, cost_per_m3) = (written.wear_loss_g, written.cost_minor_m3);
        Ok(Self { name: written.name.clone(), trial: None, densities, strength, wear_g, cost_per_m3 })
    }

    /// As they are shown.
    pub fn shown(&self) -> wire::ComparedFigures {
        let density = |d: &StatedDensity| wire::ConcreteDensity { state: d.state().into(), density_kg_m3: d.kg_m3() };
        let trial = self.trial.as_ref();
        wire::ComparedFigures {
            name: self.name.clone(),
            trial: trial.map(|t| Id::of(&t.id)),
            revision: trial.map(|t| RevisionText::of(&t.revision)),
            densities: self.densities.iter().map(density).collect(),
            strength_mpa: self.strength.map(Pressure::mpa),
            wear_loss_g: self.wear_g,
            cost_minor_m3: self.cost_per_m3,
            cracks: trial.and_then(|t| t.cracks.clone()),
            warp_mm: trial.and_then(|t| t.warp_mm),
        }
    }

    fn density(&self, state: ConcreteState) -> Option<StatedDensity> {
        self.densities.iter().copied().find(|density| density.state() == state)
    }
}

/// Every state there is, as figures are listed.
const STATES: [ConcreteState; 5] = [
    ConcreteState::Fresh,
    ConcreteState::Demoulded,
    ConcreteState::FromTheTank,
    ConcreteState::AirDry,
    ConcreteState::OvenDry,
];

/// A trial against the reference, at one age.
pub fn against(mine: &Figures, its: &Figures, age_days: f64) -> wire::TrialAgainst {
    let (mut worked, mut remarks) = (Vec::new(), Vec::new());
    let lighter =
        STATES.into_iter().filter_map(|state| lighter_in(state, mine, its, &mut worked, &mut remarks)).collect();
    let mut per_cent = |what: &str, formula, better: Option<f64>, pair: Option<(f64, f64)>| {
        match (better, pair) {
            (Some(better), Some((mine, its))) => {
                worked.push(line(what, formula, format!("{mine:.2}, {its:.2}"), better, "%"));
            }
            _ => remarks.push(format!("{what}: not known of both, so not compared")),
        }
        better
    };
    let strengths = mine.strength.zip(its.strength);
    let stronger_percent = per_cent(
        &format!("stronger at {age_days} days"),
        "(f - fr) / fr",
        strengths.and_then(|(mine, its)| trials::stronger(mine, its)),
        strengths.map(|(mine, its)| (mine.mpa(), its.mpa())),
    );
    let wear = mine.wear_g.zip(its.wear_g);
    let less_worn_percent =
        per_cent("less worn", "(wr - w) / wr", wear.and_then(|(mine, its)| trials::less(mine, its)), wear);
    let cost = mine.cost_per_m3.zip(its.cost_per_m3);
    let cheaper_percent =
        per_cent("cheaper", "(Kr - K) / Kr", cost.and_then(|(mine, its)| trials::less(mine, its)), cost);
    let panels = mine.trial.as_ref().zip(its.trial.as_ref()).map(|(mine, its)| panels(mine, its, &mut worked));
    wire::TrialAgainst {
        figures: mine.shown(),
        lighter,
        stronger_percent,
        less_worn_percent,
        cheaper_percent,
        panels: panels.unwrap_or_default(),
        remarks,
        worked,
    }
}

fn lighter_in(
    state: ConcreteState,
    mine: &Figures,
    its: &Figures,
    worked: &mut Vec<WorkedLine>,
    remarks: &mut Vec<String>,
) -> Option<wire::LighterIn> {
    match (mine.density(state), its.density(state)) {
        (Some(mine), Some(its)) => {
            let percent = mine.per_cent_lighter_than(its).ok()?;
            let numbers = format!("({:.1} - {:.1}) / {:.1}", its.kg_m3(), mine.kg_m3(), its.kg_m3());
            worked.push(line(
                format!("lighter, both {state}"),
                "(Dr - D) / Dr, both in one state",
                numbers,
                percent,
                "%",
            ));
            Some(wire::LighterIn { state: state.into(), percent })
        }
        (None, None) => None,
        _ => {
            remarks.push(format!("{state} density was not found of both, so they are not compared in it"));
            None
        }
    }
}

/// The same panels weighed in the same state of both trials.
fn panels(mine: &Trial, its: &Trial, worked: &mut Vec<WorkedLine>) -> Vec<wire::PanelLighter> {
    let mut pairs: Vec<(&PanelId, HardState)> =
        mine.panels.iter().map(|weighed| (&weighed.panel, weighed.state)).collect();
    pairs.sort();
    pairs.dedup();
    let lighter = |(panel, state): (&PanelId, HardState)| {
        let (mass, reference) = (mine.panel_mass(panel, state)?, its.panel_mass(panel, state)?);
        let lighter_percent = trials::less(mass, reference)?;
        let numbers = format!("({reference:.0} - {mass:.0}) / {reference:.0}");
        let what = format!("lighter panel {panel}, both {}", state.of_concrete());
        worked.push(line(what, "(mr - m) / mr, both in one state", numbers, lighter_percent, "%"));
        Some(wire::PanelLighter {
            panel: Id::of(panel),
            state: state.into(),
            mass_g: mass,
            reference_mass_g: reference,
            lighter_percent,
        })
    };
    pairs.into_iter().filter_map(lighter).collect()
}

/// The line through trials of one kind of concrete at an age, and what is read off it: at a density where one is asked for, else over
/// the densities tried.
pub fn density_strength(
    of_one_kind: &[Trial],
    concrete: wire::ConcreteOfLine,
    age_days: i64,
    at: Option<f64>,
) -> wire::DensityStrength {
    let mut found = wire::DensityStrength {
        age_days,
        concrete,
        points: vec![],
        left_out: vec![],
        readings: vec![],
        remark: None,
        worked: vec![],
    };
    let mut pairs = Vec::new();
    for trial in of_one_kind {
        match point(trial, age_days) {
            Ok((density, strength)) => {
                pairs.push((density, strength));
                found.points.push(wire::LinePoint {
                    trial: Id::of(&trial.id),
                    revision: RevisionText::of(&trial.revision),
                    oven_dry_density_kg_m3: density.kg_m3(),
                    strength_mpa: strength.mpa(),
                });
            }
            Err(why) => found.left_out.push(wire::LeftOut { trial: Id::of(&trial.id), why }),
        }
    }
    match DensityStrength::fit(&pairs) {
        Ok(line) => read_off(&line, at, &mut found),
        Err(fault) => found.remark = Some(said(&fault)),
    }
    found
}

/// Density and strength of a trial at an age, or why it is on no line.
fn point(trial: &Trial, age_days: i64) -> Result<(Density<OvenDry>, Pressure), String> {
    let density = trial.density(HardState::OvenDry).ok_or("no oven-dry density")?;
    let strength = trial.strength(age_days as f64).ok_or_else(|| format!("no strength at {age_days} days"))?;
    if strength <= 0.0 {
        return Err(format!("no strength left to measure at {age_days} days"));
    }
    let density = Density::from_kg_m3(density).map_err(|error| error.to_string())?;
    Ok((density, Pressure::from_mpa(strength).map_err(|error| error.to_string())?))
}

fn read_off(line: &DensityStrength, at: Option<f64>, found: &mut wire::DensityStrength) {
    found.worked = lines(line.worked());
    let (least, most) = line.range();
    let places = at.map_or_else(|| vec![least, line.mean_density(), most], |density| vec![density]);
    for kg_m3 in places {
        let density = Density::<OvenDry>::from_kg_m3(kg_m3).map_err(|error| error.to_string());
        let read = density.and_then(|density| {
            let expected = line.at(density).map_err(|fault| said(&fault))?;
            Ok((density, expected))
        });
        match read {
            Ok((density, expected)) => {
                found.worked.extend(lines(line.worked_at(density, &expected)));
                found.readings.push(wire::LineReading {
                    oven_dry_density_kg_m3: kg_m3,
                    strength_low_mpa: expected.low.mpa(),
                    strength_mpa: expected.middle.mpa(),
                    strength_high_mpa: expected.high.mpa(),
                });
            }
            Err(why) => found.remark = Some(why),
        }
    }
}
