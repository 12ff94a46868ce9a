//! Orders as a table: one row for each line of an order, its head repeated.

use std::collections::BTreeMap;

use feeds::orders::COLUMNS;
use feeds::table::guard;
use workshop::Fault;
use workshop::checks;
use workshop::ids::{FinishId, IdFault, OrderId, PanelId, SetId};
use workshop::orders::{Item, Order, OrderLine, OrderState, Priority};

use super::rows::{Row, fault, read};
use crate::http::shape;
use crate::wire::orders::RowFault;

/// Columns at the end that a file may leave out: exports have not always had them.
const LATER_COLUMNS: usize = 1;

const PRIORITIES: [(&str, Priority); 3] =
    [("low", Priority::Low), ("usual", Priority::Usual), ("high", Priority::High)];
const STATES: [(&str, OrderState); 3] =
    [("open", OrderState::Open), ("dispatched", OrderState::Dispatched), ("withdrawn", OrderState::Withdrawn)];

/// An order read from a file, with the lines of the file its own lines stand on.
#[derive(Clone, Debug)]
pub struct Draft {
    /// The order.
    pub order: Order,
    /// For each line of the order, its line in the file.
    pub lines: Vec<u64>,
}

impl Draft {
    /// A fault of the order as a fault of the file.
    pub fn row_fault(&self, found: &Fault) -> RowFault {
        let mut parts = found.pointer.split('/').skip(1);
        let (line, column) = match (parts.next(), parts.next(), parts.next()) {
            (Some("lines"), Some(index), field) => {
                let line = index.parse().ok().and_then(|i: usize| self.lines.get(i)).or(self.lines.first());
                (line, field)
            }
            (Some("id"), ..) => (self.lines.first(), Some("order")),
            (field, ..) => (self.lines.first(), field.filter(|f| !f.is_empty())),
        };
        fault(line.copied().unwrap_or(1), column, found.detail.clone())
    }
}

/// All orders of a CSV file that could be read, in the order of their first rows, and every fault of every row, by line
/// and column. Where there is any fault, the orders are only good for finding more.
pub fn drafts(text: &str) -> (Vec<Draft>, Vec<RowFault>) {
    let rows = match read(text, &COLUMNS, LATER_COLUMNS) {
        Ok(rows) => rows,
        Err(faults) => return (Vec::new(), faults),
    };
    let mut faults = Vec::new();
    let mut places: BTreeMap<OrderId, usize> = BTreeMap::new();
    let mut drafts: Vec<Draft> = Vec::new();
    for row in &rows {
        let Some((head, line)) = read_row(row, &mut faults) else { continue };
        match places.get(&head.id) {
            None => {
                places.insert(head.id.clone(), drafts.len());
                drafts.push(Draft { order: Order { lines: vec![line], ..head }, lines: vec![row.line] });
            }
            Some(place) => {
                let draft = &mut drafts[*place];
                same_head(&draft.order, &head, row.line, draft.lines[0], &mut faults);
                draft.order.lines.push(line);
                draft.lines.push(row.line);
            }
        }
    }
    for draft in &drafts {
        faults.extend(checks::order::faults(&draft.order).iter().map(|found| draft.row_fault(found)));
    }
    faults.sort();
    faults.dedup();
    (drafts, faults)
}

/// One row as the head of an order without lines, and its line; nothing where a cell could not be read.
fn read_row(row: &Row, faults: &mut Vec<RowFault>) -> Option<(Order, OrderLine)> {
    let before = faults.len();
    let mut cells = Cells { row, faults };
    let id = cells.id(0, OrderId::parse);
    let due_on = cells.day(2);
    let promised_on = if row.cell(3).is_empty() { None } else { cells.day(3) };
    let priority = cells.word(4, &PRIORITIES, Priority::Usual);
    let state = cells.word(5, &STATES, OrderState::Open);
    let item = cells.item();
    let finish = cells.id(8, FinishId::parse);
    let quantity = cells.quantity(9);
    let text = |column| Some(row.cell(column).to_owned()).filter(|text| !text.is_empty());
    let (customer, note) = (text(1), text(10));
    cells.printable(1);
    cells.printable(10);
    if faults.len() > before {
        return None;
    }
    let head = Order { id: id?, customer, due_on: due_on?, promised_on, priority, state, lines: Vec::new(), note };
    Some((head, OrderLine { item: item?, finish: finish?, quantity: quantity? }))
}

fn same_head(first: &Order, again: &Order, line: u64, first_line: u64, faults: &mut Vec<RowFault>) {
    let differing = [
        ("customer", first.customer != again.customer),
        ("due_on", first.due_on != again.due_on),
        ("promised_on", first.promised_on != again.promised_on),
        ("priority", first.priority != again.priority),
        ("state", first.state != again.state),
        ("note", first.note != again.note),
    ];
    for (column, _) in differing.iter().filter(|(_, differs)| *differs) {
        let detail = format!("differs from line {first_line} of the same order: give it alike on all its lines");
        faults.push(fault(line, Some(column), detail));
    }
}

/// Reads the cells of one row, collecting faults.
struct Cells<'a> {
    row: &'a Row,
    faults: &'a mut Vec<RowFault>,
}

impl Cells<'_> {
    fn wrong(&mut self, column: usize, detail: String) {
        self.faults.push(fault(self.row.line, Some(COLUMNS[column]), detail));
    }

    fn some(&self, column: usize) -> Option<&str> {
        Some(self.row.cell(column)).filter(|cell| !cell.is_empty())
    }

    fn id<T>(&mut self, column: usize, parse: impl Fn(&str) -> Result<T, IdFault>) -> Option<T> {
        parse(guard::plain_id(self.row.cell(column))).map_err(|e| self.wrong(column, e.to_string())).ok()
    }

    fn day(&mut self, column: usize) -> Option<chrono::NaiveDate> {
        let text = self.row.cell(column);
        let day = shape::day(text);
        if day.is_none() {
            self.wrong(column, format!("'{text}' is not a day: give it as 2026-05-04"));
        }
        day
    }

    fn word<T: Copy>(&mut self, column: usize, words: &[(&str, T)], usual: T) -> T {
        let Some(text) = self.some(column) else { return usual };
        let found = words.iter().find(|(word, _)| *word == text).map(|(_, value)| *value);
        let names: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let detail = format!("'{text}' is none of {}: give one of them", names.join(", "));
        found.unwrap_or_else(|| {
            self.wrong(column, detail);
            usual
        })
    }

    fn item(&mut self) -> Option<Item> {
        match (self.some(6).is_some(), self.some(7).is_some()) {
            (true, false) => self.id(6, SetId::parse).map(Item::Set),
            (false, true) => self.id(7, PanelId::parse).map(Item::Panel),
            (true, true) => {
                self.wrong(7, "is given beside a set: name one of the two".to_owned());
                None
            }
            (false, false) => {
                self.wrong(6, "is missing: name a set or a panel".to_owned());
                None
            }
        }
    }

    fn quantity(&mut self, column: usize) -> Option<i64> {
        let text = self.row.cell(column);
        let number = text.parse().ok();
        if number.is_none() {
            self.wrong(column, format!("'{text}' is not a whole number: give 1 to 10000"));
        }
        number
    }

    fn printable(&mut self, column: usize) {
        let wrong = self.row.cell(column).chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t' | '\r'));
        if let Some(wrong) = wrong {
            self.wrong(column, format!("has the control character {wrong:?}, which cannot be kept: take it out"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header() -> String {
        COLUMNS[..11].join(",") + "\n"
    }

    #[test]
    fn what_goes_out_comes_back() {
        let text = header()
            + "TH-1,Wren Lane,2026-06-01,,high,open,bed-900x600,,grey-smooth,2,'=note\n"
            + "TH-1,Wren Lane,2026-06-01,,high,open,,edging-600,grey-smooth,10,'=note\n"
            + "TH-2,,2026-06-02,2026-06-05,,,,edging-600,grey-smooth,1,\n";
        let (drafts, faults) = drafts(&text);
        assert_eq!(faults, []);
        assert_eq!(drafts.iter().map(|d| d.order.lines.len()).collect::<Vec<_>>(), [2, 1]);
        let orders: Vec<Order> = drafts.into_iter().map(|draft| draft.order).collect();
        assert_eq!(orders[0].note.as_deref(), Some("=note"));
        let again: Vec<Order> = super::drafts(&feeds::orders::table(&orders).csv(feeds::table::Style::default()))
            .0
            .into_iter()
            .map(|draft| draft.order)
            .collect();
        assert_eq!(again, orders);
    }

    #[test]
    fn every_fault_of_every_row_is_listed() {
        let text = header()
            + "TH-1,,soon,,urgent,open,,,grey,2.5,\n"
            + "TH-2,,2026-06-02,,,,a,b,grey,0,\n"
            + "TH-3,,2026-06-02,,,,a,,grey,0,\n"
            + "TH-4,,2026-06-02,,,,a,,grey,1,\n"
            + "TH-4,,2026-06-03,,,,a,,grey,1,\n";
        let (_, faults) = drafts(&text);
        let found: Vec<(u64, &str)> = faults.iter().map(|f| (f.line, f.column.as_deref().unwrap_or(""))).collect();
        let expected =
            [(2, "due_on"), (2, "priority"), (2, "quantity"), (2, "set"), (3, "panel"), (4, "quantity"), (6, "due_on")];
        assert_eq!(found, expected, "{faults:?}");
    }
}
