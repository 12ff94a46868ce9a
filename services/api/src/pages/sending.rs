//! Orders that can go out: all of it at once, or only so many where the customer agreed to parts.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use store::{Record, Tx, lots};
use workshop::catalogue::{Finish, PanelSet};
use workshop::day_sheet::DaySheet;
use workshop::ids::{FinishId, OrderId, PanelId};
use workshop::lots::{Lot, Stage};
use workshop::orders::Order;

use super::frame::Frame;
use super::said;
use crate::http::problem::Problem;

/// What an order still wants, and the ready panels it may have.
pub struct Sending {
    order: OrderId,
    customer: Option<String>,
    sent_today: i64,
    complete: bool,
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
    let dispatched = lots::dispatched(tx).await?;
    let mut ready: Vec<Lot> = present.iter().filter(|lot| lot.stage == Stage::Ready).cloned().collect();
    ready.sort_by_key(|lot| (lot.since, lot.id));
    let mut all = Vec::new();
    for one in &sheet.dispatches {
        let Ok(id) = OrderId::parse(&one.order) else { continue };
        let Some(order) = Order::find(tx, &id).await?.map(|found| found.value) else { continue };
        let mut lines = Vec::new();
        for ((panel, finish), wanted) in order.panels(&sets) {
            let sent = dispatched.get(&(id.clone(), panel.clone(), finish.clone())).copied().unwrap_or(0);
            let left = (wanted - sent).max(0);
            let fits = |lot: &&mut Lot| lot.panel == panel && lot.finish == finish;
            let ready = take(ready.iter_mut().filter(fits), left);
            let finish_name = finishes.get(&finish).map_or(finish.as_str(), String::as_str).to_owned();
            lines.push(Line { panel, finish, finish_name, left, ready });
        }
        let complete = lines.iter().all(|line| line.left == 0);
        let (customer, parts_agreed) = (order.customer, order.parts_agreed);
        all.push(Sending { order: id, customer, sent_today: one.panels, complete, parts_agreed, lines });
    }
    Ok(all)
}

/// Up to `most` panels off some lots.
fn take<'a>(lots: impl Iterator<Item = &'a mut Lot>, most: i64) -> i64 {
    lots.fold(0, |taken, lot| {
        let count = lot.quantity.min(most - taken);
        lot.quantity -= count;
        taken + count
    })
}

/// The orders, each with the way to enter what went.
pub fn section(frame: &Frame, sending: &[Sending], open: bool) -> Markup {
    html! {
        @if !sending.is_empty() {
            section aria-labelledby="send" {
                h2 #send { "Send out" }
                @for one in sending { (order(frame, one, open)) }
            }
        }
    }
}

fn order(frame: &Frame, one: &Sending, open: bool) -> Markup {
    let whole_ready = one.lines.iter().all(|line| line.ready == line.left);
    let some_ready = one.lines.iter().any(|line| line.ready > 0);
    let may_go = some_ready && (whole_ready || one.parts_agreed);
    let finishes: BTreeSet<&str> = one.lines.iter().map(|line| line.finish_name.as_str()).collect();
    html! {
        article.task.done[one.complete] {
            p {
                strong { a href={ "/pages/orders/" (one.order) } { (one.order) } } @if let Some(customer) = &one.customer { " for " (customer) }
                @if one.sent_today > 0 { ": " (said::panels(one.sent_today)) " sent today" } @if one.complete { ", all of it has gone" }
                " " a.no-print href={ "/pages/orders/" (one.order) "/pack-list" } { "Pack list" }
            }
            @if open && may_go && one.parts_agreed {
                form.entry.line data-sends=(one.order) data-then="reload" data-named={ "What went of " (one.order) } {
                    @for line in one.lines.iter().filter(|line| line.left > 0) {
                        label {
                            (frame.names.panel(line.panel.as_str())) @if finishes.len() > 1 { ", " (line.finish_name) } span.quiet { ", of " (line.left) }
                            input type="number" inputmode="numeric" min="0" max=(line.ready) value=(line.ready) required
                                data-panel=(line.panel) data-finish=(line.finish) data-left=(line.left);
                        }
                    }
                    button { "Gone" } output {}
                }
                p.quiet { "All that is ready stands in the fields: press the button, or write how many really went." }
            } @else {
                ul { @for line in one.lines.iter().filter(|line| line.left > 0) {
                    li { (line.left) " × " (frame.names.panel(line.panel.as_str())) ", " (line.finish_name) @if line.ready < line.left { span.quiet { ": " (line.ready) " of them recorded as ready" } } }
                } }
                @if open && may_go {
                    form.entry.line data-sends=(one.order) data-then="reload" data-named={ "That " (one.order) " went" } {
                        button { "All of it has gone" } output {}
                    }
                } @else if open && some_ready {
                    p.quiet { "It goes when all of it is ready: the customer has not agreed to parts." }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::ids::{LotId, RevisionId};

    fn lot(id: i64, quantity: i64) -> Lot {
        Lot {
            id: LotId::new(id),
            panel: PanelId::parse("side").unwrap(),
            revision: RevisionId::parse("grey@2").unwrap(),
            finish: FinishId::parse("grey").unwrap(),
            poured_on: "2026-03-01".parse().unwrap(),
            ticket: None,
            stage: Stage::Ready,
            since: "2026-04-01".parse().unwrap(),
            quantity,
            tank: None,
            rack: None,
            row: None,
        }
    }

    #[test]
    fn a_ready_panel_is_offered_once() {
        let mut ready = [lot(1, 3), lot(2, 4)];
        assert_eq!(take(ready.iter_mut(), 5), 5);
        assert_eq!(take(ready.iter_mut(), 5), 2);
        assert_eq!(take(ready.iter_mut(), 5), 0);
    }
}
