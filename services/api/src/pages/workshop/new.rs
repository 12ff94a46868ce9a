//! Forms by which the workshop's things are recorded: what a first plan needs, by hand.

use actix_web::get;
use actix_web::web::Path;
use maud::{Markup, html};
use store::{Record, Tx};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::{Finish, Material, MaterialKind, Mix, MixRevision, MouldGroup, Panel};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::record as words;
use crate::http::problem::Problem;
use crate::http::reply::Answer;

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
async fn new(state: Visit, what: Path<String>) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let there = There::read(&tx, &frame).await?;
    tx.rollback().await?;
    let (title, path, fields) = match what.as_str() {
        "finish" => (words::A_FINISH, "/finishes", finish()),
        "material" => (words::A_MATERIAL, "/materials", material(&frame)),
        "moulds" => (words::A_GROUP, "/mould-groups", moulds()),
        "tank" => (words::A_TANK, "/tanks", tank(&frame)),
        "rack" => (words::A_RACK, "/racks", rack(&frame)),
        "mix" => (words::A_MIX, "/mixes", mix(&there)),
        "revision" => (words::A_REVISION, "/mixes/{of}/revisions", revision(&frame, &there)),
        "panel" => (words::A_PANEL, "/panels", panel(&frame, &there)),
        "set" => (words::A_SET, "/sets", set(&there)),
        other => return Err(Problem::not_found("form for a new", other)),
    };
    let main = html! {
        p { a href="/pages/workshop#begin" { (words::BACK_TO_THE_WORKSHOP) } }
        form.entry data-send=(path) data-named=(title) data-then="/pages/workshop" { (fields) button { (words::RECORD_IT) } output {} }
    };
    Ok(frame.page(Place::Workshop, title, main))
}

fn named() -> Markup {
    html! { (form::new_id(words::SHORT_NAME)) (form::text(words::NAME, "name", "", true)) }
}

fn finish() -> Markup {
    html! { (named()) (form::count(words::DARKNESS, "darkness_percent", Some(50), 0, 100, true)) }
}

const KINDS: [(&str, &str); 13] = [
    ("portland_cement", words::PORTLAND_CEMENT),
    ("blended_cement", words::BLENDED_CEMENT),
    ("rapid_cement", words::RAPID_CEMENT),
    ("water", words::WATER),
    ("aggregate", words::AGGREGATE),
    ("lightweight_aggregate", words::LIGHTWEIGHT_AGGREGATE),
    ("foaming_concentrate", words::FOAMING_CONCENTRATE),
    ("fibre", words::FIBRE),
    ("pigment", words::PIGMENT),
    ("admixture", words::ADMIXTURE),
    ("mesh", words::MESH),
    ("hardware", words::HARDWARE),
    ("release_oil", words::RELEASE_OIL),
];

fn material(frame: &Frame) -> Markup {
    let money = frame.said.money_typed();
    let units = [
        ("gram", words::GRAMS),
        ("millilitre", words::MILLILITRES),
        ("square_millimetre", words::SQUARE_MILLIMETRES),
        ("piece", words::PIECES),
    ];
    let supply = [("bought", words::BOUGHT), ("mains", words::MAINS), ("not_sold", words::NOT_SOLD)];
    html! {
        (named())
        (form::choice(words::WHAT_IT_IS, "kind", &KINDS, "portland_cement"))
        (form::choice(words::COUNTED_IN, "unit", &units, "gram"))
        (form::measure(words::RELATIVE_DENSITY, "relative_density", frame.said.plain_typed(), None, false))
        (form::choice(words::SUPPLY, "supply", &supply, "bought"))
        (form::count(words::PACK, "pack", None, 1, 1_000_000_000_000, true))
        (form::measure(&words::pack_price(frame.said.currency()), "pack_price_minor", money, None, true))
        (form::count(words::LEAD_DAYS, "lead_days", None, 0, 365, true))
        (form::measure(&words::delivery_charge(frame.said.currency()), "delivery_charge_minor", money, Some(0.0), false))
        (form::count(words::FLOOR, "floor", Some(0), 0, 1_000_000_000_000, false))
        (form::count(words::MOST_ROOM, "store_max", None, 0, 1_000_000_000_000, false))
    }
}

fn moulds() -> Markup {
    html! {
        (named())
        (form::count(words::HOW_MANY, "moulds", None, 0, 10_000, true))
        (form::number_chosen(words::POURED_AGAIN, "turnaround_days", &[("1", words::DAY_AFTER), ("0", words::SAME_DAY)], "1"))
        (form::count(words::LIFE, "life_uses", None, 1, 1_000_000, false))
    }
}

fn rows(frame: &Frame) -> Markup {
    html! {
        (form::count(words::ROWS, "rows", Some(1), 0, 1000, true))
        (form::measure(words::USABLE_ROW, "usable_row_mm", frame.said.length_typed(), None, true))
    }
}

fn tank(frame: &Frame) -> Markup {
    let length = frame.said.length_typed();
    html! {
        p.care { (words::TANK_CAUTION) }
        (named()) (rows(frame))
        (form::measure(words::DEPTH_OF_WATER_INSIDE, "depth_mm", length, None, true))
        (form::measure(words::WIDTH_INSIDE, "width_mm", length, None, true))
    }
}

fn rack(frame: &Frame) -> Markup {
    html! { (named()) (rows(frame)) }
}

fn mix(there: &There) -> Markup {
    html! { (named()) (form::perhaps(words::FINISH_GIVEN, "finish", &there.finishes, true)) }
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
        p.quiet { (words::about_revisions("/pages/mixes/cheapest")) }
        (form::perhaps(words::OF_WHICH_MIX, "of", &there.mixes, true))
        label { (words::ITS_NUMBER) input name="id" data-kind="revision" type="number" min="1" max="9999" value="1" required; }
        (form::choice(words::IT_IS, "state", &[("on_trial", words::ON_TRIAL), ("in_use", words::IN_USE)], "on_trial"))
        (form::text(words::ON_WHOSE_WORD, "reason", "", false))
        fieldset { legend { (words::IN_A_CUBIC_METRE) }
            @for n in 0..INGREDIENTS {
                div.line data-row { (form::perhaps(words::MATERIAL, &format!("ingredients.{n}.material"), &solids, n == 0)) (form::measure(words::SO_MUCH, &format!("ingredients.{n}.kg_m3"), content, None, n == 0)) }
            }
        }
        fieldset data-row { legend { (words::FOAM) }
            (form::perhaps(words::FOAM_CONCENTRATE, "foam.concentrate", &there.of(|kind| kind == MaterialKind::FoamingConcentrate), false))
            (form::measure(words::FOAM_DENSITY, "foam.density_kg_m3", density, None, false))
            (form::measure(words::DILUTION, "foam.dilution", frame.said.plain_typed(), None, false))
            label { (words::WATER_COUNTED) select name="foam.water_counted" data-kind="boolean" { option value="" { (words::NO_FOAM) } option value="false" { (words::NO) } option value="true" { (words::YES) } } }
        }
        fieldset { legend { (words::AS_MIXED) }
            (form::measure(words::WET_DENSITY, "wet_density_kg_m3", density, None, true))
            (form::measure(words::LEAST_ACCEPTED, "wet_density_low_kg_m3", density, None, true))
            (form::measure(words::MOST_ACCEPTED, "wet_density_high_kg_m3", density, None, true))
            (form::measure(words::AIR, "air_percent", frame.said.plain_typed(), Some(2.0), true))
        }
        fieldset { legend { (words::TIMES) }
            (form::measure(words::HOLD_HOURS, "hold_hours_at_20c", frame.said.plain_typed(), None, true))
            (form::count(words::DAYS_IN_THE_TANK, "soak_days", None, 0, 90, true))
            (form::count(words::DAYS_ON_THE_RACK, "dry_days", None, 0, 90, true))
            (form::count(words::BATCH_WORK, "batch_minutes", None, 0, 1440, true))
            (form::count(words::WASHOUT_WORK, "washout_minutes", None, 0, 1440, true))
        }
        fieldset { legend { (words::AT_THE_MIXER) }
            (form::measure(words::LEAST_OF_A_BATCH, "batch_min_ml", volume, None, true))
            (form::measure(words::MOST_OF_A_BATCH, "batch_max_ml", volume, None, true))
            (form::measure(words::LOST_AT_THE_WASHOUT, "washout_ml", volume, None, true))
            (form::measure(words::LEAST_AIR, "least_air_c", said.temperature_typed(), None, false))
        }
    }
}

fn panel(frame: &Frame, there: &There) -> Markup {
    let (length, volume) = (frame.said.length_typed(), frame.said.volume_typed());
    let drawn = there.of(|kind| matches!(kind, MaterialKind::Mesh | MaterialKind::ReleaseOil | MaterialKind::Hardware));
    html! {
        p.care { (words::STRUCTURES) }
        (named())
        (form::measure(words::LENGTH, "length_mm", length, None, true))
        (form::measure(words::HEIGHT, "height_mm", length, None, true))
        (form::measure(words::THICKNESS, "thickness_mm", length, None, true))
        (form::measure(words::VOIDS, "voids_ml", volume, Some(0.0), false))
        (form::perhaps(words::CAST_IN, "mould_group", &there.groups, true))
        (form::count(words::TO_POUR_ONE_MINUTES, "pour_minutes", None, 0, 1440, true))
        (form::count(words::TO_STRIP_ONE_MINUTES, "strip_minutes", None, 0, 1440, true))
        (form::count(words::TO_LIFT_ONE_MINUTES, "lift_minutes", None, 0, 1440, true))
        fieldset { legend { (words::SUITS) }
            @for n in 0..ROWS { div.line data-row { (form::perhaps(words::REVISION, &format!("suits.{n}.revision"), &there.revisions, false)) (form::text(words::SUITS_REASON, &format!("suits.{n}.reason"), "", false)) } }
        }
        fieldset { legend { (words::DRAWN) }
            @for n in 0..ROWS { div.line data-row { (form::perhaps(words::MATERIAL, &format!("per_panel.{n}.material"), &drawn, false)) (form::count(words::HOW_MUCH, &format!("per_panel.{n}.amount"), None, 1, 1_000_000_000_000, false)) } }
        }
    }
}

fn set(there: &There) -> Markup {
    html! {
        (named())
        fieldset { legend { (words::PANELS_IN_IT) }
            @for n in 0..ROWS { div.line data-row { (form::perhaps(words::PANEL, &format!("panels.{n}.panel"), &there.panels, n == 0)) (form::count(words::HOW_MANY, &format!("panels.{n}.quantity"), None, 1, 10_000, n == 0)) } }
        }
        fieldset { legend { (words::HARDWARE_IN_IT) }
            @for n in 0..ROWS { div.line data-row { (form::perhaps(words::PIECE, &format!("hardware.{n}.material"), &there.of(|kind| kind == MaterialKind::Hardware), false)) (form::count(words::HOW_MANY, &format!("hardware.{n}.quantity"), None, 1, 10_000, false)) } }
        }
    }
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(new);
}
