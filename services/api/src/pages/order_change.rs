//! Changing an order that was taken: the days, what was agreed, and that it is not wanted any more.

use maud::{Markup, html};
use workshop::orders::{Item, Order, OrderState, Priority};

use super::form;
use super::words::orders as words;

/// Days wanted and promised, priority and what was agreed: as fields of any form of an order.
pub fn agreed(order: Option<&Order>) -> Markup {
    let priority = match order.map_or(Priority::Usual, |order| order.priority) {
        Priority::Low => "low",
        Priority::Usual => "usual",
        Priority::High => "high",
    };
    let parts = if order.is_some_and(|order| order.parts_agreed) { "true" } else { "false" };
    html! {
        (form::choice(words::PRIORITY, "priority", &[("usual", words::USUAL), ("high", words::HIGH), ("low", words::LOW)], priority))
        (form::day(words::PROMISED_ON, "promised_on", order.and_then(|order| order.promised_on), false))
        label { (words::GOES_OUT) select name="parts_agreed" data-kind="boolean" {
            option value="false" selected[parts == "false"] { (words::WHEN_WHOLE) }
            option value="true" selected[parts == "true"] { (words::IN_PARTS) }
        } }
    }
}

/// The form; nothing where the order wants no panels any more. `seen` is the tag of what is shown.
pub fn change(order: &Order, seen: &str) -> Markup {
    html! {
        @if order.state == OrderState::Open {
            section.no-print aria-labelledby="change" {
                h2 #change { (words::CHANGE) }
                details {
                    summary { (words::WHAT_CHANGES) }
                    form.entry data-send={ "/orders/" (order.id) } data-method="PUT" data-match=(seen) data-named=(words::order(order.id.as_str())) data-then="reload" {
                        input type="hidden" name="id" value=(order.id);
                        (form::text(words::FOR, "customer", order.customer.as_deref().unwrap_or(""), false))
                        (form::day(words::WANTED_ON, "due_on", Some(order.due_on), true))
                        (agreed(Some(order)))
                        (form::text(words::NOTE, "note", order.note.as_deref().unwrap_or(""), false))
                        (form::choice(words::IT_IS, "state", &[("open", words::STILL_WANTED), ("withdrawn", words::NOT_WANTED)], "open"))
                        @for (n, line) in order.lines.iter().enumerate() {
                            @let (kind, id) = match &line.item { Item::Set(set) => ("set", set.to_string()), Item::Panel(panel) => ("panel", panel.to_string()) };
                            input type="hidden" name={ "lines." (n) "." (kind) } value=(id);
                            input type="hidden" name={ "lines." (n) ".finish" } value=(line.finish);
                            input type="hidden" name={ "lines." (n) ".quantity" } value=(line.quantity) data-kind="number";
                        }
                        button { (words::KEEP) } output {}
                    }
                }
            }
        }
    }
}
