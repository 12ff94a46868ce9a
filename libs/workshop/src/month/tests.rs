//! A month of a small workshop from Monday 4 May 2026: six moulds, 1,800 mm of tank, 3,000 mm of rack.

use super::*;
use crate::documents::plan;
use crate::planning::example::{day, snapshot};
use crate::planning::facts_from;

const FIRST: &str = "2026-05-04";

fn facts() -> Facts {
    let mut facts = facts_from(&snapshot(), day(FIRST), false).unwrap();
    let lot = |stage, since: &str, quantity| facts::Lot {
        panel: "bed-side".into(),
        mix: "grey@2".into(),
        stage,
        since: day(since),
        quantity,
        tank: Some("north".into()),
        soaked_on: None,
        rack: Some("long".into()),
    };
    facts.lots = vec![
        lot(facts::Stage::InMould, "2026-05-01", 2),
        lot(facts::Stage::Soaking, "2026-04-29", 3),
        lot(facts::Stage::Drying, "2026-04-29", 4),
    ];
    facts
}

fn strip(on: &str, quantity: i64) -> plan::Strip {
    plan::Strip { day: day(on), panel: "bed-side".into(), mix: "grey@2".into(), quantity, tank: Some("north".into()) }
}

fn lift(on: &str, quantity: i64) -> plan::Lift {
    let plan::Strip { day, panel, mix, quantity, .. } = strip(on, quantity);
    plan::Lift { day, panel, mix, quantity, tank: None, rack: Some("long".into()) }
}

/// Two panels are in moulds already; five are poured on Monday, stripped in two goes, lifted in two.
fn month() -> Plan {
    Plan {
        pours: vec![plan::Pour { day: day(FIRST), panel: "bed-side".into(), mix: "grey@2".into(), quantity: 4 }],
        strips: vec![strip(FIRST, 2), strip("2026-05-06", 1), strip("2026-05-07", 3)],
        lifts: vec![lift(FIRST, 3), lift("2026-05-11", 3), lift("2026-05-13", 2)],
        batches: vec![plan::Batches { day: day(FIRST), mix: "grey@2".into(), litres: vec![20.0, 22.0] }],
        ..Plan::default()
    }
}

#[test]
fn levels_follow_pours_strips_lifts_and_what_leaves_the_rack() {
    let (facts, plan) = (facts(), month());
    let levels = levels(&facts, &plan);
    assert_eq!(levels.len() as i64, (facts.last_day - facts.first_day).num_days() + 1);
    let on = |text: &str| *levels.iter().find(|l| l.day == day(text)).unwrap();
    let (tank_mm, rack_mm) = (facts.panels[0].tank_mm, facts.panels[0].rack_mm);
    let first = on(FIRST);
    assert_eq!(first.moulds, Level { used: 4.0, of: 6.0 }, "two out, four in");
    assert_eq!(first.tanks, Level { used: 2.0 * tank_mm, of: 1800.0 }, "three lifted, two stripped");
    assert_eq!(first.racks, Level { used: 7.0 * rack_mm, of: 3000.0 });
    // 4 pours of 4, 2 strips of 5, 3 lifts of 3, two batches of 20 and a washout of 15 minutes.
    assert_eq!(first.labour, Level { used: 16.0 + 10.0 + 9.0 + 40.0 + 15.0, of: 480.0 });
    assert_eq!(on("2026-05-06").racks.used, 3.0 * rack_mm, "four have dried for seven days");
    let saturday = on("2026-05-09");
    assert_eq!((saturday.moulds.used, saturday.tanks.used), (0.0, 6.0 * tank_mm));
    assert_eq!(saturday.labour, Level::default());
    assert_eq!(on("2026-05-11").racks.used, 3.0 * rack_mm, "three come, the first three leave");
}

#[test]
fn panels_of_a_pour_are_followed_behind_those_that_were_there_before() {
    let way = |stripped: &str, lifted: Option<&str>, ready: Option<&str>, quantity| Way {
        poured: day(FIRST),
        panel: "bed-side".into(),
        mix: "grey@2".into(),
        stripped: Some(day(stripped)),
        lifted: lifted.map(day),
        ready: ready.map(day),
        quantity,
    };
    // The two from before are stripped on Monday and are the first two of the three lifted on the 11th.
    let expected = [
        way("2026-05-06", Some("2026-05-11"), Some("2026-05-18"), 1),
        way("2026-05-07", None, None, 1),
        way("2026-05-07", Some("2026-05-13"), Some("2026-05-20"), 2),
    ];
    assert_eq!(ways(&facts(), &month()), expected);
}

#[test]
fn every_panel_poured_is_on_exactly_one_way() {
    let plan = month();
    for cut in 0..=plan.strips.len() {
        let plan = Plan { strips: plan.strips[..cut].to_vec(), ..plan.clone() };
        let followed: i64 = ways(&facts(), &plan).iter().map(|w| w.quantity).sum();
        assert_eq!(followed, 4, "with {cut} strips");
    }
}

#[test]
fn a_share_is_never_outside_nothing_and_all() {
    let share = |used, of| Level { used, of }.share();
    assert_eq!((share(3.0, 6.0), share(9.0, 6.0), share(1.0, 0.0), share(-1.0, 2.0)), (0.5, 1.0, 0.0, 0.0));
}
