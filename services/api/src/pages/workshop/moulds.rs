//! Moulds by their numbers: how often each was used, how much of its life is left, what stands in it; and taking some out of
//! service.

use actix_web::get;
use actix_web::web::Path;
use maud::{Markup, html};
use store::Record;
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::catalogue::MouldGroup;
use workshop::moulds::{Shelf, Worn};

use super::super::form;
use super::super::frame::{Frame, Place};
use super::super::visit::Visit;
use super::super::words::workshop as words;
use crate::http::problem::Problem;
use crate::http::reply::{Answer, Shown};
use crate::resources::nouns::id_of;
use crate::wire::Id;
use crate::wire::catalogue::MouldGroup as Form;

/// The moulds of every group.
pub fn section(frame: &Frame, shelves: &[Shelf]) -> Markup {
    html! {
        section aria-labelledby="moulds" {
            h2 #moulds { (words::MOULDS) }
            @if shelves.is_empty() { p.quiet { (words::NO_MOULDS) } }
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
                (words::moulds_taken(*moulds, taken, out.len())) " "
                @if let Some(life) = life_uses { (words::good_for(*life)) }
            }
            @if shelf.unknown > 0 { p.quiet { (words::unknown_moulds(shelf.unknown)) } }
            @for wear in shelf.worn.keys().filter_map(|number| shelf.wear(*number)) { p.warn { (wear) } }
            ol.shelf {
                @for (number, worn) in &shelf.worn { (one(frame, *number, worn, *life_uses, out.contains(number))) }
            }
            ul { @for gone in ahead {
                li { (words::out_from_to(gone.moulds, &frame.said.day(gone.from), &frame.said.day(gone.to), &gone.reason)) }
            } }
            p.no-print { a href={ "/pages/workshop/moulds/" (id) } { (words::CHANGE_GROUP) } }
        }
    }
}

/// One mould: its number as painted on it, its uses, and where it is.
fn one(frame: &Frame, number: i64, worn: &Worn, life: Option<i64>, out: bool) -> Markup {
    let uses = match life {
        Some(life) => words::uses_of(worn.uses, life),
        None => words::uses(worn.uses),
    };
    let place = if out {
        words::OUT_OF_SERVICE_NOW
    } else if worn.taken {
        words::TAKEN
    } else {
        words::EMPTY
    };
    html! {
        li.taken[worn.taken].out[out] {
            strong { (number) } " " span { (uses) } " " span.quiet { (place) @if let Some(last) = worn.last { (words::last_used(&frame.said.day(last))) } }
        }
    }
}

#[utoipa::path(
    tag = "pages", summary = "A mould group's page", description = "Its number of moulds and their life, and which are missing when.",
    params(("id" = inline(Id), Path, description = "The group's id", example = "side-moulds")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/workshop/moulds/{id}")]
async fn change(state: Visit, id: Path<String>) -> Answer {
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
        p { a href="/pages/workshop#moulds" { (words::BACK_TO_THE_WORKSHOP) } }
        form.entry data-send={ "/mould-groups/" (id) } data-method="PUT" data-match=(seen.tag()) data-named=(words::group_named(id.as_str())) data-then="/pages/workshop" {
            input type="hidden" name="id" value=(id);
            (form::text(words::NAME, "name", &group.name, true))
            (form::count(words::MOULDS, "moulds", Some(group.moulds), 0, 10_000, true))
            (form::number_chosen(words::POURED_AGAIN, "turnaround_days", &[("0", words::SAME_DAY), ("1", words::DAY_AFTER)], &group.turnaround_days.to_string()))
            (form::count(words::LIFE, "life_uses", group.life_uses, 1, 1_000_000, false))
            h2 { (words::OUT_OF_SERVICE) }
            p.quiet { (words::HOW_TO_NAME) }
            @for gone in group.out_of_service.iter().map(Some).chain([None, None]) {
                @let row = next();
                @let name = |member: &str| format!("out_of_service.{row}.{member}");
                fieldset.line data-row {
                    legend { @match gone { Some(_) => { (words::MISSING) } None => { (words::AND_MISSING) } } }
                    (form::count(words::HOW_MANY, &name("moulds"), gone.map(|g| g.moulds), 1, 10_000, false))
                    (form::day(words::FROM, &name("from"), gone.map(|g| g.from), false))
                    (form::day(words::TO, &name("to"), gone.map(|g| g.to), false))
                    label { (words::NUMBERS) input name=(name("which")) data-kind="numbers" inputmode="numeric" pattern="[0-9 ]*"
                        value=[gone.map(|g| g.which.iter().map(i64::to_string).collect::<Vec<_>>().join(" "))]; }
                    (form::text(words::WHY, &name("reason"), gone.map_or("", |g| g.reason.as_str()), false))
                }
            }
            button { (words::KEEP) }
            output {}
        }
    };
    Ok(frame.page(Place::Workshop, &group.name, main))
}

/// Adds the operation to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(change);
}
