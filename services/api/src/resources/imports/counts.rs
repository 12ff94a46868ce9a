//! Imports of stock counts.

use std::collections::{BTreeMap, BTreeSet};

use actix_web::post;
use chrono::NaiveDate as Day;
use feeds::intake::counts::Count;
use feeds::intake::form::Form;
use feeds::intake::{self, Grid};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Amount, Material};
use workshop::ids::{MaterialId, StockEntryId};
use workshop::stock::{EntryKind, NewStockEntry, StockEntry};

use super::{Import, Judged, import};
use crate::http::problem::Problem;
use crate::state::State;

struct Counts;

impl Import for Counts {
    const FORM: &'static Form = &intake::counts::FORM;
    type Changes = Vec<(Count, Amount)>;

    async fn judge(state: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Self::Changes>, Problem> {
        let today = state.today(tx).await?;
        let materials = Material::all(tx).await?.into_iter().map(|m| (m.id.clone(), m)).collect();
        let (mut counts, faults) = intake::counts::counts(grid, &materials, today);
        counts.sort_by_key(|count| count.day);
        let mut ledger = Ledger::read(tx, counts.first().map_or(today, |count| count.day)).await?;
        let mut judged = Judged::<Self::Changes>::of(counts.len(), faults);
        for count in counts {
            let Count { line, material, counted, day, note } = &count;
            let about = |detail: String| grid.row(*line).map(|row| grid.fault(row, "day", detail));
            let (last, booked) = (ledger.last_count(material, *day), ledger.at_end_of(material, *day));
            if let Some(later) = ledger.later_count(material, *day) {
                judged
                    .faults
                    .extend(about(format!("is before the last count, of {later}: give a count of that day or later")));
            } else if last.is_some_and(|last| (last.entry.counted, &last.entry.note) == (Some(*counted), note)) {
                judged.unchanged += 1;
                if booked != *counted {
                    let detail = format!(
                        "was counted so on {day} before, and what moved since stays moved: a count anew says so in its note"
                    );
                    judged.warnings.extend(about(detail));
                }
            } else {
                if *day < today {
                    let detail = format!(
                        "{day} is past: it is taken for the count at that day's end, and what moved since stays moved"
                    );
                    judged.warnings.extend(about(detail));
                }
                judged.new += 1;
                let amount = *counted - booked;
                ledger.put_right(material, amount);
                judged.changes.push((count, amount));
            }
        }
        Ok(judged)
    }

    async fn write(state: &State, tx: &Tx, counts: Self::Changes) -> Result<(), Problem> {
        for (Count { material, counted, day, note, .. }, amount) in counts {
            let entry = NewStockEntry {
                material,
                day,
                kind: EntryKind::Counted,
                amount,
                counted: Some(counted),
                ticket: None,
                delivery: None,
                counters: None,
                note,
            };
            store::stock::append(tx, state.now(), &entry).await?;
        }
        Ok(())
    }
}

/// The ledger around the days that were counted.
struct Ledger {
    on_hand: BTreeMap<MaterialId, Amount>,
    /// Every entry from the first of those days on.
    since: Vec<StockEntry>,
    countered: BTreeSet<StockEntryId>,
}

impl Ledger {
    async fn read(tx: &Tx, from: Day) -> Result<Self, Problem> {
        let since = store::stock::since(tx, from).await?;
        let countered = since.iter().filter_map(|line| line.entry.counters).collect();
        Ok(Self { on_hand: store::stock::on_hand(tx).await?, since, countered })
    }

    /// What the ledger has of a material at the end of a day.
    fn at_end_of(&self, material: &MaterialId, day: Day) -> Amount {
        let later = self.since.iter().filter(|line| line.entry.material == *material && line.entry.day > day);
        let later = later.map(|line| line.entry.amount.get()).sum();
        self.on_hand.get(material).copied().unwrap_or(Amount::ZERO) - Amount::new(later)
    }

    /// Counts of a material that hold.
    fn counts<'l>(&'l self, material: &'l MaterialId) -> impl DoubleEndedIterator<Item = &'l StockEntry> {
        let holds = |line: &&StockEntry| line.entry.kind == EntryKind::Counted && !self.countered.contains(&line.id);
        self.since.iter().filter(move |line| line.entry.material == *material).filter(holds)
    }

    fn last_count<'l>(&'l self, material: &'l MaterialId, day: Day) -> Option<&'l StockEntry> {
        self.counts(material).rfind(|line| line.entry.day == day)
    }

    /// The day of a count after this one.
    fn later_count(&self, material: &MaterialId, day: Day) -> Option<Day> {
        self.counts(material).map(|line| line.entry.day).filter(|counted| *counted > day).max()
    }

    /// Takes a difference into what is on hand, as the entry that is going to be written will.
    fn put_right(&mut self, material: &MaterialId, amount: Amount) {
        let had = self.on_hand.entry(material.clone()).or_insert(Amount::ZERO);
        *had = Amount::new(had.get() + amount.get());
    }
}

import!(
    import, Counts, path: "/stock/counts/import", tag: "stock", summary: "Import a stock count",
    about: "In the columns of /stock/counts, the count in the unit that its column's name ends in (counted_in_unit, counted_kg). A row without a count is passed over; each count writes the difference to what the ledger has at that day's end, so that what moved since stays moved. None is taken from before the last count of its material.",
    example: "material,counted_kg,day,note\r\ncement,387.5,2026-05-04,two bags damp\r\n",
    role: "bench",
);

/// Adds the operations to the service and its document.
pub(super) fn configure(service: &mut ServiceConfig) {
    service.service(import);
}
