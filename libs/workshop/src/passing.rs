//! How many panels come out good, measured. It is shown and suggested, never used by itself.

use std::collections::BTreeMap;

use crate::audit::Records;
use crate::ids::{PanelId, ScrapCauseId};
use crate::lots::{LossKind, Stage};

/// What was measured of a panel in one stage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StagePass {
    /// Which stage.
    pub stage: Stage,
    /// Panels that came into it.
    pub came: i64,
    /// Of these, scrapped while they were in it.
    pub scrapped: i64,
    /// Why, each cause with how many.
    pub causes: BTreeMap<ScrapCauseId, i64>,
}

impl StagePass {
    /// The share that passed; none where none came.
    pub fn rate(&self) -> Option<f64> {
        (self.came > 0).then(|| (self.came - self.scrapped) as f64 / self.came as f64)
    }
}

/// What was measured of a panel, stage by stage.
pub fn measured(records: &Records, panel: &PanelId) -> Vec<StagePass> {
    let of_panel = records.lots.iter().filter(|begun| begun.lot.panel == *panel);
    let lots: BTreeMap<_, _> = of_panel.map(|begun| (begun.lot.id, begun)).collect();
    let mut taken_back: BTreeMap<_, i64> = BTreeMap::new();
    for loss in records.losses.iter().filter(|loss| loss.kind == LossKind::TakenBack) {
        *taken_back.entry(loss.lot).or_default() += loss.quantity;
    }
    [Stage::InMould, Stage::Soaking, Stage::Drying, Stage::Ready]
        .map(|stage| {
            let here = lots.values().filter(|begun| begun.lot.stage == stage);
            // What was never poured after all was never there.
            let came = here.map(|b| b.made.unwrap_or(b.lot.quantity) - taken_back.get(&b.lot.id).copied().unwrap_or(0));
            let mut pass = StagePass { stage, came: came.sum(), scrapped: 0, causes: BTreeMap::new() };
            let lost = records.losses.iter().filter(|loss| loss.kind != LossKind::TakenBack);
            for loss in lost.filter(|loss| lots.get(&loss.lot).is_some_and(|begun| begun.lot.stage == stage)) {
                pass.scrapped += loss.quantity;
                if let Some(cause) = &loss.cause {
                    *pass.causes.entry(cause.clone()).or_default() += loss.quantity;
                }
            }
            pass
        })
        .into()
}

/// The share that comes out good at the end: the stages' shares multiplied; none where nothing was measured.
pub fn suggested(stages: &[StagePass]) -> Option<f64> {
    let rates: Vec<f64> = stages.iter().filter_map(StagePass::rate).collect();
    (!rates.is_empty()).then(|| rates.iter().product())
}
