//! A table as text for spreadsheets: RFC 4180, a header row, CRLF.
//!
//! A text cell that begins with a sign a spreadsheet would calculate with gets one apostrophe in front; numbers are never
//! touched. With a decimal comma fields are parted by semicolons.

use chrono::NaiveDate as Day;

/// How a table is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Style {
    /// Whether a byte order mark stands in front.
    pub bom: bool,
    /// Whether decimals have a comma, and fields a semicolon between them.
    pub decimal_comma: bool,
}

/// One field.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// Text, identifiers too.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number, and the decimals it is written with.
    Decimal(f64, usize),
    /// A day.
    Day(Day),
}

impl Cell {
    /// Text.
    pub fn text(text: impl ToString) -> Self {
        Cell::Text(text.to_string())
    }

    /// What there is, or nothing.
    pub fn maybe<T>(value: Option<T>, cell: impl FnOnce(T) -> Cell) -> Self {
        value.map_or(Cell::Empty, cell)
    }

    fn written(&self, style: Style) -> String {
        match self {
            Cell::Empty => String::new(),
            Cell::Text(text) => harmless(text),
            Cell::Whole(number) => number.to_string(),
            Cell::Decimal(number, digits) => {
                let point = format!("{number:.digits$}");
                if style.decimal_comma { point.replace('.', ",") } else { point }
            }
            Cell::Day(day) => day.to_string(),
        }
    }
}

/// Text that no spreadsheet takes for a formula.
fn harmless(text: &str) -> String {
    match text.chars().next() {
        Some('=' | '+' | '-' | '@' | '\t' | '\r') => format!("'{text}"),
        _ => text.to_owned(),
    }
}

/// Rows under a header.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    header: Vec<&'static str>,
    rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table of these columns, each name with its unit.
    pub fn new(header: &[&'static str]) -> Self {
        Self { header: header.to_vec(), rows: Vec::new() }
    }

    /// Adds a row of one cell for each column.
    pub fn row(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.header.len(), "a cell for each column");
        self.rows.push(cells);
    }

    /// The table as text.
    pub fn csv(&self, style: Style) -> String {
        let delimiter = if style.decimal_comma { b';' } else { b',' };
        let mut writer = csv::WriterBuilder::new()
            .delimiter(delimiter)
            .terminator(csv::Terminator::CRLF)
            .from_writer(if style.bom { "\u{feff}".as_bytes().to_vec() } else { Vec::new() });
        let header = self.header.iter().map(ToString::to_string).collect();
        let rows = self.rows.iter().map(|row| row.iter().map(|cell| cell.written(style)).collect());
        for record in std::iter::once::<Vec<String>>(header).chain(rows) {
            writer.write_record(&record).expect("rows are as long as the header, and memory takes every byte");
        }
        let bytes = writer.into_inner().expect("memory takes every byte");
        String::from_utf8(bytes).expect("all cells are text")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let mut table = Table::new(&["what", "count", "mass_kg", "day"]);
        let day = "2026-05-04".parse().ok();
        table.row(vec![
            Cell::text("sand, washed"),
            Cell::Whole(-3),
            Cell::Decimal(-1.5, 2),
            Cell::maybe(day, Cell::Day),
        ]);
        table.row(vec![Cell::text("=1+1"), Cell::Whole(0), Cell::Empty, Cell::Empty]);
        table
    }

    #[test]
    fn fields_are_quoted_where_they_must_be_and_rows_end_in_crlf() {
        let expected = "what,count,mass_kg,day\r\n\"sand, washed\",-3,-1.50,2026-05-04\r\n'=1+1,0,,\r\n";
        assert_eq!(table().csv(Style::default()), expected);
    }

    #[test]
    fn decimal_commas_bring_semicolons() {
        let expected = "\u{feff}what;count;mass_kg;day\r\nsand, washed;-3;-1,50;2026-05-04\r\n'=1+1;0;;\r\n";
        assert_eq!(table().csv(Style { bom: true, decimal_comma: true }), expected);
    }

    #[test]
    fn every_sign_a_spreadsheet_calculates_with_gets_one_apostrophe() {
        for sign in ["=", "+", "-", "@", "\t", "\r"] {
            assert_eq!(harmless(&format!("{sign}x")), format!("'{sign}x"));
        }
        assert_eq!(harmless("'=x"), "'=x");
        assert_eq!(harmless("bed-side"), "bed-side");
        assert_eq!(harmless(""), "");
    }

    #[test]
    fn quotes_and_line_breaks_inside_a_field_are_kept() {
        let mut table = Table::new(&["note"]);
        table.row(vec![Cell::text("say \"when\"\nthen stop")]);
        assert_eq!(table.csv(Style::default()), "note\r\n\"say \"\"when\"\"\nthen stop\"\r\n");
    }
}
