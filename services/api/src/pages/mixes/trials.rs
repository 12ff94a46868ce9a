//! What trials found: density against strength and wear in two charts, and the table they are drawn from.

use maud::{Markup, html};
use quantities::ConcreteState;
use store::{Record, Tx};
use workshop::catalogue::{Material, MaterialKind, MixRevision};
use workshop::ids::RevisionId;
use workshop::trials::{HardState, Trial};

use super::super::chart::{self, Axis, Dot, Sign, Words};
use super::super::frame::Frame;
use super::super::words::mixes as words;
use super::units_word;
use crate::http::problem::Problem;
use crate::resources::trials::side_by_side;
use crate::wire::Id;
use crate::wire::trial_findings::{
    AskedTrialComparison, ComparedFigures, ConcreteState as State, TrialAgainst, TrialComparison,
};

/// Age at which strengths are shown, days.
const AGE_DAYS: f64 = 28.0;

/// All trials against the reference.
pub struct Tried {
    trials: Vec<Trial>,
    /// Revisions with foam, and those of rapid-setting cement.
    foamed: Vec<RevisionId>,
    rapid: Vec<RevisionId>,
    compared: Option<TrialComparison>,
}

impl Tried {
    /// Reads them; the reference is the one named, or the heaviest oven-dry.
    ///
    /// # Errors
    /// Those of the database; a reference that is no trial on record.
    pub async fn read(tx: &Tx, reference: Option<&Id>) -> Result<Self, Problem> {
        let trials = Trial::all(tx).await?;
        let (revisions, materials) = (MixRevision::all(tx).await?, Material::all(tx).await?);
        let is_rapid = |r: &&MixRevision| {
            let kind = |part: &workshop::catalogue::Ingredient| {
                materials.iter().find(|m| m.id == part.material).map(|m| m.kind)
            };
            r.ingredients.iter().any(|part| kind(part) == Some(MaterialKind::RapidCement))
        };
        if let Some(named) = reference.filter(|named| trials.iter().all(|t| t.id.as_str() != named.0)) {
            return Err(Problem::not_found(Trial::NOUN, &named.0));
        }
        let heaviest = || {
            let dry = |t: &&Trial| t.density(HardState::OvenDry).unwrap_or(0.0);
            trials.iter().max_by(|a, b| dry(a).total_cmp(&dry(b))).map(|t| Id::of(&t.id))
        };
        let compared = match reference.cloned().or_else(heaviest) {
            Some(reference) if !trials.is_empty() => {
                let asked = AskedTrialComparison {
                    trials: trials.iter().map(|t| Id::of(&t.id)).collect(),
                    reference_trial: Some(reference),
                    reference: None,
                    age_days: Some(AGE_DAYS),
                };
                Some(side_by_side(tx, &asked).await?)
            }
            _ => None,
        };
        Ok(Self {
            foamed: revisions.iter().filter(|r| r.foam.is_some()).map(|r| r.id.clone()).collect(),
            rapid: revisions.iter().filter(is_rapid).map(|r| r.id.clone()).collect(),
            trials,
            compared,
        })
    }

    /// Charts and table.
    ///
    /// # Errors
    /// A chart that cannot be drawn.
    pub fn section(&self, frame: &Frame) -> Result<Markup, Problem> {
        let Some(compared) = &self.compared else {
            return Ok(html! {
                section aria-labelledby="tried" { h2 #tried { (words::TRIALS) } p.quiet { (words::NO_TRIALS) } }
            });
        };
        let reference = compared.reference.name.as_str();
        Ok(html! {
            section aria-labelledby="tried" {
                h2 #tried { (words::TRIALS) }
                p { (words::each_against(reference)) }
                form.line.no-print method="get" action="/pages/mixes" {
                    input type="hidden" name="units" value=(units_word(&frame.said));
                    label { (words::REFERENCE_CONCRETE) select name="reference" { @for trial in &self.trials { option value=(trial.id) selected[trial.id.as_str() == reference] { (trial.id) } } } }
                    button.slight { (words::COMPARE_WITH_IT) }
                }
                p.key { (words::SIGNS_KEY) }
                div.charts { (self.strengths(frame, compared)?) (self.wear(frame, compared)?) }
                (self.table(frame, compared))
            }
        })
    }

    fn dots(
        &self,
        frame: &Frame,
        compared: &TrialComparison,
        up: impl Fn(&ComparedFigures) -> Option<f64>,
    ) -> Vec<Dot> {
        let numbered = compared.trials.iter().zip(&self.trials).enumerate();
        let dot = |(n, (found, trial)): (usize, (&TrialAgainst, &Trial))| {
            let sign = match (self.rapid.contains(&trial.revision), self.foamed.contains(&trial.revision)) {
                (true, _) => Sign::Triangle,
                (false, true) => Sign::Dot,
                (false, false) => Sign::Cross,
            };
            let x = frame.said.density_shown(density(&found.figures, ConcreteState::OvenDry)?);
            let ringed = found.figures.name == compared.reference.name;
            Some(Dot { x, y: up(&found.figures)?, sign, name: (n + 1).to_string(), ringed })
        };
        numbered.filter_map(dot).collect()
    }

    fn strengths(&self, frame: &Frame, compared: &TrialComparison) -> Result<Markup, Problem> {
        let said = &frame.said;
        let dots = self.dots(frame, compared, |found| found.strength_mpa.map(|mpa| said.strength_shown(mpa)));
        let up = Axis::from_nothing(words::strength_axis(AGE_DAYS, said.strength_unit()), dots.iter().map(|d| d.y));
        let told = told(frame, &dots, words::strengths_told).unwrap_or_else(|| words::NO_STRENGTHS.to_owned());
        let chart = Words { id: "strengths", title: words::DENSITY_STRENGTH, told: &told };
        chart::dots(&chart, &self.across(frame, &dots), &up, &dots)
    }

    fn wear(&self, frame: &Frame, compared: &TrialComparison) -> Result<Markup, Problem> {
        let dots = self.dots(frame, compared, |found| found.wear_loss_g);
        let up = Axis::from_nothing(words::WEAR_AXIS.to_owned(), dots.iter().map(|d| d.y));
        let told = told(frame, &dots, words::losses_told).unwrap_or_else(|| words::NO_LOSSES.to_owned());
        let chart = Words { id: "wear", title: words::DENSITY_WEAR, told: &told };
        chart::dots(&chart, &self.across(frame, &dots), &up, &dots)
    }

    fn across(&self, frame: &Frame, dots: &[Dot]) -> Axis {
        Axis::over(words::density_axis(frame.said.density_unit()), dots.iter().map(|d| d.x))
    }

    fn table(&self, frame: &Frame, compared: &TrialComparison) -> Markup {
        let said = &frame.said;
        let kg_m3 = |found: &ComparedFigures, state| density(found, state).map(|kg_m3| said.wet_density(kg_m3));
        let percent = |value: Option<f64>| value.map_or_else(|| words::NOT_KNOWN.to_owned(), |p| format!("{p:.0} %"));
        let lighter =
            |found: &TrialAgainst| found.lighter.iter().find(|l| l.state == State::OvenDry).map(|l| l.percent);
        html! {
            div.wide { table {
                thead { tr { th { (words::NUMBER) } th { (words::TRIAL) } th { (words::REVISION) } th { (words::MIXED) } th { (words::WET) } th { (words::AIR_DRY) } th { (words::OVEN_DRY) } th { (words::STRENGTH_28) } th { (words::WEAR) } th { (words::LIGHTER_OVEN_DRY) } th { (words::STRONGER) } th { (words::LESS_WORN) } th { (words::CHEAPER) } th { (words::CRACKS_SEEN) } } }
                tbody { @for (n, (found, trial)) in compared.trials.iter().zip(&self.trials).enumerate() {
                    @let figures = &found.figures;
                    tr {
                        td { (n + 1) } th scope="row" { (trial.id) @if figures.name == compared.reference.name { (words::IS_REFERENCE) } }
                        td { a href={ "/pages/mixes/" (trial.revision) } { (trial.revision) } } td { (said.day_and_year(trial.mixed_on)) }
                        td { (kg_m3(figures, ConcreteState::Fresh).unwrap_or_default()) } td { (kg_m3(figures, ConcreteState::AirDry).unwrap_or_default()) } td { (kg_m3(figures, ConcreteState::OvenDry).unwrap_or_default()) }
                        td { (figures.strength_mpa.map(|mpa| said.strength(mpa)).unwrap_or_default()) }
                        td { @if let Some(grams) = figures.wear_loss_g { (format!("{grams:.0} g")) } }
                        td { (percent(lighter(found))) } td { (percent(found.stronger_percent)) } td { (percent(found.less_worn_percent)) } td { (percent(found.cheaper_percent)) }
                        td { (figures.cracks.as_deref().unwrap_or(words::NOBODY_LOOKED)) }
                    }
                } }
            } }
        }
    }
}

fn density(found: &ComparedFigures, state: ConcreteState) -> Option<f64> {
    found.densities.iter().find(|d| ConcreteState::from(d.state) == state).map(|d| d.density_kg_m3)
}

/// What is to be seen in a field of dots, for who cannot see it; nothing where there are none.
fn told(frame: &Frame, dots: &[Dot], told: fn(usize, [&str; 2], [&str; 2]) -> String) -> Option<String> {
    let least = dots.iter().min_by(|a, b| a.y.total_cmp(&b.y))?;
    let most = dots.iter().max_by(|a, b| a.y.total_cmp(&b.y))?;
    let figure = |dot: &Dot| frame.said.number(dot.y, 1);
    Some(told(dots.len(), [&figure(least), &least.name], [&figure(most), &most.name]))
}
