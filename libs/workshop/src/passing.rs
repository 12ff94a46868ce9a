//! How many panels come out good, measured. It is shown and suggested, never used by itself.

use std::collections::BTreeMap;

use crate::audit::{Begun, Records};
use crate::ids::{LotId, PanelId, ScrapCauseId};
use crate::lots::{LossKind, LotLoss, Stage};

/// What was measured of a panel in one stage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StagePass {
    /// Which stage.
    pub stage: Stage,
    /// Panels that came into it.
    pub came: i64,
    /// Of these, scrapped while they were in it.
    pub scrapped: i64,
    /// Panels of the lots of which none is in it any more (ready panels have passed): what the share is measured on, since
    /// of a lot that is still there the bad ones are known first.
    pub through: i64,
    /// Of these, scrapped while they were in it.
    pub failed: i64,
    /// Why, each cause with how many of those scrapped.
    pub causes: BTreeMap<ScrapCauseId, i64>,
}

impl StagePass {
    fn new(stage: Stage) -> Self {
        Self { stage, came: 0, scrapped: 0, through: 0, failed: 0, causes: BTreeMap::new() }
    }

    /// The share that passed of those that are through; none where none is.
    pub fn rate(&self) -> Option<f64> {
        (self.through > 0).then(|| (self.through - self.failed) as f64 / self.through as f64)
    }

    fn add(&mut self, lot: &Begun, losses: &[&LotLoss], joined: i64) {
        let of_kind = |back: bool| losses.iter().filter(move |l| (l.kind == LossKind::TakenBack) == back);
        // What was never poured after all was never there; what was put together with others is told of in that lot.
        let elsewhere = joined + of_kind(true).map(|l| l.quantity).sum::<i64>();
        let came = lot.made.unwrap_or(lot.lot.quantity) - elsewhere;
        let scrapped: i64 = of_kind(false).map(|l| l.quantity).sum();
        self.came += came;
        self.scrapped += scrapped;
        if lot.lot.quantity == 0 || self.stage == Stage::Ready {
            self.through += came;
            self.failed += scrapped;
        }
        for loss in of_kind(false) {
            if let Some(cause) = &loss.cause {
                *self.causes.entry(cause.clone()).or_default() += loss.quantity;
            }
        }
    }
}

/// What was measured of a panel, stage by stage.
pub fn measured(records: &Records, panel: &PanelId) -> Vec<StagePass> {
    let mut losses: BTreeMap<LotId, Vec<&LotLoss>> = BTreeMap::new();
    for loss in &records.losses {
        losses.entry(loss.lot).or_default().push(loss);
    }
    let joined: BTreeMap<LotId, i64> = records.joins.iter().map(|join| (join.from, join.quantity)).collect();
    let mut stages = [Stage::InMould, Stage::Soaking, Stage::Drying, Stage::Ready].map(StagePass::new);
    for lot in records.lots.iter().filter(|lot| lot.lot.panel == *panel) {
        let of_lot = losses.get(&lot.lot.id).map_or(&[][..], Vec::as_slice);
        stages
            .iter_mut()
            .filter(|pass| pass.stage == lot.lot.stage)
            .for_each(|pass| pass.add(lot, of_lot, joined.get(&lot.lot.id).copied().unwrap_or(0)));
    }
    stages.into()
}

/// The share that comes out good at the end: the stages' shares multiplied; none where nothing was measured.
pub fn suggested(stages: &[StagePass]) -> Option<f64> {
    let rates: Vec<f64> = stages.iter().filter_map(StagePass::rate).collect();
    (!rates.is_empty()).then(|| rates.iter().product())
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, NaiveDate as Day};

    use super::*;
    use crate::ids::{FinishId, RevisionId};
    use crate::lots::Lot;
    use crate::said::Said;

    fn side() -> PanelId {
        PanelId::parse("bed-side").unwrap()
    }

    fn lot(id: i64, stage: Stage, made: i64, quantity: i64) -> Begun {
        let day = Day::from_ymd_opt(2026, 4, 27).unwrap();
        let lot = Lot {
            id: LotId::new(id),
            panel: side(),
            revision: RevisionId::parse("grey@2").unwrap(),
            finish: FinishId::parse("grey-smooth").unwrap(),
            poured_on: day,
            ticket: None,
            stage,
            since: day,
            quantity,
            tank: None,
            rack: None,
            row: None,
        };
        Begun { lot, made: Some(made) }
    }

    fn loss(id: i64, quantity: i64, kind: LossKind) -> LotLoss {
        let said = Said { by: None, at: Some(DateTime::UNIX_EPOCH) };
        let day = Day::from_ymd_opt(2026, 4, 28).unwrap();
        LotLoss { lot: LotId::new(id), day, quantity, kind, cause: None, note: None, said }
    }

    #[test]
    fn a_lot_counts_once_none_of_it_is_there_any_more() {
        let lots = vec![
            lot(1, Stage::InMould, 40, 0),
            lot(2, Stage::InMould, 40, 30),
            lot(3, Stage::InMould, 5, 0),
            lot(4, Stage::Ready, 20, 12),
        ];
        let losses = vec![
            loss(1, 2, LossKind::Scrapped),
            loss(2, 3, LossKind::Scrapped),
            loss(3, 5, LossKind::TakenBack),
            loss(4, 1, LossKind::Scrapped),
        ];
        let stages = measured(&Records { lots, losses, ..Records::default() }, &side());
        let in_mould = &stages[0];
        assert_eq!((in_mould.came, in_mould.scrapped, in_mould.through, in_mould.failed), (80, 5, 40, 2));
        assert_eq!(in_mould.rate(), Some(0.95));
        assert_eq!(stages[1].rate(), None, "none came");
        assert_eq!(stages[3].rate(), Some(0.95), "ready panels have passed, sent or not");
        assert_eq!(suggested(&stages), Some(0.95 * 0.95));
    }
}
