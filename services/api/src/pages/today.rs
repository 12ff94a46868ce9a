//! The bench's day: what arrives, what is moved, what is mixed, what can go out, in the order it happens.

use std::collections::{BTreeMap, BTreeSet};

use actix_web::get;
use actix_web::web::Path;
use chrono::NaiveDate as Day;
use maud::{Markup, html};
use store::{Tx, corrections, lots};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::corrections::Correction;
use workshop::day_sheet::{Arrival, DaySheet};
use workshop::ids::TicketNumber;
use workshop::lots::{Lot, Stage};
use workshop::planning::tasks::Task;
use workshop::soaking::Slow;
use workshop::tickets::TicketState;

use super::frame::{Frame, Place};
use super::visit::Visit;
use super::words::today as words;
use super::{said, sending, ticket, upkeep};
use crate::http::problem::Problem;
use crate::http::reply::Answer;
use crate::resources::day_sheet::{day_named, read_sheet};
use crate::wire::Id;

#[utoipa::path(
    tag = "pages", summary = "Today's page", description = "For the bench: tickets with their masses, panels to strip and lift, what arrives and what can go out; entries are sent by its script.",
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/")]
async fn today(state: Visit) -> Answer {
    page_of(&state, "today").await
}

#[utoipa::path(
    tag = "pages", summary = "A day's page", description = "As today's, for any day.",
    params(("day" = inline(Id), Path, description = "The day, or today", example = "today")),
    responses((status = 200, description = "The page", body = String, content_type = "text/html", example = "<!doctype html>…"))
)]
#[get("/pages/days/{day}")]
async fn any_day(state: Visit, day: Path<String>) -> Answer {
    page_of(&state, &day).await
}

/// What the page is written from, besides what every page needs.
struct Sheet {
    sheet: DaySheet,
    issued: bool,
    planned: bool,
    present: Vec<Lot>,
    weighed: BTreeMap<TicketNumber, Vec<Correction>>,
    sending: Vec<sending::Sending>,
    /// Entries are taken on the day itself only.
    open: bool,
}

async fn page_of(state: &Visit, day: &str) -> Answer {
    let tx = state.store.read().await?;
    let frame = Frame::read(state, &tx).await?;
    let day = day_named(state, &tx, day).await?;
    let sheet = read(&tx, &frame, day).await?;
    tx.rollback().await?;
    let title = if day == frame.today { words::TITLE.to_owned() } else { frame.said.day_in_full(day) };
    Ok(frame.page(Place::Today, &title, body(&frame, &sheet)))
}

async fn read(tx: &Tx, frame: &Frame, day: Day) -> Result<Sheet, Problem> {
    let (sheet, run, issued) = read_sheet(tx, day, frame.today).await?;
    let numbers: Vec<TicketNumber> = sheet.tickets.iter().map(|ticket| ticket.number).collect();
    let weighed = corrections::of_tickets(tx, &numbers).await?;
    let present = lots::all_present(tx).await?;
    let sending = sending::read(tx, &sheet, &present).await?;
    Ok(Sheet { sheet, issued, planned: run.is_some(), present, weighed, sending, open: day == frame.today })
}

fn body(frame: &Frame, day: &Sheet) -> Markup {
    let sheet = &day.sheet;
    html! {
        (which_day(frame, sheet.day))
        (in_brief(day))
        (arrivals(frame, &sheet.arrivals))
        (moves(frame, day, &Moves::READY, &sheet.ready))
        (moves(frame, day, &Moves::LIFT, &sheet.lifts))
        (in_cold_water(frame, sheet))
        (moves(frame, day, &Moves::STRIP, &sheet.strips))
        (to_mix(frame, day))
        (sending::section(frame, &day.sending, day.open))
        (upkeep::section(frame, sheet, day.open))
        @if !sheet.tickets.is_empty() { p.no-print { a href={ "/pages/days/" (sheet.day) "/tags" } { (words::TAGS) } } }
    }
}

/// Panels that cold water keeps in their tank.
fn in_cold_water(frame: &Frame, sheet: &DaySheet) -> Markup {
    html! {
        @for slow in &sheet.slow {
            p.warn { (in_its_tank(frame, slow)) }
        }
    }
}

fn in_its_tank(frame: &Frame, slow: &Slow) -> String {
    words::Slow {
        tank: frame.names.place(slow.tank.as_str()),
        until: &frame.said.day(slow.until),
        usual: &frame.said.day(slow.usual),
        count: slow.quantity,
        panel: frame.names.panel(slow.panel.as_str()),
        water: &frame.said.temperature(slow.water_c),
        measured_on: &frame.said.day(slow.measured_on),
    }
    .said()
}

fn which_day(frame: &Frame, day: Day) -> Markup {
    let link = |day: Day| format!("/pages/days/{day}");
    html! {
        p.days.no-print {
            @if let Some(before) = day.pred_opt() { a href=(link(before)) rel="prev" { "← " (frame.said.day(before)) } " " }
            @if day != frame.today { a href="/" { (words::TITLE) } " " }
            @if let Some(after) = day.succ_opt() { a href=(link(after)) rel="next" { (frame.said.day(after)) " →" } }
        }
    }
}

/// The day in one sentence.
fn in_brief(day: &Sheet) -> Markup {
    let sheet = &day.sheet;
    let count = |tasks: &[Task]| tasks.iter().map(|task| task.quantity).sum::<i64>();
    let work = words::Work {
        tickets: sheet.tickets.len() as i64,
        strips: count(&sheet.strips),
        lifts: count(&sheet.lifts),
        off_the_rack: count(&sheet.ready),
        whole_orders: sheet.whole().count() as i64,
    };
    html! {
        p.brief { (work.said(&said::minutes(sheet.labour_minutes))) }
        @if !day.planned { p { (words::no_plan("/pages/plan", "/pages/workshop#begin")) } }
        @else if !day.issued && !sheet.pours.is_empty() { p { (words::NOT_ISSUED) } }
    }
}

fn arrivals(frame: &Frame, arrivals: &[Arrival]) -> Markup {
    html! {
        @if !arrivals.is_empty() {
            section aria-labelledby="arrives" {
                h2 #arrives { (words::ARRIVES) }
                ul.plain {
                    @for one in arrivals {
                        li {
                            strong { (words::packs_of(one.packs, frame.names.material(&one.material))) }
                            @if one.delivery.is_none() { (words::NOT_ORDERED) }
                            @if let Some(day) = one.overdue_since { (words::overdue(&frame.said.day(day))) }
                        }
                    }
                }
            }
        }
    }
}

/// One kind of move.
struct Moves {
    id: &'static str,
    words: words::Move,
    from: Stage,
    to: &'static str,
}

impl Moves {
    const READY: Self = Self { id: "ready", words: words::READY, from: Stage::Drying, to: "ready" };
    const LIFT: Self = Self { id: "lift", words: words::LIFT, from: Stage::Soaking, to: "drying" };
    const STRIP: Self = Self { id: "strip", words: words::STRIP, from: Stage::InMould, to: "soaking" };
}

fn moves(frame: &Frame, day: &Sheet, kind: &Moves, tasks: &[Task]) -> Markup {
    html! {
        @if !tasks.is_empty() {
            section aria-labelledby=(kind.id) {
                h2 #(kind.id) { (kind.words.title) }
                p.care { (kind.words.caution) }
                @for task in tasks { (one_move(frame, day, kind, task)) }
            }
        }
    }
}

fn one_move(frame: &Frame, day: &Sheet, kind: &Moves, task: &Task) -> Markup {
    let panel = frame.names.panel(task.panel.as_str());
    let from = lots_for(kind.from, task, &day.present);
    let there: i64 = from.iter().map(|(_, n)| n).sum();
    let most = task.left().min(there);
    let (tank, rack) = (task.tank.as_ref().map(|t| t.as_str()), task.rack.as_ref().map(|r| r.as_str()));
    let (out_of, into) = match kind.from {
        Stage::InMould => (None, tank),
        Stage::Soaking => (tank, rack),
        Stage::Drying | Stage::Ready => (rack, None),
    };
    let (out_of, into) = (out_of.map(|id| frame.names.place(id)), into.map(|id| frame.names.place(id)));
    let said = words::Task {
        count: task.quantity,
        panel,
        revision: &frame.names.revision(&task.revision.to_string()),
        out_of,
        into,
        done: task.done,
        left: task.left(),
    };
    let lots = from.iter().map(|(lot, n)| format!("{lot}:{n}")).collect::<Vec<_>>().join(" ");
    html! {
        article.task.done[task.left() == 0] {
            p { (kind.words.said(&said)) }
            @if day.open && task.left() > 0 && most > 0 {
                form.entry.line data-moves=(lots) data-to=(kind.to) data-tank=[tank.filter(|_| kind.from == Stage::InMould)]
                    data-rack=[rack.filter(|_| kind.from == Stage::Soaking)] data-then="reload"
                    data-named=((kind.words.named)(panel)) {
                    label { (words::HOW_MANY) input name="quantity" type="number" inputmode="numeric" min="1" max=(most) value=(most) required; }
                    button { (words::DONE) }
                    output {}
                }
            } @else if day.open && task.left() > 0 {
                p.quiet { (words::NONE_THERE) }
            }
        }
    }
}

/// The lots a task takes from, the oldest first, as far as it has panels left to move.
fn lots_for(from: Stage, task: &Task, present: &[Lot]) -> Vec<(i64, i64)> {
    let place = |lot: &Lot| match from {
        Stage::Soaking => task.tank.is_none() || lot.tank == task.tank,
        Stage::Drying => task.rack.is_none() || lot.rack == task.rack,
        Stage::InMould | Stage::Ready => true,
    };
    let fits = |lot: &&Lot| lot.stage == from && lot.panel == task.panel && lot.revision == task.revision && place(lot);
    let mut fitting: Vec<&Lot> = present.iter().filter(fits).collect();
    fitting.sort_by_key(|lot| (lot.since, lot.id));
    let mut left = task.left();
    let mut taken = Vec::new();
    for lot in fitting {
        let count = lot.quantity.min(left);
        if count > 0 {
            taken.push((lot.id.get(), count));
            left -= count;
        }
    }
    taken
}

fn to_mix(frame: &Frame, day: &Sheet) -> Markup {
    let sheet = &day.sheet;
    let valid = sheet.tickets.iter().filter(|t| t.state != TicketState::Void);
    let cautions: BTreeSet<&str> = valid.flat_map(|t| t.cautions.iter().map(String::as_str)).collect();
    let cautions: Vec<&str> = cautions.into_iter().collect();
    let of = sheet.tickets.len();
    html! {
        @if !sheet.tickets.is_empty() {
            section aria-labelledby="mix" {
                h2 #mix { (words::MIX) }
                @if !cautions.is_empty() {
                    details.cautions #care { summary { (words::before_you_mix(cautions.len())) } ol { @for c in &cautions { li { (c) } } } }
                }
                @for (n, one) in sheet.tickets.iter().enumerate() {
                    (ticket::card(frame, one, ticket::Among { place: n + 1, of, cautions: Some(&cautions) }, day.weighed.get(&one.number).map_or(&[], Vec::as_slice)))
                }
            }
        } @else if !sheet.pours.is_empty() {
            section aria-labelledby="pour" {
                h2 #pour { (words::TO_BE_POURED) }
                ul.plain { @for pour in sheet.pours.iter().map(|planned| &planned.pour) {
                    li { (pour.quantity) " × " (frame.names.panel(&pour.panel)) " " span.quiet { (frame.names.revision(&pour.mix)) } }
                } }
            }
        }
    }
}

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service.service(today).service(any_day);
}

#[cfg(test)]
mod tests {
    use workshop::ids::{LotId, PanelId, RevisionId, TankId};

    use super::*;

    fn lot(id: i64, since: &str, tank: &str, quantity: i64) -> Lot {
        Lot {
            id: LotId::new(id),
            panel: PanelId::parse("side").unwrap(),
            revision: RevisionId::parse("grey@2").unwrap(),
            finish: workshop::ids::FinishId::parse("grey").unwrap(),
            poured_on: "2026-03-01".parse().unwrap(),
            ticket: None,
            stage: Stage::Soaking,
            since: since.parse().unwrap(),
            quantity,
            tank: TankId::parse(tank).ok(),
            rack: None,
            row: None,
        }
    }

    #[test]
    fn a_task_takes_the_oldest_panels_of_its_own_place_and_no_more_than_are_left_to_do() {
        let task = Task {
            panel: PanelId::parse("side").unwrap(),
            revision: RevisionId::parse("grey@2").unwrap(),
            tank: TankId::parse("north").ok(),
            rack: None,
            quantity: 6,
            done: 1,
            minutes: 0.0,
            said: vec![],
        };
        let lots =
            [lot(3, "2026-03-05", "north", 9), lot(1, "2026-03-04", "south", 9), lot(2, "2026-03-03", "north", 2)];
        assert_eq!(lots_for(Stage::Soaking, &task, &lots), [(2, 2), (3, 3)]);
        assert_eq!(lots_for(Stage::Drying, &task, &lots), []);
        let anywhere = Task { tank: None, ..task };
        assert_eq!(lots_for(Stage::Soaking, &anywhere, &lots), [(2, 2), (1, 3)]);
    }
}
