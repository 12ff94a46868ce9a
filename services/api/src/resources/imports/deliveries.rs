//! Imports of deliveries.

use std::collections::BTreeSet;

use actix_web::post;
use feeds::intake::form::Form;
use feeds::intake::{self, Grid};
use intake::deliveries::{Known, Wanted};
use store::deliveries::NewDelivery;
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::Material;

use super::{Import, Judged, import};
use crate::http::problem::Problem;
use crate::state::State;

struct Deliveries;

impl Import for Deliveries {
    const FORM: &'static Form = &intake::deliveries::FORM;
    type Changes = Vec<Wanted>;

    async fn judge(_: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Vec<Wanted>>, Problem> {
        let known = Known {
            deliveries: store::deliveries::all(tx).await?.into_iter().map(|d| (d.id, d)).collect(),
            references: store::deliveries::referred(tx).await?,
            materials: Material::all(tx).await?.into_iter().map(|m| (m.id.clone(), m)).collect(),
        };
        let (wanted, faults) = intake::deliveries::wanted(grid, &known);
        let mut judged = Judged::of(grid.rows.len(), faults);
        let mut changed = BTreeSet::new();
        for one in &wanted {
            match one {
                Wanted::Unchanged => judged.unchanged += 1,
                Wanted::New { .. } => judged.new += 1,
                Wanted::Moved { id, .. } | Wanted::Referred { id, .. } => drop(changed.insert(*id)),
            }
        }
        judged.changed = changed.len();
        judged.changes = wanted;
        Ok(judged)
    }

    async fn write(_: &State, tx: &Tx, changes: Vec<Wanted>) -> Result<(), Problem> {
        let mut news = Vec::new();
        for one in changes {
            match one {
                Wanted::Unchanged => {}
                Wanted::New { material, packs, expected_on, reference } => {
                    news.push((NewDelivery { material, packs, expected_on }, reference));
                }
                Wanted::Moved { id, packs, expected_on } => {
                    let version = store::deliveries::find(tx, id).await?.map_or(0, |found| found.version);
                    store::deliveries::put_off(tx, id, version, packs, expected_on).await?;
                }
                Wanted::Referred { id, reference } => store::deliveries::refer(tx, id, &reference).await?,
            }
        }
        Ok(store::deliveries::insert_all(tx, &news).await?)
    }
}

import!(
    import, Deliveries, path: "/deliveries/import", tag: "deliveries", summary: "Import deliveries on their way",
    about: "In the columns of the export. A delivery is known by our number or by the sender's own reference; one on its way may get other packs or another day, and one without a reference gets it beside our number. One that was taken back is forgotten with its reference: a file that still names it orders it anew.",
    example: "reference,material,quantity_packs,expected_on\r\nPO-2026-118,cement,20,2026-05-07\r\n",
    role: "office",
);

/// Adds the operations to the service and its document.
pub(super) fn configure(service: &mut ServiceConfig) {
    service.service(import);
}
