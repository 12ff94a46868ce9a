//! From nothing to the first plan: the steps in their order, which of them are done, and the way to each.

use maud::{Markup, html};
use serde_json::Value;
use store::{Record, Tx};
use workshop::catalogue::{
    Finish, Material, Mix, MixRevision, MouldGroup, Panel, PanelSet, Rack, RevisionState, Supply, Tank,
};

use crate::http::document::SCHEMAS;
use crate::http::problem::Problem;

/// One step.
struct Step {
    done: bool,
    /// What to do, and what for.
    said: &'static str,
    /// What there is already, in words.
    so_far: String,
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
        let so_far = |n: usize, one: &str, many: &str| match n {
            0 => String::new(),
            1 => format!("1 {one}"),
            n => format!("{n} {many}"),
        };
        let step = |done, said, so_far, ways, request| Step { done, said, so_far, ways, request };
        Ok(Self(vec![
            step(
                workshop,
                "Say where the workshop is, which days it works and for how long.",
                String::new(),
                &[("Settings", "/pages/workshop#settings")],
                Some(("PUT", "/workshop", "Workshop")),
            ),
            step(
                !finishes.is_empty(),
                "Name the finishes customers choose from: colour and surface.",
                so_far(finishes.len(), "finish", "finishes"),
                &[("A finish", "/pages/workshop/new/finish")],
                Some(("POST", "/finishes", "Finish")),
            ),
            step(
                materials.len() > 1,
                "Name the materials: cement, water, sand, whatever goes in or on; with pack, price and days to arrive.",
                so_far(materials.len(), "material", "materials"),
                &[("A material", "/pages/workshop/new/material")],
                Some(("POST", "/materials", "Material")),
            ),
            step(
                !groups.is_empty(),
                "Count the moulds, by groups that can stand in for each other.",
                so_far(groups.len(), "group", "groups"),
                &[("A group of moulds", "/pages/workshop/new/moulds")],
                Some(("POST", "/mould-groups", "MouldGroup")),
            ),
            step(
                !tanks.is_empty() && !racks.is_empty(),
                "Measure the tanks panels soak in and the racks they dry on.",
                so_far(tanks.len() + racks.len(), "of them", "of them"),
                &[("A tank", "/pages/workshop/new/tank"), ("A rack", "/pages/workshop/new/rack")],
                Some(("POST", "/tanks", "Tank")),
            ),
            step(
                !in_use.is_empty(),
                "Write down a mix and its first revision; put it in use on a trial, or on your own word.",
                so_far(mixes.len(), "mix", "mixes"),
                &[("A mix", "/pages/workshop/new/mix"), ("A revision", "/pages/workshop/new/revision")],
                Some(("POST", "/mixes/{id}/revisions", "MixRevision")),
            ),
            step(
                suited > 0,
                "Measure the panels, and say which revisions suit each and on whose word.",
                so_far(panels.len(), "panel", "panels"),
                &[("A panel", "/pages/workshop/new/panel")],
                Some(("POST", "/panels", "Panel")),
            ),
            step(
                !sets.is_empty(),
                "Put panels together into the sets you sell; single panels can be ordered without.",
                so_far(sets.len(), "set", "sets"),
                &[("A set", "/pages/workshop/new/set")],
                Some(("POST", "/sets", "PanelSet")),
            ),
            step(
                bought > 0 && !counted.is_empty(),
                "Count what is on hand.",
                so_far(counted.len(), "material counted", "materials counted"),
                &[("Stock", "/pages/stock")],
                Some(("POST", "/stock/entries", "GivenEntry")),
            ),
            step(
                !orders.is_empty() || plan,
                "Take the first order.",
                so_far(orders.len(), "open order", "open orders"),
                &[("A new order", "/pages/orders/new")],
                Some(("POST", "/orders", "Order")),
            ),
            step(
                plan,
                "Ask for a plan. It takes over by itself, and every morning's tickets follow from it.",
                String::new(),
                &[("Plan", "/pages/plan")],
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
                h2 #begin { @if open { "Begin here" } @else { "Add more" } }
                p { (done) " of " (self.0.len()) " steps to the first plan are done. Try " code { "mouldboard demo" } " to see a workshop that has them all behind it." }
                ol.steps { @for step in &self.0 { (one(step)) } }
            }
        }
    }
}

fn one(step: &Step) -> Markup {
    html! {
        li.done[step.done] {
            p {
                strong { @if step.done { "✓ done: " } @else { "to do: " } } (step.said)
                @if !step.so_far.is_empty() { span.quiet { " So far " (step.so_far) "." } }
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
                summary { "By a program" }
                pre tabindex="0" { "curl -X " (method) " -H 'Content-Type: application/json' -H \"Authorization: Bearer $TOKEN\" \\\n  -d '" (example) "' \\\n  $MOULDBOARD" (path) }
            }
        }
    }
}
