//! Deliveries on their way: when each is expected, and entering that it has come; and that something was ordered.

use maud::{Markup, html};
use workshop::catalogue::Amount;
use workshop::stock::Delivery;

use super::super::form;
use super::super::frame::Frame;
use crate::resources::projection::Projected;

/// What is on its way, and the way to enter an order.
pub fn section(frame: &Frame, coming: &[Delivery], short: &Projected) -> Markup {
    let mut coming: Vec<&Delivery> = coming.iter().collect();
    coming.sort_by_key(|d| (d.expected_on, d.id));
    html! {
        section aria-labelledby="coming" {
            h2 #coming { "On their way" }
            @if coming.is_empty() { p.quiet { "Nothing is ordered." } }
            @for one in coming { (delivery(frame, one)) }
            details.no-print {
                summary { "Enter what was ordered" }
                form.entry.line data-send="/deliveries" data-named="What was ordered" data-then="reload" {
                    label { "Material" select name="material" required {
                        option value="" { "choose" }
                        @for (material, _) in short { option value=(material.id) { (frame.names.material(material.id.as_str())) ", to order" } }
                        @for (id, name) in frame.names.bought() { option value=(id) { (name) } }
                    } }
                    (form::count("Packs", "packs", None, 1, 100_000, true))
                    (form::day("Expected on", "expected_on", None, true))
                    button { "It is ordered" } output {}
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
            p {
                strong { (one.packs) " × " (frame.names.material(material)) } @if let Some(holds) = holds { ", " (holds) " in all" }
                @if late { span.late { ", expected since " (frame.said.day(one.expected_on)) } } @else { ", expected " (frame.said.day(one.expected_on)) }
            }
            form.entry.line data-send={ "/deliveries/" (one.id) "/arrival" } data-dated="arrived_on" data-named={ "Arrival of " (frame.names.material(material)) } data-then="reload" {
                @if let Some(unit) = frame.names.unit(material) {
                    (form::measure("What came", "received", frame.said.amount_typed(unit), Some(one.ordered().get() as f64), true))
                }
                (form::day("The rest comes on (empty: all is here, or no more comes)", "rest_expected_on", None, false))
                (form::text("Note", "note", "", false))
                button { "It is here" } output {}
            }
        }
    }
}
