//! Putting lots together that are alike in everything that matters: one lot for whoever looks for the panels, both histories
//! for whoever traces them.

use crate::checks::lots::word;
use crate::fault::Fault;
use crate::lots::{Lot, Stage};

/// The lot that two or more make together, without a number yet: since the latest day any of them came there, so that no panel
/// of it goes on too early; of their ticket, where they have the same one.
///
/// # Errors
/// Every way in which they are not alike; that one is there twice, has no panels, or is still in its moulds.
pub fn joined(lots: &[&Lot]) -> Result<Lot, Vec<Fault>> {
    let faults: Vec<Fault> = lots.iter().enumerate().flat_map(|(place, lot)| unfit(lots, place, lot)).collect();
    match lots {
        [first, ..] if faults.is_empty() => Ok(Lot {
            since: lots.iter().map(|lot| lot.since).max().unwrap_or(first.since),
            ticket: first.ticket.filter(|ticket| lots.iter().all(|lot| lot.ticket == Some(*ticket))),
            quantity: lots.iter().map(|lot| lot.quantity).sum(),
            ..(*first).clone()
        }),
        _ => Err(faults),
    }
}

/// What keeps one from being put together with those before it.
fn unfit(lots: &[&Lot], place: usize, lot: &Lot) -> Vec<Fault> {
    let pointer = if place == 0 { "/path/id".to_owned() } else { format!("/lots/{}", place - 1) };
    let mut faults = Vec::new();
    let mut say = |what: String| faults.push(Fault::at(pointer.clone(), what));
    if lots[..place].iter().any(|before| before.id == lot.id) {
        say(format!("lot {} is named twice: name each once", lot.id));
    }
    if lot.quantity == 0 {
        say(format!("lot {} has no panels left", lot.id));
    }
    if lot.stage == Stage::InMould {
        say(format!("the panels of lot {} stand in moulds of their own: strip them first", lot.id));
    }
    for (what, theirs, own) in otherwise(lots[0], lot) {
        say(format!(
            "lot {}: its {what} is {own}, and that of lot {} is {theirs}: only lots alike are put together",
            lot.id, lots[0].id
        ));
    }
    faults
}

/// What of two lots is not alike: what, as the first has it, as the other has it.
fn otherwise(first: &Lot, other: &Lot) -> Vec<(&'static str, String, String)> {
    let told = |lot: &Lot| {
        let place =
            [lot.tank.as_ref().map(ToString::to_string), lot.rack.as_ref().map(ToString::to_string), lot.row.clone()];
        let place: Vec<String> = place.into_iter().flatten().collect();
        [
            ("panel", lot.panel.to_string()),
            ("mix revision", lot.revision.to_string()),
            ("finish", lot.finish.to_string()),
            ("day of the pour", lot.poured_on.to_string()),
            ("stage", word(lot.stage).to_owned()),
            ("place", if place.is_empty() { "none".to_owned() } else { place.join(", ") }),
        ]
    };
    let pairs = told(first).into_iter().zip(told(other));
    pairs.filter(|(a, b)| a.1 != b.1).map(|((what, theirs), (_, own))| (what, theirs, own)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{FinishId, LotId, PanelId, RevisionId, TankId, TicketNumber};
    use crate::planning::example::day;

    fn lot(id: i64, quantity: i64, ticket: &str) -> Lot {
        Lot {
            id: LotId::new(id),
            panel: PanelId::parse("bed-side").unwrap(),
            revision: RevisionId::parse("grey@2").unwrap(),
            finish: FinishId::parse("grey-smooth").unwrap(),
            poured_on: day("2026-05-04"),
            ticket: TicketNumber::parse(ticket),
            stage: Stage::Soaking,
            since: day("2026-05-06"),
            quantity,
            tank: TankId::parse("north").ok(),
            rack: None,
            row: None,
        }
    }

    #[test]
    fn lots_alike_make_one_that_goes_on_when_the_last_of_them_may() {
        let one = lot(1, 3, "2026-05-04-01");
        let later = Lot { since: day("2026-05-07"), ..lot(2, 2, "2026-05-04-01") };
        let together = joined(&[&one, &later]).unwrap();
        assert_eq!((together.quantity, together.since, together.ticket), (5, day("2026-05-07"), one.ticket));
        assert_eq!(joined(&[&one, &lot(3, 1, "2026-05-04-02")]).unwrap().ticket, None, "of two tickets it is of none");
    }

    #[test]
    fn everything_that_is_not_alike_is_told() {
        let one = lot(1, 3, "2026-05-04-01");
        let pointers = |other: Lot| {
            let faults = joined(&[&one, &other]).unwrap_err();
            faults.into_iter().map(|f| (f.pointer, f.detail)).collect::<Vec<_>>()
        };
        let said = pointers(Lot { poured_on: day("2026-05-05"), tank: None, ..lot(2, 0, "2026-05-04-01") });
        assert_eq!(said.len(), 3, "{said:?}");
        assert!(said.iter().all(|(pointer, _)| pointer == "/lots/0"), "{said:?}");
        assert!(said[1].1.contains("its day of the pour is 2026-05-05, and that of lot 1 is 2026-05-04"), "{said:?}");
        assert_eq!(pointers(one.clone()).len(), 1, "itself");
        let in_moulds = Lot { stage: Stage::InMould, tank: None, ..lot(1, 3, "2026-05-04-01") };
        let other = Lot { id: LotId::new(2), ..in_moulds.clone() };
        assert_eq!(joined(&[&in_moulds, &other]).unwrap_err().len(), 2);
    }
}
