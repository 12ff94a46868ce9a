//! Panels that two tickets of a day share: begun from one batch, filled up from the next.
//!
//! A batch that ends inside a panel leaves exactly one panel begun; the next ticket of the same mix that finishes panels of
//! that kind finishes this one first. Where a ticket before it is void, the panel was never whole.

use crate::ids::{PanelId, TicketNumber};
use crate::tickets::{Fill, Ticket, TicketState};

/// The tickets, latest first, that were to begin the first panel of this kind that `ticket` finishes; none where it begins
/// that panel itself. `day` holds the day's tickets, in any order.
pub fn begun_by<'a>(ticket: &Ticket, panel: &PanelId, day: &'a [Ticket]) -> Vec<&'a Ticket> {
    if fill_of(ticket, panel).is_none_or(|f| f.finished <= 0) {
        return Vec::new();
    }
    let earlier = |t: &&Ticket| {
        let same_day = t.number.day == ticket.number.day && t.number.sequence < ticket.number.sequence;
        same_day && t.revision == ticket.revision
    };
    let mut before: Vec<&Ticket> = day.iter().filter(earlier).collect();
    before.sort_by_key(|t| std::cmp::Reverse(t.number.sequence));
    let mut chain = Vec::new();
    for earlier in before {
        let Some(fill) = fill_of(earlier, panel).filter(|f| f.begun.get() > 0) else { break };
        chain.push(earlier);
        if fill.finished > 0 {
            break;
        }
    }
    chain
}

/// How many panels of this kind `ticket` makes whole: those it finishes, less the one that a void ticket was to begin.
pub fn whole_panels(ticket: &Ticket, fill: &Fill, day: &[Ticket]) -> i64 {
    let broken = begun_by(ticket, &fill.panel, day).iter().any(|t| t.state == TicketState::Void);
    fill.finished - i64::from(broken)
}

/// The tickets of the day that finish a panel which `ticket` was to begin, each with that panel.
pub fn finished_by<'a>(ticket: &Ticket, day: &'a [Ticket]) -> Vec<(&'a Ticket, PanelId)> {
    let begun = ticket.fills.iter().filter(|f| f.begun.get() > 0);
    begun
        .flat_map(|fill| {
            let finishes = |t: &&Ticket| {
                let begun = begun_by(t, &fill.panel, day);
                begun.iter().any(|b: &&Ticket| b.number == ticket.number)
            };
            day.iter().filter(finishes).map(|t| (t, fill.panel.clone())).collect::<Vec<_>>()
        })
        .collect()
}

/// The same tickets by number, for a sentence.
pub fn named(tickets: &[&Ticket]) -> String {
    let numbers: Vec<TicketNumber> = tickets.iter().map(|t| t.number).collect();
    numbers.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

fn fill_of<'a>(ticket: &'a Ticket, panel: &PanelId) -> Option<&'a Fill> {
    ticket.fills.iter().find(|f| &f.panel == panel)
}
