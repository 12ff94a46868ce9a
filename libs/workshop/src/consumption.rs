//! Planned use against actual use, by mix and month: what tickets said, and what went in.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate as Day};

use crate::catalogue::Amount;
use crate::ids::{MaterialId, MixId};
use crate::tickets::{Ticket, TicketState};

/// What the mixed tickets of a mix used of a material in a month.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Used {
    /// The first day of the month.
    pub month: Day,
    /// The mix, all its revisions together.
    pub mix: MixId,
    /// The material.
    pub material: MaterialId,
    /// Tickets mixed of it.
    pub tickets: i64,
    /// What they asked for, in the material's own unit.
    pub planned: Amount,
    /// What went in.
    pub actual: Amount,
}

impl Used {
    /// How much more went in than was asked for, per cent of that; none where nothing was asked for.
    pub fn over_percent(&self) -> Option<f64> {
        let planned = self.planned.get();
        (planned != 0).then(|| (self.actual - self.planned).get() as f64 * 100.0 / planned as f64)
    }
}

/// Adds up mixed tickets, by month, mix and material. Only what is drawn from stock is counted.
pub fn used(tickets: &[Ticket]) -> Vec<Used> {
    let mut sums: BTreeMap<(Day, MixId, MaterialId), Used> = BTreeMap::new();
    for ticket in tickets.iter().filter(|t| t.state == TicketState::Mixed) {
        let month = ticket.number.day.with_day(1).unwrap_or(ticket.number.day);
        let mut of_ticket: BTreeMap<&MaterialId, (Amount, Amount)> = BTreeMap::new();
        for line in ticket.lines.iter().filter(|l| l.counted) {
            let (planned, actual) = of_ticket.entry(&line.material).or_default();
            *planned = *planned + line.target;
            *actual = *actual + line.actual.unwrap_or(line.target);
        }
        for (material, (planned, actual)) in of_ticket {
            let mix = ticket.revision.mix.clone();
            let sum = sums.entry((month, mix.clone(), material.clone())).or_insert_with(|| Used {
                month,
                mix,
                material: material.clone(),
                tickets: 0,
                planned: Amount::ZERO,
                actual: Amount::ZERO,
            });
            sum.tickets += 1;
            sum.planned = sum.planned + planned;
            sum.actual = sum.actual + actual;
        }
    }
    sums.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planning::example::ticket;

    #[test]
    fn mixed_tickets_are_added_up_by_month_mix_and_material() {
        let cement = MaterialId::parse("cement").unwrap();
        let mixed = |on: &str, target, actual| {
            let mut ticket = ticket(on, &[(&cement, target)]);
            ticket.state = TicketState::Mixed;
            ticket.lines[0].actual = Some(Amount::new(actual));
            ticket
        };
        let mut tickets =
            vec![mixed("2026-05-04", 100, 110), mixed("2026-05-29", 100, 100), mixed("2026-06-01", 50, 40)];
        tickets.push(ticket("2026-05-05", &[(&cement, 999)]));
        let found = used(&tickets);
        let seen: Vec<_> =
            found.iter().map(|u| (u.month.month(), u.tickets, u.planned.get(), u.actual.get())).collect();
        assert_eq!(seen, [(5, 2, 200, 210), (6, 1, 50, 40)], "what is only issued is not used yet");
        assert_eq!((found[0].over_percent(), found[1].over_percent()), (Some(5.0), Some(-20.0)));
    }
}
