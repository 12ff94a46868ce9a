//! Orders out of a file: a row for each line of an order. Its reference and the line's number say which line it is.

use std::collections::{BTreeMap, BTreeSet};

use workshop::checks;
use workshop::ids::{FinishId, OrderId, PanelId, SetId};
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};

use super::draft::{Draft, Thing};
use super::fault::CellFault;
use super::form::{Column, Form, Kind};
use super::grid::{Grid, GridRow};
use super::row::Cells;
use crate::words;

/// What is read; the columns of [`crate::orders`].
pub static FORM: Form = Form {
    name: "orders",
    columns: &[
        Column::whole("order", Kind::Id),
        Column::whole("customer", Kind::Text),
        Column::whole("due_on", Kind::Day),
        Column::whole("promised_on", Kind::Day),
        Column::whole("priority", Kind::Text),
        Column::whole("state", Kind::Text),
        Column::part("set", Kind::Id),
        Column::part("panel", Kind::Id),
        Column::part("finish", Kind::Id),
        Column::part("quantity", Kind::Number),
        Column::whole("note", Kind::Text),
        Column::part("line", Kind::Number),
        Column::whole("parts_agreed", Kind::Text),
    ],
    needed: &["order"],
};

/// Columns that say what is wanted.
const OF_LINES: [&str; 4] = ["set", "panel", "finish", "quantity"];

const POINTERS: [(&str, &str); 11] = [
    ("/id", "order"),
    ("/customer", "customer"),
    ("/due_on", "due_on"),
    ("/promised_on", "promised_on"),
    ("/note", "note"),
    ("/state", "state"),
    ("/lines", "order"),
    ("/lines/*/set", "set"),
    ("/lines/*/panel", "panel"),
    ("/lines/*/finish", "finish"),
    ("/lines/*/quantity", "quantity"),
];

const PRIORITIES: [(&str, Priority); 3] = [
    (words::priority(Priority::Low), Priority::Low),
    (words::priority(Priority::Usual), Priority::Usual),
    (words::priority(Priority::High), Priority::High),
];
const YES: [(&str, bool); 2] = [(words::yes(true), true), (words::yes(false), false)];
const STATES: [(&str, OrderState); 3] = [
    (words::order_state(OrderState::Open), OrderState::Open),
    (words::order_state(OrderState::Dispatched), OrderState::Dispatched),
    (words::order_state(OrderState::Withdrawn), OrderState::Withdrawn),
];

/// All orders that could be read, in the order of their first rows, and every fault. What the file has no column for is taken
/// from those that are `there`.
pub fn drafts(grid: &Grid, there: &BTreeMap<OrderId, Order>) -> (Vec<Draft<Order>>, Vec<CellFault>) {
    let mut faults = Vec::new();
    let things = grid.things(&mut faults);
    let mut drafts = Vec::with_capacity(things.len());
    for thing in &things {
        let before = faults.len();
        let mut cells = Cells { grid, row: thing.head(), noun: "order", faults: &mut faults };
        let Some(draft) = draft(&mut cells, thing, there) else { continue };
        // Of an order with a cell that could not be read, whatever else is found would be its consequence.
        if faults.len() == before && thing.is_read() {
            faults.extend(checks::order::faults(&draft.value).iter().map(|found| draft.fault(grid, found)));
            drafts.push(draft);
        }
    }
    (drafts, faults)
}

fn draft(cells: &mut Cells<'_>, thing: &Thing<'_>, there: &BTreeMap<OrderId, Order>) -> Option<Draft<Order>> {
    let id = OrderId::parse(thing.id).map_err(|fault| cells.wrong("order", fault.to_string())).ok()?;
    let there = there.get(&id);
    let customer = cells.perhaps("customer", Cells::text, there.and_then(|o| o.customer.clone()));
    let due_on = cells.needed("due_on", Cells::day, there.map(|o| o.due_on));
    let promised_on = cells.perhaps("promised_on", Cells::day, there.and_then(|o| o.promised_on));
    let priority = |cells: &mut Cells<'_>, column: &str| cells.word(column, &PRIORITIES);
    let priority = cells.usually("priority", priority, there.map(|o| o.priority), Priority::Usual);
    let state = |cells: &mut Cells<'_>, column: &str| cells.word(column, &STATES);
    let state = cells.usually("state", state, there.map(|o| o.state), OrderState::Open);
    let note = cells.perhaps("note", Cells::text, there.and_then(|o| o.note.clone()));
    let yes = |cells: &mut Cells<'_>, column: &str| cells.word(column, &YES);
    let parts_agreed = cells.usually("parts_agreed", yes, there.map(|o| o.parts_agreed), false)?;
    let lines = match there {
        Some(there) if !OF_LINES.iter().any(|column| cells.grid.has(column)) => {
            there.lines.iter().map(|line| (thing.head().line, line.clone())).collect()
        }
        _ => lines(cells, &thing.rows),
    };
    let (at, lines) = lines.into_iter().unzip();
    let (due_on, priority, state) = (due_on?, priority?, state?);
    let value = Order { id, customer, due_on, promised_on, priority, state, lines, note, parts_agreed };
    Some(Draft { value, line: thing.head().line, lists: vec![("lines", at)], columns: &POINTERS })
}

/// The lines of an order, by their numbers where they have any.
fn lines(cells: &mut Cells<'_>, rows: &[&GridRow]) -> Vec<(u64, OrderLine)> {
    let mut rows: Vec<(Option<i64>, &GridRow)> = rows.iter().map(|row| (cells.on(row).whole("line"), *row)).collect();
    if rows.iter().any(|(number, _)| number.is_some()) {
        for (_, row) in rows.iter().filter(|(number, _)| number.is_none()) {
            if cells.on(row).is_blank("line") {
                cells.on(row).wrong("line", "is missing: number all lines of an order, or none");
            }
        }
        rows.sort_by_key(|(number, _)| *number);
        for pair in rows.windows(2).filter(|pair| pair[0].0.is_some() && pair[0].0 == pair[1].0) {
            let detail = format!("is on line {} of the file too: number each line of an order once", pair[0].1.line);
            cells.on(pair[1].1).wrong("line", detail);
        }
        // An order is given whole: a line that the file leaves out would be taken from it without a word.
        let numbers: BTreeSet<i64> = rows.iter().filter_map(|(number, _)| *number).collect();
        let missing = (1_i64..).find(|number| !numbers.contains(number)).unwrap_or_default();
        if let Some((_, row)) = rows.iter().find(|(number, _)| number.is_some_and(|number| number > missing)) {
            let detail = format!("stands in an order without a line {missing}: give all its lines, numbered from 1");
            cells.on(row).wrong("line", detail);
        }
    }
    rows.into_iter().filter_map(|(_, row)| Some((row.line, line(&mut cells.on(row))?))).collect()
}

fn line(cells: &mut Cells<'_>) -> Option<OrderLine> {
    let item = match (cells.is_blank("set"), cells.is_blank("panel")) {
        (false, true) => cells.id("set", SetId::parse).map(Item::Set),
        (true, false) => cells.id("panel", PanelId::parse).map(Item::Panel),
        (false, false) => {
            cells.wrong("panel", "is given beside a set: name one of the two");
            None
        }
        (true, true) => {
            cells.wrong("set", "is missing: name a set or a panel");
            None
        }
    };
    let finish = cells.given("finish", |cells, column| cells.id(column, FinishId::parse));
    let quantity = cells.given("quantity", Cells::whole);
    Some(OrderLine { item: item?, finish: finish?, quantity: quantity? })
}

#[cfg(test)]
mod tests {
    use super::super::sheet;
    use super::super::{Format, Way};
    use super::*;
    use crate::table::Style;

    fn read(text: &str, there: &[Order]) -> (Vec<Draft<Order>>, Vec<CellFault>) {
        let way = Way::default();
        let sheet = sheet::read(text.as_bytes(), Format::Csv, &way, "orders").unwrap();
        let (grid, mut faults) = Grid::read(&sheet, &FORM, &way).unwrap();
        let there = there.iter().map(|order| (order.id.clone(), order.clone())).collect();
        let (drafts, more) = drafts(&grid, &there);
        faults.extend(more);
        (drafts, super::super::fault::in_order(faults))
    }

    fn orders(text: &str, there: &[Order]) -> Vec<Order> {
        let (drafts, faults) = read(text, there);
        assert_eq!(faults, []);
        drafts.into_iter().map(|draft| draft.value).collect()
    }

    const HEADER: &str = "order,customer,due_on,promised_on,priority,state,set,panel,finish,quantity,note\n";

    fn some() -> String {
        format!(
            "{HEADER}TH-1,Wren Lane,2026-06-01,,high,open,bed-900x600,,grey-smooth,2,'=note\n\
             TH-1,Wren Lane,2026-06-01,,high,open,,edging-600,grey-smooth,10,'=note\n\
             1042,,2026-06-02,2026-06-05,,,,edging-600,grey-smooth,1,\n"
        )
    }

    #[test]
    fn the_form_has_the_columns_of_the_export() {
        let names: Vec<&str> = FORM.columns.iter().map(|column| column.name).collect();
        assert_eq!(names, crate::orders::COLUMNS);
    }

    #[test]
    fn what_goes_out_comes_back() {
        let first = orders(&some(), &[]);
        assert_eq!(first.iter().map(|o| o.lines.len()).collect::<Vec<_>>(), [2, 1]);
        assert_eq!(first[0].note.as_deref(), Some("=note"));
        for style in [Style::default(), Style { bom: true, decimal_comma: true }] {
            assert_eq!(orders(&crate::orders::table(&first).csv(style), &[]), first);
        }
        let book = crate::table::workbook(&[crate::orders::table(&first)]).unwrap();
        let sheet = sheet::read(&book, Format::Xlsx, &Way::default(), "orders").unwrap();
        let (grid, faults) = Grid::read(&sheet, &FORM, &Way::default()).unwrap();
        let (drafts, more) = drafts(&grid, &BTreeMap::new());
        assert_eq!((faults, more), (vec![], vec![]));
        assert_eq!(drafts.into_iter().map(|draft| draft.value).collect::<Vec<_>>(), first);
    }

    #[test]
    fn every_fault_of_every_row_is_listed() {
        let text = format!(
            "{HEADER}TH-1,,soon,,urgent,open,,,grey,2.5,\nTH-2,,2026-06-02,,,,a,b,grey,0,\nTH-3,,2026-06-02,,,,a,,grey,0,\n\
             TH-4,,2026-06-02,,,,a,,grey,1,\nTH-4,,2026-06-03,,,,a,,grey,1,\n,,2026-06-03,,,,a,,grey,1,\n"
        );
        let found: Vec<(u64, String)> =
            read(&text, &[]).1.into_iter().map(|f| (f.line, f.column.unwrap_or_default())).collect();
        let expected = [
            (2, "due_on"),
            (2, "priority"),
            (2, "quantity"),
            (2, "set"),
            (3, "panel"),
            (4, "quantity"),
            (6, "due_on"),
            (7, "order"),
        ];
        assert_eq!(found, expected.map(|(line, column)| (line, column.to_owned())));
    }

    #[test]
    fn numbered_lines_are_put_in_their_order_and_none_is_there_twice() {
        let text = "order,due_on,panel,finish,quantity,line\nA,2026-06-01,b,grey,1,2\nA,2026-06-01,a,grey,1,1\n";
        let lines = &orders(text, &[])[0].lines;
        assert_eq!(lines[0].item, Item::Panel(PanelId::parse("a").unwrap()));
        for alone in
            [text.replace("A,2026-06-01,a,grey,1,1\n", ""), text.replace(",1\n", ",3\n").replace(",2\n", ",1\n")]
        {
            let (_, faults) = read(&alone, &[]);
            assert_eq!(faults.iter().map(|f| f.column.as_deref()).collect::<Vec<_>>(), [Some("line")], "{alone}");
        }
        let (_, faults) = read(&text.replace(",2\n", ",1\n"), &[]);
        assert_eq!(faults.iter().map(|f| (f.line, f.column.as_deref())).collect::<Vec<_>>(), [(3, Some("line"))]);
        let (_, faults) = read(&text.replace(",2\n", ",\n"), &[]);
        assert_eq!(faults.iter().map(|f| (f.line, f.column.as_deref())).collect::<Vec<_>>(), [(2, Some("line"))]);
    }

    #[test]
    fn what_a_file_does_not_say_stays_as_it_is() {
        let there = orders(&some(), &[]);
        let moved = orders("order,due_on\nTH-1,2026-07-01\n", &there);
        assert_eq!(moved, [Order { due_on: "2026-07-01".parse().unwrap(), ..there[0].clone() }]);
        let mut gone = there.clone();
        gone[0].state = OrderState::Withdrawn;
        let kept = orders("order,due_on,state,priority\nTH-1,2026-07-01,,\n", &gone);
        assert_eq!((kept[0].state, kept[0].priority), (OrderState::Withdrawn, Priority::High), "a blank says nothing");
        let (_, faults) = read("order,due_on\nTH-9,2026-07-01\n", &there);
        assert!(faults.iter().any(|f| f.column.as_deref() == Some("finish")), "{faults:?}");
    }
}
