//! What went otherwise than the plan has it, in the words of a reason to plan again. Pure: whoever has read the records asks.

use chrono::NaiveDate as Day;

use crate::catalogue::{Amount, Material};
use crate::completion::Mixed;
use crate::documents::Plan;
use crate::ids::{PanelId, RevisionId};
use crate::lots::{LotMove, Stage};
use crate::planning::WorkCalendar;
use crate::planning::tasks::{Task, lifts, strips};
use crate::projection::{Outlook, project};

/// A move, with its panel and mix revision.
pub type Moved = (LotMove, PanelId, RevisionId);

/// That strips or lifts of a day that is over were not recorded as done; nothing where all were.
pub fn undone(plan: &Plan, day: Day, moves: &[Moved]) -> Option<String> {
    let left = |tasks: Vec<Task>| tasks.iter().map(Task::left).sum::<i64>();
    let (strips, lifts) = (left(strips(plan, day, moves)), left(lifts(plan, day, moves)));
    let said = |panels: i64, how: &str| match panels {
        ..=0 => None,
        1 => Some(format!("1 panel was not {how}")),
        _ => Some(format!("{panels} panels were not {how}")),
    };
    let said: Vec<String> = said(strips, "stripped").into_iter().chain(said(lifts, "lifted")).collect();
    (!said.is_empty()).then(|| format!("{} on {day} as planned", said.join(" and ")))
}

/// That a strip or lift just recorded is of a day that is over, or more than the plan has on its day. `moves` are all of its
/// day, itself among them.
pub fn unplanned(plan: &Plan, today: Day, moved: &Moved, moves: &[Moved]) -> Option<String> {
    let (step, panel, revision) = moved;
    let (tasks, how) = match step.to {
        Stage::Soaking => (strips(plan, step.day, &[]), "stripped"),
        Stage::Drying => (lifts(plan, step.day, &[]), "lifted"),
        Stage::InMould | Stage::Ready => return None,
    };
    if step.day < today {
        return Some(format!("{} {panel} were {how} on {}, which was said on {today}", step.quantity, step.day));
    }
    let of_both = |p: &PanelId, r: &RevisionId| p == panel && r == revision;
    let planned: i64 = tasks.iter().filter(|t| of_both(&t.panel, &t.revision)).map(|t| t.quantity).sum();
    let done = moves.iter().filter(|(m, p, r)| m.to == step.to && m.day == step.day && of_both(p, r));
    let done: i64 = done.map(|(m, ..)| m.quantity).sum();
    (done > planned).then(|| format!("{done} {panel} were {how} on {}, where {planned} were planned", step.day))
}

/// That a ticket that was mixed finished fewer panels than it was to.
pub fn fewer_poured(mixed: &Mixed) -> Option<String> {
    let planned: i64 = mixed.ticket.fills.iter().map(|fill| fill.finished).sum();
    let poured: i64 = mixed.lots.iter().map(|lot| lot.quantity).sum();
    (poured < planned)
        .then(|| format!("ticket {} finished {poured} panels, where {planned} were planned", mixed.ticket.number))
}

/// The first day on which a material is short, though everything is ordered as planned, because `more` of it was drawn than
/// planned; none where there is none, or it was short without that.
pub fn falls_short(
    material: &Material,
    outlook: &Outlook,
    more: Amount,
    calendar: &WorkCalendar,
    today: Day,
    last_day: Day,
) -> Option<Day> {
    let short = |outlook: &Outlook| {
        let days = project(material, outlook, calendar, today, last_day).days;
        days.iter().find(|d| d.used > Amount::ZERO && d.on_hand < material.floor).map(|d| d.day)
    };
    let as_planned = Outlook { on_hand: outlook.on_hand + more, ..outlook.clone() };
    short(outlook).filter(|_| short(&as_planned).is_none())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::documents::plan;
    use crate::ids::LotId;
    use crate::planning::example::{day, snapshot};
    use crate::said::Said;

    const MONDAY: &str = "2026-05-04";

    fn planned() -> Plan {
        let (on, panel, mix) = (day(MONDAY), "bed-side".to_owned(), "grey@2".to_owned());
        let tank = Some("north".to_owned());
        Plan {
            strips: vec![plan::Strip {
                day: on,
                panel: panel.clone(),
                mix: mix.clone(),
                quantity: 3,
                tank: tank.clone(),
            }],
            lifts: vec![plan::Lift { day: on, panel, mix, quantity: 2, tank, rack: Some("long".into()) }],
            ..Plan::default()
        }
    }

    fn moved(panel: &str, on: &str, to: Stage, quantity: i64) -> Moved {
        let (from, day) = (LotId::new(1), day(on));
        let step = LotMove { from, day, to, quantity, tank: None, rack: None, row: None, said: Said::default() };
        (step, PanelId::parse(panel).unwrap(), RevisionId::parse("grey@2").unwrap())
    }

    #[test]
    fn what_was_not_done_by_the_days_end_is_told() {
        let told = |moves: &[Moved]| undone(&planned(), day(MONDAY), moves);
        let strips = moved("bed-side", MONDAY, Stage::Soaking, 3);
        let lifts = moved("bed-side", MONDAY, Stage::Drying, 1);
        let all = "3 panels were not stripped and 2 panels were not lifted on 2026-05-04 as planned";
        assert_eq!(told(&[]).as_deref(), Some(all));
        assert_eq!(told(&[strips.clone(), lifts]).as_deref(), Some("1 panel was not lifted on 2026-05-04 as planned"));
        assert_eq!(told(&[strips, moved("bed-side", MONDAY, Stage::Drying, 2)]), None);
        assert_eq!(undone(&planned(), day("2026-05-05"), &[]), None);
    }

    #[test]
    fn moves_matter_beyond_the_plan_of_their_day_and_on_days_that_are_over() {
        let told = |today: &str, moves: &[Moved]| unplanned(&planned(), day(today), moves.last().unwrap(), moves);
        let strip = |quantity| moved("bed-side", MONDAY, Stage::Soaking, quantity);
        assert_eq!(told(MONDAY, &[strip(3)]), None);
        assert_eq!(told(MONDAY, &[moved("bed-side", MONDAY, Stage::Drying, 2), strip(1), strip(2)]), None);
        let more = told(MONDAY, &[strip(3), strip(1)]);
        assert_eq!(more.as_deref(), Some("4 bed-side were stripped on 2026-05-04, where 3 were planned"));
        let other = told(MONDAY, &[moved("bed-end", MONDAY, Stage::Drying, 1)]);
        assert_eq!(other.as_deref(), Some("1 bed-end were lifted on 2026-05-04, where 0 were planned"));
        let late = told("2026-05-05", &[strip(3)]);
        assert_eq!(late.as_deref(), Some("3 bed-side were stripped on 2026-05-04, which was said on 2026-05-05"));
        assert_eq!(told("2026-05-05", &[moved("bed-side", MONDAY, Stage::Ready, 9)]), None);
    }

    #[test]
    fn more_drawn_than_planned_matters_where_it_makes_a_later_day_short() {
        let s = snapshot();
        let (cement, calendar) = (&s.materials[0], s.work_calendar());
        // 31,000 g were there; 30,000 g are wanted on the 12th, and the floor is 1,000 g.
        let told = |on_hand: i64, more: i64| {
            let used = BTreeMap::from([(day("2026-05-12"), Amount::new(30_000))]);
            let outlook = Outlook { on_hand: Amount::new(on_hand), used, ..Outlook::default() };
            falls_short(cement, &outlook, Amount::new(more), &calendar, day(MONDAY), day("2026-05-29"))
        };
        assert_eq!(told(31_000, 500), None, "there was more than enough");
        assert_eq!(told(30_999, 1), Some(day("2026-05-12")));
        assert_eq!(told(29_000, 1_000), None, "it was short anyway");
    }
}
