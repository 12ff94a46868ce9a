//! From nothing to the first plan: the steps in their order, which of them are done, and the way to each.

use maud::{Markup, html};
use serde_json::Value;
use store::{Record, Tx};
use workshop::catalogue::{
    Finish, Material, Mix, MixRevision, MouldGroup, Panel, PanelSet, Rack, RevisionState, Supply, Tank,
};

use super::super::words::steps as words;
use crate::http::document::SCHEMAS;
use crate::http::problem::Problem;

/// One step.
struct Step {
    done: bool,
    /// What to do, and what for.
    said: &'static str,
    /// What there is already, in words.
    so_far: Option<String>,
    /// Pages to do it on.
    ways: &'static [(&'static str, &'static str)],
    /// Method, path and form of the request that does the same.
    request: Option<(&'static str, &'static str, &'static str)>,
}

/// All steps.
pub struct Steps(Vec<Step>);

impl Steps {
    /// Looks at what is on record.
    ///
    /// # Errors
    /// Those of the database.
    pub async fn read(tx: &Tx) -> Result<Self, Problem> {
        let workshop = store::site::get(tx).await?.is_some();
        let (finishes, materials) = (Finish::all(tx).await?, Material::all(tx).await?);
        let (groups, tanks, racks) = (MouldGroup::all(tx).await?, Tank::all(tx).await?, Rack::all(tx).await?);
        let (mixes, revisions) = (Mix::all(tx).await?, MixRevision::all(tx).await?);
        let (panels, sets) = (Panel::all(tx).await?, PanelSet::all(tx).await?);
        let counted = store::stock::on_hand(tx).await?;
        let (orders, plan) = (store::orders::open(tx).await?, store::runs::in_force(tx).await?.is_some());
        let in_use: Vec<&MixRevision> = revisions.iter().filter(|r| r.state == RevisionState::InUse).collect();
        let suited = panels.iter().filter(|p| p.suits.iter().any(|s| in_use.iter().any(|r| r.id == s.revision)));
        let (suited, bought) = (suited.count(), materials.iter().filter(|m| m.supply == Supply::Bought).count());
        let so_far = |n: usize, words: fn(usize) -> String| (n > 0).then(|| words(n));
        let step = |done, said, so_far, ways, request| Step { done, said, so_far, ways, request };
        Ok(Self(vec![
            step(
                workshop,
                words::WORKSHOP,
                None,
                &[(words::TO_SETTINGS, "/pages/workshop#settings")],
                Some(("PUT", "/workshop", "Workshop")),
            ),
            step(
                !finishes.is_empty(),
                words::FINISHES,
                so_far(finishes.len(), words::finishes_so_far),
                &[(words::A_FINISH, "/pages/workshop/new/finish")],
                Some(("POST", "/finishes", "Finish")),
            ),
            step(
                materials.len() > 1,
                words::MATERIALS,
                so_far(materials.len(), words::materials_so_far),
                &[(words::A_MATERIAL, "/pages/workshop/new/material")],
                Some(("POST", "/materials", "Material")),
            ),
            step(
                !groups.is_empty(),
                words::MOULDS,
                so_far(groups.len(), words::groups_so_far),
                &[(words::A_GROUP, "/pages/workshop/new/moulds")],
                Some(("POST", "/mould-groups", "MouldGroup")),
            ),
            step(
                !tanks.is_empty() && !racks.is_empty(),
                words::ROOMS,
                so_far(tanks.len() + racks.len(), words::rooms_so_far),
                &[(words::A_TANK, "/pages/workshop/new/tank"), (words::A_RACK, "/pages/workshop/new/rack")],
                Some(("POST", "/tanks", "Tank")),
            ),
            step(
                !in_use.is_empty(),
                words::MIXES,
                so_far(mixes.len(), words::mixes_so_far),
                &[(words::A_MIX, "/pages/workshop/new/mix"), (words::A_REVISION, "/pages/workshop/new/revision")],
                Some(("POST", "/mixes/{id}/revisions", "MixRevision")),
            ),
            step(
                suited > 0,
                words::PANELS,
                so_far(panels.len(), words::panels_so_far),
                &[(words::A_PANEL, "/pages/workshop/new/panel")],
                Some(("POST", "/panels", "Panel")),
            ),
            step(
                !sets.is_empty(),
                words::SETS,
                so_far(sets.len(), words::sets_so_far),
                &[(words::A_SET, "/pages/workshop/new/set")],
                Some(("POST", "/sets", "PanelSet")),
            ),
            step(
                bought > 0 && !counted.is_empty(),
                words::COUNT,
                so_far(counted.len(), words::counted_materials_so_far),
                &[(words::TO_STOCK, "/pages/stock")],
                Some(("POST", "/stock/entries", "GivenEntry")),
            ),
            step(
                !orders.is_empty() || plan,
                words::ORDERS,
                so_far(orders.len(), words::orders_so_far),
                &[(words::A_NEW_ORDER, "/pages/orders/new")],
                Some(("POST", "/orders", "Order")),
            ),
            step(
                plan,
                words::PLAN,
                None,
                &[(words::TO_PLAN, "/pages/plan")],
                Some(("POST", "/planning-runs", "GivenRun")),
            ),
        ]))
    }

    /// Whether a plan could be made and was.
    pub fn all_done(&self) -> bool {
        self.0.iter().all(|step| step.done)
    }

    /// The list of them.
    pub fn said(&self, open: bool) -> Markup {
        let done = self.0.iter().filter(|step| step.done).count();
        html! {
            section aria-labelledby="begin" {
                h2 #begin { @if open { (words::BEGIN_HERE) } @else { (words::ADD_MORE) } }
                p { (words::done_of(done, self.0.len(), "mouldboard demo")) }
                ol.steps { @for step in &self.0 { (one(step)) } }
            }
        }
    }
}

fn one(step: &Step) -> Markup {
    html! {
        li.done[step.done] {
            p {
                strong { @if step.done { (words::DONE) } @else { (words::TO_DO) } " " } (step.said)
                @if let Some(so_far) = &step.so_far { span.quiet { " " (so_far) } }
            }
            p.line { @for (name, path) in step.ways { a href=(path) { (name) } } }
            @if let Some((method, path, form)) = step.request { (by_program(method, path, form)) }
        }
    }
}

/// The request that does the same, with the contract's own example.
fn by_program(method: &str, path: &str, form: &str) -> Markup {
    let example = SCHEMAS.get(form).and_then(|form| form.get("example")).map(Value::to_string);
    html! {
        @if let Some(example) = example {
            details.no-print {
                summary { (words::BY_A_PROGRAM) }
                pre tabindex="0" { (by_curl(method, path, &example)) }
            }
        }
    }
}

fn by_curl(method: &str, path: &str, example: &str) -> String {
    format!(
        "curl -X {method} -H 'Content-Type: application/json' -H \"Authorization: Bearer $TOKEN\" \\\n  -d '{example}' \\\n  $MOULDBOARD{path}"
    )
}
