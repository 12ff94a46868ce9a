//! Imports of what is kept and changed as a whole: orders, materials, mould groups, panels.

use std::collections::{BTreeMap, BTreeSet};

use actix_web::post;
use feeds::intake::form::Form;
use feeds::intake::{self, CellFault, Draft, Grid};
use store::{Record, StoreError, Tx, Versioned};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::Fault;
use workshop::catalogue::{Material, MixRevision, MouldGroup, Panel, Tank};
use workshop::checks::order::{past_due, range_faults};
use workshop::orders::{Order, OrderState};
use workshop::trail::NewChange;

use super::{Import, Judged, import};
use crate::http::problem::Problem;
use crate::http::reply::to_value;
use crate::http::trail::change;
use crate::resources::nouns::Noun;
use crate::resources::orders::range;
use crate::state::State;

/// New ones, and others in the place of those that are there, with what those were.
struct Changes<N> {
    new: Vec<N>,
    other: Vec<Versioned<N>>,
    before: Vec<N>,
}

impl<N> Default for Changes<N> {
    fn default() -> Self {
        Self { new: Vec::new(), other: Vec::new(), before: Vec::new() }
    }
}

type Drafts<N> = (Vec<Draft<N>>, Vec<CellFault>);
type There<N> = BTreeMap<<N as Record>::Id, Versioned<N>>;

/// Those of the file that are on record, by id.
async fn there<N: Noun + Record<Id: Ord>>(tx: &Tx, grid: &Grid) -> Result<There<N>, Problem> {
    let found = N::those(tx, &grid.ids(N::parse_id)).await?;
    Ok(found.into_iter().map(|v| (v.value.id().clone(), v)).collect())
}

fn values<N: Noun + Record<Id: Ord>>(there: &There<N>) -> BTreeMap<N::Id, N> {
    there.iter().map(|(id, v)| (id.clone(), v.value.clone())).collect()
}

/// Sorts drafts into new, other and unchanged ones; `look` finds faults and warnings of those that are not unchanged.
async fn sorted<N: Noun + PartialEq + Record<Id: Ord>>(
    tx: &Tx,
    grid: &Grid,
    there: &There<N>,
    (drafts, faults): Drafts<N>,
    look: impl Fn(&Draft<N>, Option<&N>) -> (Vec<Fault>, Vec<Fault>),
) -> Result<Judged<Changes<N>>, Problem> {
    let mut judged = Judged::<Changes<N>>::of(drafts.len(), faults);
    for draft in drafts {
        let old = there.get(draft.value.id());
        if old.is_some_and(|old| old.value == draft.value) {
            judged.unchanged += 1;
            continue;
        }
        let (faults, warnings) = look(&draft, old.map(|old| &old.value));
        judged.faults.extend(faults.iter().map(|fault| draft.fault(grid, fault)));
        judged.warnings.extend(warnings.iter().map(|fault| draft.fault(grid, fault)));
        let Some(old) = old else {
            judged.new += 1;
            judged.changes.new.push(draft.value);
            continue;
        };
        match N::may_follow(tx, old, &draft.value).await {
            Ok(()) => {}
            Err(error @ StoreError::Immutable { .. }) => {
                // A unit is what is kept where anything is.
                let pointer = if grid.has("unit") { "/unit" } else { "/id" };
                judged.faults.push(draft.fault(grid, &Fault::at(pointer, error.to_string())));
            }
            Err(error) => return Err(error.into()),
        }
        judged.changed += 1;
        judged.changes.other.push(Versioned { version: old.version, value: draft.value });
        judged.changes.before.push(old.value.clone());
    }
    Ok(judged)
}

async fn written<N: Noun>(tx: &Tx, changes: Changes<N>, plural: &str) -> Result<(), Problem> {
    N::insert_all(tx, &changes.new, plural).await?;
    N::replace_all(tx, &changes.other, plural).await?;
    Ok(store::trail::add(tx, &told(&changes)?).await?)
}

/// A change for each of them, as if each had been sent by itself.
fn told<N: Noun>(changes: &Changes<N>) -> Result<Vec<NewChange>, Problem> {
    let made = changes.new.iter().map(|new| (None, new));
    let changed = changes.before.iter().zip(&changes.other).map(|(old, new)| (Some(old), &new.value));
    let form = |value: Option<&N>| to_value(&value.map(|value| N::Form::from(value.clone())));
    made.chain(changed).map(|(old, new)| Ok(change(&new.location(), &form(old)?, &form(Some(new))?))).collect()
}

/// An order that was closed stays so, with a warning, whatever an older file says of it; and none is sent out by a file, which
/// takes no panels off a rack: a fault.
fn states_kept(grid: &Grid, there: &There<Order>, drafts: &mut [Draft<Order>]) -> (Vec<CellFault>, Vec<CellFault>) {
    let (mut faults, mut warnings) = (Vec::new(), Vec::new());
    for draft in drafts {
        let id = &draft.value.id;
        let Some(is) = there.get(id).map(|old| old.value.state).filter(|is| *is != draft.value.state) else { continue };
        match (is, draft.value.state) {
            (OrderState::Open, OrderState::Dispatched) => {
                let detail = format!("is not said by a file: send it out by /orders/{id}/dispatch");
                faults.push(draft.fault(grid, &Fault::at("/state", detail)));
            }
            (OrderState::Open, _) => {}
            (OrderState::Dispatched | OrderState::Withdrawn, _) => {
                let detail =
                    format!("is kept as it is: order {id} was closed, and is opened again at /orders/{id} only");
                warnings.push(draft.fault(grid, &Fault::at("/state", detail)));
                draft.value.state = is;
            }
        }
    }
    (faults, warnings)
}

struct Orders;

impl Import for Orders {
    const FORM: &'static Form = &intake::orders::FORM;
    type Changes = Changes<Order>;

    async fn judge(state: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Changes<Order>>, Problem> {
        let (there, range, today) = (there::<Order>(tx, grid).await?, range(tx).await?, state.today(tx).await?);
        let mut drafts = intake::orders::drafts(grid, &values(&there));
        let (faults, warnings) = states_kept(grid, &there, &mut drafts.0);
        drafts.1.extend(faults);
        // What is not changed is not held against the catalogue again, as where an order is replaced.
        let look = |draft: &Draft<Order>, old: Option<&Order>| {
            let same_lines = old.is_some_and(|old| old.lines == draft.value.lines);
            let same_day = old.is_some_and(|old| old.due_on == draft.value.due_on);
            let faults = if same_lines { Vec::new() } else { range_faults(&draft.value.lines, &range) };
            let warning = if same_day { None } else { past_due(&draft.value, today) };
            (faults, warning.into_iter().collect())
        };
        let mut judged = sorted(tx, grid, &there, drafts, look).await?;
        judged.warnings.extend(warnings);
        Ok(judged)
    }

    async fn write(_: &State, tx: &Tx, changes: Changes<Order>) -> Result<(), Problem> {
        written(tx, changes, "orders").await
    }
}

struct Materials;

impl Import for Materials {
    const FORM: &'static Form = &intake::materials::FORM;
    type Changes = Changes<Material>;

    async fn judge(_: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Changes<Material>>, Problem> {
        let there = there::<Material>(tx, grid).await?;
        let drafts = intake::materials::drafts(grid, &values(&there));
        sorted(tx, grid, &there, drafts, |_, _| (Vec::new(), Vec::new())).await
    }

    async fn write(_: &State, tx: &Tx, changes: Changes<Material>) -> Result<(), Problem> {
        written(tx, changes, "materials").await
    }
}

struct MouldGroups;

impl Import for MouldGroups {
    const FORM: &'static Form = &intake::mould_groups::FORM;
    type Changes = Changes<MouldGroup>;

    async fn judge(_: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Changes<MouldGroup>>, Problem> {
        let there = there::<MouldGroup>(tx, grid).await?;
        let drafts = intake::mould_groups::drafts(grid, &values(&there));
        sorted(tx, grid, &there, drafts, |_, _| (Vec::new(), Vec::new())).await
    }

    async fn write(_: &State, tx: &Tx, changes: Changes<MouldGroup>) -> Result<(), Problem> {
        written(tx, changes, "mould groups").await
    }
}

struct Panels;

/// What a panel may refer to.
struct Referred {
    mould_groups: BTreeSet<String>,
    revisions: BTreeSet<String>,
    tanks: BTreeSet<String>,
    materials: BTreeSet<String>,
}

impl Referred {
    async fn read(tx: &Tx, materials: &[Material]) -> Result<Self, Problem> {
        Ok(Self {
            mould_groups: MouldGroup::all(tx).await?.iter().map(|g| g.id.to_string()).collect(),
            revisions: MixRevision::all(tx).await?.iter().map(|r| r.id.to_string()).collect(),
            tanks: Tank::all(tx).await?.iter().map(|t| t.id.to_string()).collect(),
            materials: materials.iter().map(|m| m.id.to_string()).collect(),
        })
    }

    fn faults(&self, panel: &Panel) -> Vec<Fault> {
        let mut faults = Vec::new();
        let mut held = |there: &BTreeSet<String>, noun: &str, id: &dyn ToString, pointer: String| {
            let id = id.to_string();
            if !there.contains(&id) {
                let detail = format!("there is no {noun} '{id}': make it first, or name one that is there");
                faults.push(Fault::at(pointer, detail));
            }
        };
        held(&self.mould_groups, "mould group", &panel.mould_group, "/mould_group".to_owned());
        for (at, suit) in panel.suits.iter().enumerate() {
            held(&self.revisions, "mix revision", &suit.revision, format!("/suits/{at}/revision"));
        }
        for (at, tank) in panel.tanks.iter().enumerate() {
            held(&self.tanks, "tank", tank, format!("/tanks/{at}"));
        }
        for (at, drawn) in panel.per_panel.iter().enumerate() {
            held(&self.materials, "material", &drawn.material, format!("/per_panel/{at}/material"));
        }
        faults
    }
}

impl Import for Panels {
    const FORM: &'static Form = &intake::panels::FORM;
    type Changes = Changes<Panel>;

    async fn judge(_: &State, tx: &Tx, grid: &Grid) -> Result<Judged<Changes<Panel>>, Problem> {
        let (there, materials) = (there::<Panel>(tx, grid).await?, Material::all(tx).await?);
        let referred = Referred::read(tx, &materials).await?;
        let units = materials.into_iter().map(|m| (m.id, m.unit)).collect();
        let drafts = intake::panels::drafts(grid, &values(&there), &units);
        sorted(tx, grid, &there, drafts, |draft, _| (referred.faults(&draft.value), Vec::new())).await
    }

    async fn write(_: &State, tx: &Tx, changes: Changes<Panel>) -> Result<(), Problem> {
        written(tx, changes, "panels").await
    }
}

import!(
    take_orders, Orders, path: "/orders/import", tag: "orders", summary: "Import orders",
    about: "One row for each line of an order, in the columns of the export. A due day in the past is taken with a warning; what the file has no column for stays as it is.",
    example: "order,customer,due_on,promised_on,priority,state,set,panel,finish,quantity,note\r\nTH-1042,Wren Lane Allotments,2026-06-12,,usual,open,bed-900x600,,grey-smooth,4,\r\n",
    role: "office",
);
import!(
    take_materials, Materials, path: "/materials/import", tag: "materials", summary: "Import materials",
    about: "In the columns of the export, amounts in the unit that a column's name ends in (pack_kg, floor_us_gal, pack_in_unit). What the file has no column for stays as it is: a price list needs material and pack_price_minor only.",
    example: "material,name,kind,unit,relative_density,pack_kg,pack_price_minor,lead_days\r\nsilica-sand,Silica sand,aggregate,g,2.65,25,380,3\r\n",
    role: "office",
);
import!(
    take_mould_groups, MouldGroups, path: "/mould-groups/import", tag: "mould groups", summary: "Import mould groups",
    about: "In the columns of the export. What the file has no column for stays as it is.",
    example: "mould_group,name,moulds,turnaround_days\r\nedging-moulds,Edging moulds 600,6,1\r\n",
    role: "office",
);
import!(
    take_panels, Panels, path: "/panels/import", tag: "panels", summary: "Import panels",
    about: "In the columns of the export, sizes in the unit that a column's name ends in (length_mm, height_in). What the file has no column for stays as it is.",
    example: "panel,name,length_mm,height_mm,thickness_mm,mould_group,pour_min,strip_min,lift_min\r\nedging-600,Edging 600,600,150,50,edging-moulds,4,3,2\r\n",
    role: "office",
);

/// Adds the operations to the service and its document.
pub(super) fn configure(service: &mut ServiceConfig) {
    service.service(take_orders).service(take_materials).service(take_mould_groups).service(take_panels);
}
