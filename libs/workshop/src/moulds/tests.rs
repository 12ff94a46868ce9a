//! Moulds of one group of four.

use chrono::DateTime;
use quantities::{Grams, Millilitres, Minutes};

use super::*;
use crate::catalogue::OutOfService;
use crate::ids::RunId;
use crate::tickets::{Fill, TicketState};

fn day(of_may: u32) -> Day {
    Day::from_ymd_opt(2026, 5, of_may).unwrap()
}

fn group(out: Vec<OutOfService>) -> MouldGroup {
    MouldGroup {
        id: MouldGroupId::parse("sides").unwrap(),
        name: "Sides".into(),
        moulds: 4,
        turnaround_days: 0,
        life_uses: Some(10),
        out_of_service: out,
    }
}

fn out(from: u32, to: u32, moulds: i64, which: &[i64]) -> OutOfService {
    OutOfService { from: day(from), to: day(to), moulds, which: which.to_vec(), reason: "a crack".into() }
}

fn used(number: i64, of_may: u32, state: UseState) -> MouldUse {
    MouldUse {
        group: MouldGroupId::parse("sides").unwrap(),
        number,
        day: day(of_may),
        ticket: TicketNumber { day: day(of_may), sequence: 1 },
        begun_by: None,
        panel: PanelId::parse("side").unwrap(),
        lot: None,
        state,
    }
}

/// A ticket of one panel kind: how many it finishes, whether it begins one more.
fn ticket(sequence: u32, finished: i64, begins: bool) -> Ticket {
    Ticket {
        number: TicketNumber { day: day(11), sequence },
        run: RunId::new(1),
        revision: RevisionId::parse("grey@1").unwrap(),
        batch: Millilitres::new(20_000),
        washout: Millilitres::ZERO,
        lines: vec![],
        foam: Millilitres::ZERO,
        foam_mass: Grams::ZERO,
        wet_density_kg_m3: 800.0,
        wet_density_low_kg_m3: 760.0,
        wet_density_high_kg_m3: 840.0,
        fills: vec![Fill {
            panel: PanelId::parse("side").unwrap(),
            mould_group: MouldGroupId::parse("sides").unwrap(),
            finished,
            begun: Millilitres::new(if begins { 3_000 } else { 0 }),
            volume: Millilitres::new(20_000),
            moulds: vec![],
        }],
        labour: Minutes::new(30),
        cautions: vec![],
        state: TicketState::Issued,
        issued_at: DateTime::UNIX_EPOCH,
        closed_at: None,
        measured_wet_density_kg_m3: None,
        note: None,
        mixing: Default::default(),
    }
}

fn given(shelf: &Shelf, tickets: &mut [Ticket]) -> Vec<Vec<i64>> {
    give(std::slice::from_ref(shelf), tickets, day(11));
    tickets.iter().map(|t| t.fills[0].moulds.clone()).collect()
}

#[test]
fn the_mould_unused_for_the_longest_comes_first_and_a_taken_one_never() {
    let uses = [
        used(1, 8, UseState::Over),
        used(2, 6, UseState::Over),
        used(3, 7, UseState::Filled),
        used(4, 9, UseState::NotUsed),
    ];
    let shelf = Shelf::of(group(vec![]), &uses, 1);
    assert_eq!(shelf.empty_on(day(11)), [4, 2, 1]);
    assert_eq!(shelf.worn[&4].uses, 0, "what came to nothing is no use");
}

#[test]
fn one_out_of_service_is_not_given_and_one_that_soon_will_be_is_given_last() {
    let shelf = Shelf::of(group(vec![out(10, 12, 1, &[1]), out(14, 20, 1, &[2])]), &[], 0);
    assert_eq!(shelf.empty_on(day(11)), [3, 4, 2]);
    let unnamed = Shelf::of(group(vec![out(10, 12, 2, &[])]), &[], 0);
    assert_eq!(unnamed.empty_on(day(11)), [1, 2], "where nobody says which, the highest are out");
}

#[test]
fn panels_nobody_named_a_mould_for_stand_somewhere() {
    let shelf = Shelf::of(group(vec![]), &[used(1, 7, UseState::Filled)], 3);
    assert_eq!(shelf.unknown, 2);
    assert_eq!(shelf.empty_on(day(11)), [2]);
}

#[test]
fn a_panel_of_two_batches_keeps_its_mould() {
    let shelf = Shelf::of(group(vec![]), &[], 0);
    let mut day_of = [ticket(1, 1, true), ticket(2, 2, false)];
    assert_eq!(given(&shelf, &mut day_of), [vec![1, 2], vec![2, 3]]);
    let mut of_three = [ticket(1, 0, true), ticket(2, 0, true), ticket(3, 1, false)];
    assert_eq!(given(&shelf, &mut of_three), [vec![1], vec![1], vec![1]]);
}

#[test]
fn too_few_moulds_and_worn_ones_are_said_on_the_ticket() {
    let shelf = Shelf::of(group(vec![]), &[], 0);
    let mut many = [ticket(1, 5, false)];
    assert_eq!(given(&shelf, &mut many), [vec![1, 2, 3, 4]]);
    assert!(many[0].cautions[0].contains("for 1 side no mould of sides"), "{:?}", many[0].cautions);
    let nine: Vec<MouldUse> = (1..=9).map(|d| used(1, d, UseState::Over)).collect();
    let worn = Shelf::of(MouldGroup { moulds: 1, ..group(vec![]) }, &nine, 0);
    let mut one = [ticket(1, 1, false)];
    given(&worn, &mut one);
    assert_eq!(one[0].cautions, ["mould sides 1 has been used 9 of 10 times: look it over"]);
}

#[test]
fn what_is_stripped_today_may_be_poured_again_and_is_taken_last() {
    let mut filled = [used(1, 6, UseState::Filled), used(2, 7, UseState::Filled)];
    filled.iter_mut().for_each(|one| one.lot = Some(LotId::new(9)));
    let lot = Lot {
        id: LotId::new(9),
        panel: PanelId::parse("side").unwrap(),
        revision: RevisionId::parse("grey@1").unwrap(),
        finish: crate::ids::FinishId::parse("grey").unwrap(),
        poured_on: day(6),
        ticket: None,
        stage: crate::lots::Stage::InMould,
        since: day(6),
        quantity: 2,
        tank: None,
        rack: None,
        row: None,
    };
    let plan = Plan {
        strips: vec![crate::documents::plan::Strip {
            day: day(11),
            panel: "side".into(),
            mix: "grey@1".into(),
            quantity: 1,
            tank: None,
        }],
        ..Plan::default()
    };
    let panel = crate::planning::example::snapshot().panels.remove(0);
    let panels =
        [Panel { id: PanelId::parse("side").unwrap(), mould_group: MouldGroupId::parse("sides").unwrap(), ..panel }];
    for (turnaround_days, expected) in [(0, vec![3, 4, 1]), (1, vec![3, 4])] {
        let group = MouldGroup { turnaround_days, ..group(vec![]) };
        let mut shelves = [Shelf::of(group, &filled, 2)];
        expect_strips(&mut shelves, &filled, std::slice::from_ref(&lot), &panels, &plan, day(11));
        assert_eq!(shelves[0].empty_on(day(11)), expected, "turnaround {turnaround_days}");
    }
    // Mould 1 was given to a ticket of the 8th, before which its panel was to be stripped; neither was done.
    let uses: Vec<MouldUse> = filled.iter().cloned().chain([used(1, 8, UseState::Given)]).collect();
    let mut shelves = [Shelf::of(group(vec![]), &uses, 2)];
    expect_strips(&mut shelves, &uses, std::slice::from_ref(&lot), &panels, &plan, day(11));
    assert_eq!(shelves[0].empty_on(day(11)), [3, 4], "it stays that ticket's");
}
