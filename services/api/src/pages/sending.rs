//! Orders that can go out: all of it at once, or only so many where the customer agreed to parts.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use store::{Record, Tx, lots};
use workshop::catalogue::{Finish, PanelSet};
use workshop::day_sheet::DaySheet;
use workshop::dispatch::{self, CanGo, Standing, in_turn};
use workshop::ids::{FinishId, OrderId, PanelId};
use workshop::lots::Lot;
use workshop::orders::Order;

use super::frame::Frame;
use super::words::sending as words;
use crate::http::problem::Problem;

/// What an order still wants, and the ready panels it may have.
pub struct Sending {
    order: OrderId,
    customer: Option<String>,
    sent_today: i64,
    complete: bool,
    can_go: CanGo,
    /// Whether the customer takes it in parts.
    parts_agreed: bool,
    lines: Vec<Line>,
}

/// Panels of one kind.
struct Line {
    panel: PanelId,
    finish: FinishId,
    finish_name: String,
    /// Wanted and not sent yet.
    left: i64,
    /// How many stand ready for it.
    ready: i64,
}

/// Reads the orders of a day's sheet. A ready panel is offered to one order only, in the sheet's order.
///
/// # Errors
/// Those of the database.
pub async fn read(tx: &Tx, sheet: &DaySheet, present: &[Lot]) -> Result<Vec<Sending>, Problem> {
    if sheet.dispatches.is_empty() {
        return Ok(Vec::new());
    }
    let sets: BTreeMap<_, _> = PanelSet::all(tx).await?.into_iter().map(|set| (set.id.clone(), set)).collect();
    let finishes: BTreeMap<_, _> = Finish::all(tx).await?.into_iter().map(|f| (f.id, f.name)).collect();
    let ids: Vec<OrderId> = sheet.dispatches.iter().filter_map(|one| OrderId::parse(&one.order).ok()).collect();
    let orders = Order::those(tx, &ids).await?;
    let order = |id: &str| orders.iter().map(|found| &found.value).find(|order| order.id.as_str() == id);
    let of_sheet = sheet.dispatches.iter().filter_map(|one| Some((one.panels, order(&one.order)?)));
    let (sent_today, of_sheet): (Vec<i64>, Vec<&Order>) = of_sheet.unzip();
    let standing = in_turn(of_sheet, &sets, &lots::dispatched(tx).await?, present);
    let finish = |id: &FinishId| finishes.get(id).map_or(id.as_str(), String::as_str).to_owned();
    let sending = |(sent_today, one): (i64, Standing)| Sending {
        sent_today,
        can_go: one.can_go(),
        complete: one.lines.iter().all(|line| line.left() == 0),
        lines: one.lines.iter().map(|line| Line::of(line, finish(&line.finish))).collect(),
        order: one.order.id,
        customer: one.order.customer,
        parts_agreed: one.order.parts_agreed,
    };
    Ok(sent_today.into_iter().zip(standing).map(sending).collect())
}

impl Line {
    fn of(line: &dispatch::Line, finish_name: String) -> Self {
        let (panel, finish) = (line.panel.clone(), line.finish.clone());
        Self { panel, finish, finish_name, left: line.left(), ready: line.ready_panels() }
    }
}

/// The orders, each with the way to enter what went.
pub fn section(frame: &Frame, sending: &[Sending], open: bool) -> Markup {
    html! {
        @if !sending.is_empty() {
            section aria-labelledby="send" {
                h2 #send { (words::TITLE) }
                @for one in sending { (order(frame, one, open)) }
            }
        }
    }
}

fn order(frame: &Frame, one: &Sending, open: bool) -> Markup {
    let some_ready = one.lines.iter().any(|line| line.ready > 0);
    let may_go = one.can_go != CanGo::Nothing;
    let finishes: BTreeSet<&str> = one.lines.iter().map(|line| line.finish_name.as_str()).collect();
    let link = html! { a href={ "/pages/orders/" (one.order) } { (one.order) } };
    html! {
        article.task.done[one.complete] {
            p {
                (words::order(&link, one.customer.as_deref(), one.sent_today, one.complete)) " "
                a.no-print href={ "/pages/orders/" (one.order) "/pack-list" } { (words::PACK_LIST) }
            }
            @if open && may_go && one.parts_agreed {
                form.entry.line data-sends=(one.order) data-then="reload" data-named=(words::some_named(one.order.as_str())) {
                    @for line in one.lines.iter().filter(|line| line.left > 0) {
                        label {
                            (frame.names.panel(line.panel.as_str())) @if finishes.len() > 1 { ", " (line.finish_name) } span.quiet { (words::of_left(line.left)) }
                            input type="number" inputmode="numeric" min="0" max=(line.ready) value=(line.ready) required
                                data-panel=(line.panel) data-finish=(line.finish) data-left=(line.left);
                        }
                    }
                    button { (words::GONE) } output {}
                }
                p.quiet { (words::HOW_TO) }
            } @else {
                ul { @for line in one.lines.iter().filter(|line| line.left > 0) {
                    li { (line.left) " × " (frame.names.panel(line.panel.as_str())) ", " (line.finish_name) @if line.ready < line.left { span.quiet { (words::ready(line.ready)) } } }
                } }
                @if open && may_go {
                    form.entry.line data-sends=(one.order) data-then="reload" data-named=(words::all_named(one.order.as_str())) {
                        button { (words::ALL_GONE) } output {}
                    }
                } @else if open && some_ready {
                    p.quiet { (words::WHOLE_ONLY) }
                }
            }
        }
    }
}
