//! Faults of lots, their moves, and pinned pours.

use chrono::NaiveDate as Day;

use super::found::Found;
use crate::Fault;
use crate::lots::{Lot, LotMove, NewLot, Pin, Stage};

/// Most panels of one lot or pour.
pub const PANELS_MOST: i64 = 10_000;

/// Every fault of a lot that is recorded as being there.
pub fn lot_faults(lot: &NewLot, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.whole("/quantity", lot.quantity, 1..=PANELS_MOST);
    found.day("/poured_on", lot.poured_on);
    found.day("/since", lot.since);
    found.ensure(lot.poured_on <= lot.since, "/since", || {
        format!("{} is before the pour of {}: give that day or a later one", lot.since, lot.poured_on)
    });
    found.ensure(lot.since <= today, "/since", || format!("{} has not come yet: today is {today}", lot.since));
    place(lot.stage, lot.tank.is_some(), lot.rack.is_some(), &mut found);
    found.all()
}

/// Every fault of a move, given the lot it takes panels from.
pub fn move_faults(step: &LotMove, lot: &Lot, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.whole("/quantity", step.quantity, 1..=lot.quantity.max(1));
    found.ensure(lot.quantity > 0, "/quantity", || "the lot has no panels left".to_owned());
    let next = after(lot.stage);
    found.ensure(next == Some(step.to), "/to", || match next {
        Some(next) => format!("panels that are {} go on to {} only", word(lot.stage), word(next)),
        None => "panels that are ready go nowhere but to a customer: dispatch them".to_owned(),
    });
    found.day("/day", step.day);
    found.ensure(step.day >= lot.since, "/day", || {
        format!("{} is before {}, the day they came there", step.day, lot.since)
    });
    found.ensure(step.day <= today, "/day", || format!("{} has not come yet: today is {today}", step.day));
    place(step.to, step.tank.is_some(), step.rack.is_some(), &mut found);
    found.all()
}

/// Every fault of the row that panels are put into: `rows` are those of the tank or rack they go to, none where they go to
/// neither.
pub fn row_faults(row: Option<&str>, rows: Option<&[String]>) -> Vec<Fault> {
    let mut found = Found::new();
    match (row, rows) {
        (None, _) => {}
        (Some(_), None) => found.add("/row", "is given, but only tanks and racks have rows: leave it out"),
        (Some(row), Some(rows)) => {
            let known = if rows.is_empty() { "it has none".to_owned() } else { format!("it has {}", rows.join(", ")) };
            found.ensure(rows.iter().any(|r| r == row), "/row", || format!("'{row}' is no row there: {known}"));
        }
    }
    found.all()
}

/// Every fault of panels going out of a lot to a customer.
pub fn dispatch_faults(lot: &Lot, quantity: i64, day: Day, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.ensure(lot.stage == Stage::Ready, "", || format!("the lot is {}: only ready panels go out", word(lot.stage)));
    found.whole("/quantity", quantity, 1..=lot.quantity.max(1));
    found.day("/day", day);
    found.ensure(day >= lot.since, "/day", || format!("{day} is before {}, the day they were ready", lot.since));
    found.ensure(day <= today, "/day", || format!("{day} has not come yet: today is {today}"));
    found.all()
}

/// Every fault of panels scrapped out of a lot.
pub fn scrap_faults(lot: &Lot, quantity: i64, day: Day, note: Option<&str>, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.whole("/quantity", quantity, 1..=lot.quantity.max(1));
    found.ensure(lot.quantity > 0, "/quantity", || "the lot has no panels left".to_owned());
    found.day("/day", day);
    found.ensure(day >= lot.since, "/day", || format!("{day} is before {}, the day they came there", lot.since));
    found.ensure(day <= today, "/day", || format!("{day} has not come yet: today is {today}"));
    found.note("/note", note);
    found.all()
}

/// Every fault of a pinned pour.
pub fn pin_faults(pin: &Pin, today: Day) -> Vec<Fault> {
    let mut found = Found::new();
    found.whole("/quantity", pin.quantity, 1..=PANELS_MOST);
    found.day("/day", pin.day);
    found.ensure(pin.day >= today, "/day", || format!("{} is past: today is {today}", pin.day));
    found.ensure(!pin.reason.trim().is_empty(), "/reason", || "is empty: say why this pour is pinned".to_owned());
    found.note("/reason", Some(&pin.reason));
    found.all()
}

/// The stage after a stage.
pub fn after(stage: Stage) -> Option<Stage> {
    match stage {
        Stage::InMould => Some(Stage::Soaking),
        Stage::Soaking => Some(Stage::Drying),
        Stage::Drying => Some(Stage::Ready),
        Stage::Ready => None,
    }
}

fn place(stage: Stage, tank: bool, rack: bool, found: &mut Found) {
    let (soaks, dries) = (stage == Stage::Soaking, stage == Stage::Drying);
    found.ensure(tank == soaks, "/tank", || match soaks {
        true => "is missing: say in which tank they soak".to_owned(),
        false => "is given, but only soaking panels are in a tank: leave it out".to_owned(),
    });
    found.ensure(rack == dries, "/rack", || match dries {
        true => "is missing: say on which rack they dry".to_owned(),
        false => "is given, but only drying panels are on a rack: leave it out".to_owned(),
    });
}

pub(crate) fn word(stage: Stage) -> &'static str {
    match stage {
        Stage::InMould => "in their moulds",
        Stage::Soaking => "soaking",
        Stage::Drying => "drying",
        Stage::Ready => "ready",
    }
}
