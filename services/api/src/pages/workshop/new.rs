//! Forms by which the workshop's things are recorded: what a first plan needs, by hand.

use actix_web::get;
use actix_web::web::{Data, Path};
use maud::{Markup, html};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Finish, Material, MaterialKind, Mix, MixRevision, MouldGroup, Panel};

use super::super::form;
use super::super::frame::{Frame, Place};
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::state::State;

/// Ingredients a revision has rows for.
const INGREDIENTS: usize = 10;
/// Rows for the panels, hardware, moulds and the like of other things.
const ROWS: usize = 4;

/// What can be named in forms, by id and as people say it.
struct There {
    finishes: Vec<(String, String)>,
    materials: Vec<Material>,
    groups: Vec<(String, String)>,
    mixes: Vec<(String, String)>,
    revisions: Vec<(String, String)>,
    panels: Vec<(String, String)>,
}

impl There {
    async fn read(tx: &Tx, frame: &Frame) -> Result<Self, Problem> {
        let pair = |id: String, name: String| (id, name);
        let revision = |r: MixRevision| (r.id.to_string(), frame.names.revision(&r.id.to_string()));
        Ok(Self {
            finishes: Finish::all(tx).await?.into_iter().map(|f| pair(f.id.to_string(), f.name)).collect(),
            materials: Material::all(tx).await?,
            groups: MouldGroup::all(tx).await?.into_iter().map(|g| pair(g.id.to_string(), g.name)).collect(),
            mixes: Mix::all(tx).await?.into_iter().map(|m| pair(m.id.to_string(), m.name)).collect(),
            revisions: MixRevision::all(tx).await?.into_iter().map(revision).collect(),
            panels: Panel::all(tx).await?.into_iter().map(|p| pair(p.id.to_string(), p.name)).collect(),
        })
    }

    /// Materials of some kinds.
    fn of(&self, kinds: impl Fn(MaterialKind) -> bool) -> Vec<(String, String)> {
        let some = self.materials.iter().filter(|m| kinds(m.kind));
        some.map(|m| (m.id.to_string(), m.name.clone())).collect()
    }
}

#[utoipa::path(
    tag = "pages", summary = "The page to record one of the workshop's things", description = "A form for a finish, material, group of moulds, tank, rack, mix, revision, panel or set.",
    params(("what" = String, Path, description = "Which: finish, material, moulds, tank, rack, mix, revision, panel or set", example = "finish")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/new/{what}")]
async fn new(state: Data<State>, what: Path<String>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let there = There::read(&tx, &frame).await?;
    tx.rollback().await?;
    let (title, path, fields) = match what.as_str() {
        "finish" => ("A finish", "/finishes", finish()),
        "material" => ("A material", "/materials", material(&frame)),
        "moulds" => ("A group of moulds", "/mould-groups", moulds()),
        "tank" => ("A tank", "/tanks", tank(&frame)),
        "rack" => ("A rack", "/racks", rack(&frame)),
        "mix" => ("A mix", "/mixes", mix(&there)),
        "revision" => ("A revision of a mix", "/mixes/{of}/revisions", revision(&frame, &there)),
        "panel" => ("A panel", "/panels", panel(&frame, &there)),
        "set" => ("A set", "/sets", set(&there)),
        other => return Err(Problem::not_found("form for a new", other)),
    };
    let main = html! {
        p { a href="/pages/workshop#begin" { "Back to the workshop" } }
        form.entry data-send=(path) data-named=(title) data-then="/pages/workshop" { (fields) button { "Record it" } output {} }
    };
    Ok(frame.page(Place::Workshop, title, main))
}

fn named() -> Markup {
    html! { (form::new_id("Short name, as the label on its shelf")) (form::text("As people say it", "name", "", true)) }
}

fn finish() -> Markup {
    html! { (named()) (form::count("How dark, 0 white to 100 black: paler mixes go through the mixer first", "darkness_percent", Some(50), 0, 100, true)) }
}

const KINDS: [(&str, &str); 13] = [
    ("portland_cement", "Portland cement"),
    ("blended_cement", "blended cement"),
    ("rapid_cement", "rapid-setting cement (calcium sulfoaluminate)"),
    ("water", "water"),
    ("aggregate", "sand or gravel"),
    ("lightweight_aggregate", "lightweight aggregate: perlite, pumice"),
    ("foaming_concentrate", "foaming concentrate"),
    ("fibre", "fibre"),
    ("pigment", "pigment"),
    ("admixture", "admixture"),
    ("mesh", "mesh"),
    ("hardware", "hardware: pins, brackets, screws"),
    ("release_oil", "release oil"),
];

fn material(frame: &Frame) -> Markup {
    let money = frame.said.money_typed();
    let units = [
        ("gram", "grams"),
        ("millilitre", "millilitres"),
        ("square_millimetre", "square millimetres"),
        ("piece", "pieces"),
    ];
    let supply = [
        ("bought", "bought in packs"),
        ("mains", "from the main or the well, never counted"),
        ("not_sold", "what is left of it; nobody sells it"),
    ];
    html! {
        (named())
        (form::choice("What it is", "kind", &KINDS, "portland_cement"))
        (form::choice("Counted in", "unit", &units, "gram"))
        (form::measure("Times as heavy as water, where it goes into a mix (the maker's sheet says)", "relative_density", frame.said.plain_typed(), None, false))
        (form::choice("Where it comes from", "supply", &supply, "bought"))
        (form::count("In a pack, in what it is counted in", "pack", None, 1, 1_000_000_000_000, true))
        (form::measure(&format!("Price of a pack {}", frame.said.currency()), "pack_price_minor", money, None, true))
        (form::count("Days from order to arrival", "lead_days", None, 0, 365, true))
        (form::measure(&format!("Charge for each delivery {}", frame.said.currency()), "delivery_charge_minor", money, Some(0.0), false))
        (form::count("Never to be below, in what it is counted in", "floor", Some(0), 0, 1_000_000_000_000, false))
        (form::count("Most there is room for, in what it is counted in", "store_max", None, 0, 1_000_000_000_000, false))
    }
}

fn moulds() -> Markup {
    html! {
        (named())
        (form::count("How many", "moulds", None, 0, 10_000, true))
        (form::number_chosen("Poured again", "turnaround_days", &[("1", "the day after it is stripped"), ("0", "on the day it is stripped")], "1"))
        (form::count("Pours one is good for, where you know", "life_uses", None, 1, 1_000_000, false))
    }
}

fn rows(frame: &Frame) -> Markup {
    html! {
        (form::count("Rows", "rows", Some(1), 0, 1000, true))
        (form::measure("Usable length of a row", "usable_row_mm", frame.said.length_typed(), None, true))
    }
}

fn tank(frame: &Frame) -> Markup {
    let length = frame.said.length_typed();
    html! {
        p.care { "Cover every tank: children drown in them. Full, it is heavy: whoever answers for the floor says whether it bears that." }
        (named()) (rows(frame))
        (form::measure("Depth of water inside", "depth_mm", length, None, true))
        (form::measure("Width inside", "width_mm", length, None, true))
    }
}

fn rack(frame: &Frame) -> Markup {
    html! { (named()) (rows(frame)) }
}

fn mix(there: &There) -> Markup {
    html! { (named()) (form::perhaps("The finish it gives", "finish", &there.finishes, true)) }
}

fn revision(frame: &Frame, there: &There) -> Markup {
    let said = &frame.said;
    let (content, density, volume) = (said.content_typed(), said.density_typed(), said.volume_typed());
    let solids = there.of(|kind| {
        !matches!(
            kind,
            MaterialKind::Mesh | MaterialKind::Hardware | MaterialKind::ReleaseOil | MaterialKind::FoamingConcentrate
        )
    });
    html! {
        p.quiet { "A revision's numbers never change: what is mixed differently is a new revision. Work it out first on the " a href="/pages/mixes/cheapest" { "page of cheapest proportions" } ", or take it from a trial." }
        (form::perhaps("Of which mix", "of", &there.mixes, true))
        label { "Its number" input name="id" data-kind="revision" type="number" min="1" max="9999" value="1" required; }
        (form::choice("It is", "state", &[("on_trial", "on trial"), ("in_use", "in use")], "on_trial"))
        (form::text("On whose word, where in use", "reason", "", false))
        fieldset { legend { "In a cubic metre, in mixing order, without the foam" }
            @for n in 0..INGREDIENTS {
                div.line data-row { (form::perhaps("Material", &format!("ingredients.{n}.material"), &solids, n == 0)) (form::measure("So much", &format!("ingredients.{n}.kg_m3"), content, None, n == 0)) }
            }
        }
        fieldset data-row { legend { "Foam, where there is some" }
            (form::perhaps("Foaming concentrate", "foam.concentrate", &there.of(|kind| kind == MaterialKind::FoamingConcentrate), false))
            (form::measure("Density of the foam itself", "foam.density_kg_m3", density, None, false))
            (form::measure("Parts of water to one of concentrate", "foam.dilution", frame.said.plain_typed(), None, false))
            label { "Its water is counted in the water/cement ratio" select name="foam.water_counted" data-kind="boolean" { option value="" { "no foam" } option value="false" { "no" } option value="true" { "yes" } } }
        }
        fieldset { legend { "As it leaves the mixer" }
            (form::measure("Wet density", "wet_density_kg_m3", density, None, true))
            (form::measure("Least that is accepted", "wet_density_low_kg_m3", density, None, true))
            (form::measure("Most that is accepted", "wet_density_high_kg_m3", density, None, true))
            (form::measure("Air not from the foam, per cent", "air_percent", frame.said.plain_typed(), Some(2.0), true))
        }
        fieldset { legend { "Times" }
            (form::measure("Hours in the mould at 20 °C", "hold_hours_at_20c", frame.said.plain_typed(), None, true))
            (form::count("Days in the tank", "soak_days", None, 0, 90, true))
            (form::count("Days on the rack", "dry_days", None, 0, 90, true))
            (form::count("Work of a batch, minutes", "batch_minutes", None, 0, 1440, true))
            (form::count("Work of the washout, minutes", "washout_minutes", None, 0, 1440, true))
        }
        fieldset { legend { "At the mixer" }
            (form::measure("Least of a batch", "batch_min_ml", volume, None, true))
            (form::measure("Most of a batch", "batch_max_ml", volume, None, true))
            (form::measure("Lost at the washout", "washout_ml", volume, None, true))
            (form::measure("No pouring on a day colder than (empty: the workshop's own)", "least_air_c", said.temperature_typed(), None, false))
        }
    }
}

fn panel(frame: &Frame, there: &There) -> Markup {
    let (length, volume) = (frame.said.length_typed(), frame.said.volume_typed());
    let drawn = there.of(|kind| matches!(kind, MaterialKind::Mesh | MaterialKind::ReleaseOil | MaterialKind::Hardware));
    html! {
        p.care { "Walls that hold back soil are structures: local codes and licensed practice decide what they have to bear." }
        (named())
        (form::measure("Length", "length_mm", length, None, true))
        (form::measure("Height", "height_mm", length, None, true))
        (form::measure("Thickness", "thickness_mm", length, None, true))
        (form::measure("Its holes and rebates together", "voids_ml", volume, Some(0.0), false))
        (form::perhaps("Cast in", "mould_group", &there.groups, true))
        (form::count("To pour one, minutes", "pour_minutes", None, 0, 1440, true))
        (form::count("To strip one, minutes", "strip_minutes", None, 0, 1440, true))
        (form::count("To lift one, minutes", "lift_minutes", None, 0, 1440, true))
        fieldset { legend { "Revisions that suit it" }
            @for n in 0..ROWS { div.line data-row { (form::perhaps("Revision", &format!("suits.{n}.revision"), &there.revisions, false)) (form::text("On whose word: a trial, or your reason", &format!("suits.{n}.reason"), "", false)) } }
        }
        fieldset { legend { "Drawn with each one poured: mesh, oil" }
            @for n in 0..ROWS { div.line data-row { (form::perhaps("Material", &format!("per_panel.{n}.material"), &drawn, false)) (form::count("How much, in what it is counted in", &format!("per_panel.{n}.amount"), None, 1, 1_000_000_000_000, false)) } }
        }
    }
}

fn set(there: &There) -> Markup {
    html! {
        (named())
        fieldset { legend { "Panels in it" }
            @for n in 0..ROWS { div.line data-row { (form::perhaps("Panel", &format!("panels.{n}.panel"), &there.panels, n == 0)) (form::count("How many", &format!("panels.{n}.quantity"), None, 1, 10_000, n == 0)) } }
        }
        fieldset { legend { "Hardware in it" }
            @for n in 0..ROWS { div.line data-row { (form::perhaps("Piece", &format!("hardware.{n}.material"), &there.of(|kind| kind == MaterialKind::Hardware), false)) (form::count("How many", &format!("hardware.{n}.quantity"), None, 1, 10_000, false)) } }
        }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(new);
}
