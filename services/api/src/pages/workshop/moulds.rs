//! Moulds by their numbers: how often each was used, how much of its life is left, what stands in it; and taking some out of
//! service.

use actix_web::get;
use actix_web::web::{Data, Path};
use maud::{Markup, html};
use store::Record;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::MouldGroup;
use workshop::moulds::{Shelf, Worn};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::words::shared::panels;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Shown};
use crate::resources::nouns::id_of;
use crate::state::State;
use crate::wire::Id;
use crate::wire::catalogue::MouldGroup as Form;

/// The moulds of every group.
pub fn section(frame: &Frame, shelves: &[Shelf]) -> Markup {
    html! {
        section aria-labelledby="moulds" {
            h2 #moulds { "Moulds" }
            @if shelves.is_empty() { p.quiet { "No moulds are recorded yet." } }
            @for shelf in shelves { (group(frame, shelf)) }
        }
    }
}

fn group(frame: &Frame, shelf: &Shelf) -> Markup {
    let MouldGroup { id, name, moulds, life_uses, .. } = &shelf.group;
    let out = shelf.out_on(frame.today);
    let taken = shelf.worn.values().filter(|w| w.taken).count();
    let ahead = shelf.group.out_of_service.iter().filter(|o| o.to >= frame.today);
    html! {
        article.card aria-labelledby={ "g-" (id) } {
            h3 #{ "g-" (id) } { (name) }
            p {
                (moulds) " moulds, " (taken) " taken" @if !out.is_empty() { ", " (out.len()) " out of service" } ". "
                @if let Some(life) = life_uses { "Each is good for " (life) " pours or so." }
            }
            @if shelf.unknown > 0 { p.quiet { (panels(shelf.unknown)) " more in moulds whose numbers nobody entered." } }
            @for wear in shelf.worn.keys().filter_map(|number| shelf.wear(*number)) { p.warn { (wear) } }
            ol.shelf {
                @for (number, worn) in &shelf.worn { (one(frame, *number, worn, *life_uses, out.contains(number))) }
            }
            ul { @for gone in ahead {
                li { (gone.moulds) " out of service from " (frame.said.day(gone.from)) " to " (frame.said.day(gone.to)) ": " (gone.reason) }
            } }
            p.no-print { a href={ "/pages/workshop/moulds/" (id) } { "Take some out of service, or change the group" } }
        }
    }
}

/// One mould: its number as painted on it, its uses, and where it is.
fn one(frame: &Frame, number: i64, worn: &Worn, life: Option<i64>, out: bool) -> Markup {
    let uses = match life {
        Some(life) => format!("{} of {life}", worn.uses),
        None => format!("{} pours", worn.uses),
    };
    let place = if out {
        "out of service"
    } else if worn.taken {
        "taken"
    } else {
        "empty"
    };
    html! {
        li.taken[worn.taken].out[out] {
            strong { (number) } " " span { (uses) } " " span.quiet { (place) @if let Some(last) = worn.last { ", last " (frame.said.day(last)) } }
        }
    }
}

#[utoipa::path(
    tag = "pages", summary = "A mould group's page", description = "Its number of moulds and their life, and which are missing when.",
    params(("id" = inline(Id), Path, description = "The group's id", example = "side-moulds")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/moulds/{id}")]
async fn change(state: Data<State>, id: Path<String>) -> Answer {
    let id = id_of::<MouldGroup>(&id)?;
    let tx = state.store.read().await?;
    let frame = Frame::read(&state, &tx).await?;
    let found = MouldGroup::find(&tx, &id).await?.ok_or_else(|| Problem::not_found("mould group", &id))?;
    tx.rollback().await?;
    let group = found.value.clone();
    let seen = Shown::new(found.version, &Form::from(found.value))?;
    let mut row = 0;
    let mut next = || {
        row += 1;
        row - 1
    };
    let main = html! {
        p { a href="/pages/workshop#moulds" { "Back to the workshop" } }
        form.entry data-send={ "/mould-groups/" (id) } data-method="PUT" data-match=(seen.tag()) data-named={ "Mould group " (id) } data-then="/pages/workshop" {
            input type="hidden" name="id" value=(id);
            (form::text("Name", "name", &group.name, true))
            (form::count("Moulds", "moulds", Some(group.moulds), 0, 10_000, true))
            (form::number_chosen("Poured again", "turnaround_days", &[("0", "on the day it is stripped"), ("1", "the day after")], &group.turnaround_days.to_string()))
            (form::count("Pours a mould is good for", "life_uses", group.life_uses, 1, 1_000_000, false))
            h2 { "Out of service" }
            p.quiet { "Name the numbers painted on them, with spaces between; where none are named, the highest are taken. Empty a row to forget it." }
            @for gone in group.out_of_service.iter().map(Some).chain([None, None]) {
                @let row = next();
                @let name = |member: &str| format!("out_of_service.{row}.{member}");
                fieldset.line data-row {
                    legend { @match gone { Some(_) => { "Missing" }, None => { "And missing" } } }
                    (form::count("How many", &name("moulds"), gone.map(|g| g.moulds), 1, 10_000, false))
                    (form::day("From", &name("from"), gone.map(|g| g.from), false))
                    (form::day("To", &name("to"), gone.map(|g| g.to), false))
                    label { "Numbers" input name=(name("which")) data-kind="numbers" inputmode="numeric" pattern="[0-9 ]*"
                        value=[gone.map(|g| g.which.iter().map(i64::to_string).collect::<Vec<_>>().join(" "))]; }
                    (form::text("Why", &name("reason"), gone.map_or("", |g| g.reason.as_str()), false))
                }
            }
            button { "Keep" }
            output {}
        }
    };
    Ok(frame.page(Place::Workshop, &group.name, main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(change);
}
