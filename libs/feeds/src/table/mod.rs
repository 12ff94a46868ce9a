//! A table, and the ways it is written: [`csv`] text and [`xlsx`] sheets. What a cell means is said once, here; how a format
//! spells it is said in that format's file.

mod csv;
pub mod guard;
pub(crate) mod us;
mod xlsx;

use std::borrow::Cow;

use chrono::{DateTime, NaiveDate as Day, Utc};
use workshop::catalogue::StockUnit;

pub use csv::Style;
pub use xlsx::{XlsxFault, workbook};

/// One field.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing is known.
    Empty,
    /// Text that a person wrote, or that is written for one.
    Text(String),
    /// What a thing is known by: never to be taken for a number or a date.
    Id(String),
    /// A whole number.
    Whole(i64),
    /// A number, and the decimals it is written with.
    Decimal(f64, usize),
    /// An amount of a material in its own unit; its column's name ends in `_in_unit`.
    Amount(i64, StockUnit),
    /// The unit a material is counted in.
    Unit(StockUnit),
    /// A day.
    Day(Day),
    /// An instant, in UTC; its column's name ends in `_utc`.
    Moment(DateTime<Utc>),
}

impl Cell {
    /// Text.
    pub fn text(text: impl ToString) -> Self {
        Cell::Text(text.to_string())
    }

    /// What a thing is known by.
    pub fn id(id: impl ToString) -> Self {
        Cell::Id(id.to_string())
    }

    /// What there is, or nothing.
    pub fn maybe<T>(value: Option<T>, cell: impl FnOnce(T) -> Cell) -> Self {
        value.map_or(Cell::Empty, cell)
    }
}

/// Rows under a header.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    name: &'static str,
    header: Vec<Cow<'static, str>>,
    rows: Vec<Vec<Cell>>,
}

impl Table {
    /// An empty table. `name` is that of its sheet, at most 31 letters; each column's name has its unit. Columns are only ever
    /// added at the end: `tests/columns.txt` lists them.
    pub fn new(name: &'static str, header: &'static [&'static str]) -> Self {
        Self { name, header: header.iter().copied().map(Cow::Borrowed).collect(), rows: Vec::new() }
    }

    /// Its name.
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// The names of its columns.
    pub fn header(&self) -> &[Cow<'static, str>] {
        &self.header
    }

    /// Adds a row of one cell for each column.
    pub fn row(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.header.len(), "a cell for each column of {}", self.name);
        self.rows.push(cells);
    }

    /// The same in US customary units: lb, US gal, US fl oz, in, ft², lb/ft³, psi, °F, each named at the end of its column's
    /// name; money, minutes, counts and texts stay as they are.
    #[must_use]
    pub fn in_us_units(self) -> Self {
        us::converted(self)
    }

    /// The table as text: RFC 4180, a header row, CRLF.
    pub fn csv(&self, style: Style) -> String {
        csv::written(self, style)
    }
}
