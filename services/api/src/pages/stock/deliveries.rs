//! Deliveries on their way: when each is expected, and entering that it has come; and that something was ordered.

use maud::{Markup, html};
use workshop::catalogue::Amount;
use workshop::stock::Delivery;

use super::super::form;
use super::super::frame::Frame;
use super::super::words::stock as words;
use crate::resources::projection::Projected;

/// What is on its way, and the way to enter an order.
pub fn section(frame: &Frame, coming: &[Delivery], short: &Projected) -> Markup {
    let mut coming: Vec<&Delivery> = coming.iter().collect();
    coming.sort_by_key(|d| (d.expected_on, d.id));
    html! {
        section aria-labelledby="coming" {
            h2 #coming { (words::ON_THEIR_WAY) }
            @if coming.is_empty() { p.quiet { (words::NOTHING_ORDERED) } }
            @for one in coming { (delivery(frame, one)) }
            details.no-print {
                summary { (words::ENTER_ORDER) }
                form.entry.line data-send="/deliveries" data-named=(words::ORDER_NAMED) data-then="reload" {
                    label { (words::MATERIAL) select name="material" required {
                        option value="" { (words::CHOOSE) }
                        @for (material, _) in short { option value=(material.id) { (words::to_order(frame.names.material(material.id.as_str()))) } }
                        @for (id, name) in frame.names.bought() { option value=(id) { (name) } }
                    } }
                    (form::count(words::PACKS, "packs", None, 1, 100_000, true))
                    (form::day(words::EXPECTED_ON, "expected_on", None, true))
                    button { (words::IT_IS_ORDERED) } output {}
                }
            }
        }
    }
}

fn delivery(frame: &Frame, one: &Delivery) -> Markup {
    let material = one.material.as_str();
    let holds = frame.names.unit(material).map(|unit| frame.said.amount(Amount::new(one.ordered().get()), unit));
    let late = one.expected_on < frame.today;
    html! {
        article.task {
            p { (words::delivery(one.packs, frame.names.material(material), holds.as_deref(), &frame.said.day(one.expected_on), late)) }
            form.entry.line data-send={ "/deliveries/" (one.id) "/arrival" } data-dated="arrived_on" data-named=(words::arrival_named(frame.names.material(material))) data-then="reload" {
                @if let Some(unit) = frame.names.unit(material) {
                    (form::measure(words::WHAT_CAME, "received", frame.said.amount_typed(unit), Some(one.ordered().get() as f64), true))
                }
                (form::day(words::REST_COMES_ON, "rest_expected_on", None, false))
                (form::text(words::NOTE, "note", "", false))
                button { (words::IT_IS_HERE) } output {}
            }
        }
    }
}
