//! Imports of stock counts.

use std::collections::BTreeSet;

use actix_web::post;
use feeds::intake::counts::Count;
use feeds::intake::form::Form;
use feeds::intake::{self, Grid};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::Material;
use workshop::stock::{EntryKind, NewStockEntry};

use super::{Import, Judged, import};
use crate::http::problem::Problem;
use crate::state::State;

struct Counts;

impl Import for Counts {
    const FORM: &'static Form = &intake::counts::FORM;
    type Changes = Vec<Count>;

    async fn judge(state: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Vec<Count>>, Problem> {
        let today = state.today(tx).await?;
        let materials = Material::all(tx).await?.into_iter().map(|m| (m.id.clone(), m)).collect();
        let (counts, faults) = intake::counts::counts(grid, &materials, today);
        let days: BTreeSet<_> = counts.iter().map(|count| count.day).collect();
        let known = store::stock::counts_of(tx, &days.into_iter().collect::<Vec<_>>()).await?;
        let mut judged = Judged::<Vec<Count>>::of(counts.len(), faults);
        for count in counts {
            let said = (count.material.clone(), count.day, count.counted, count.note.clone());
            if known.contains(&said) {
                judged.unchanged += 1;
                continue;
            }
            if let Some(row) = grid.row(count.line).filter(|_| count.day < today) {
                let detail = format!("{} is past: what was drawn since is taken to be counted too", count.day);
                judged.warnings.push(grid.fault(row, "day", detail));
            }
            judged.new += 1;
            judged.changes.push(count);
        }
        Ok(judged)
    }

    async fn write(state: &State, tx: &Tx, counts: Vec<Count>) -> Result<(), Problem> {
        for Count { material, counted, day, note, .. } in counts {
            let amount = counted - store::stock::balance(tx, &material).await?;
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

import!(
    import, Counts, path: "/stock/counts/import", tag: "stock", summary: "Import a stock count",
    about: "In the columns of /stock/counts, the count in the unit that its column's name ends in (counted_in_unit, counted_kg). A row without a count is passed over; each count writes the difference into the ledger.",
    example: "material,counted_kg,day,note\r\ncement,387.5,2026-05-04,two bags damp\r\n",
    role: "bench",
);

/// Adds the operations to the service and its document.
pub(super) fn configure(service: &mut ServiceConfig) {
    service.service(import);
}
