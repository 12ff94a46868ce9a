//! A table as text for spreadsheets: RFC 4180, a header row, CRLF.
//!
//! What a spreadsheet would take for something else gets one apostrophe in front (see [`super::guard`]); numbers are never
//! touched. With a decimal comma fields are parted by semicolons.

use super::{Cell, Table, guard};
use crate::words;

/// How a table is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Style {
    /// Whether a byte order mark stands in front.
    pub bom: bool,
    /// Whether decimals have a comma, and fields a semicolon between them.
    pub decimal_comma: bool,
}

/// The whole table.
pub(super) fn written(table: &Table, style: Style) -> String {
    let delimiter = if style.decimal_comma { b';' } else { b',' };
    let mut writer = csv::WriterBuilder::new()
        .delimiter(delimiter)
        .terminator(csv::Terminator::CRLF)
        .from_writer(if style.bom { "\u{feff}".as_bytes().to_vec() } else { Vec::new() });
    let header = table.header.iter().map(ToString::to_string).collect();
    let rows = table.rows.iter().map(|row| row.iter().map(|cell| field(cell, style)).collect());
    for record in std::iter::once::<Vec<String>>(header).chain(rows) {
        writer.write_record(&record).expect("rows are as long as the header, and memory takes every byte");
    }
    let bytes = writer.into_inner().expect("memory takes every byte");
    String::from_utf8(bytes).expect("all cells are text")
}

fn field(cell: &Cell, style: Style) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Text(text) => guard::text(text),
        Cell::Id(id) => guard::id(id),
        Cell::Whole(number) | Cell::Amount(number, _) => number.to_string(),
        Cell::Unit(unit) => words::unit(*unit).to_owned(),
        Cell::Decimal(number, digits) => {
            let point = decimal(*number, *digits);
            if style.decimal_comma { point.replace('.', ",") } else { point }
        }
        Cell::Day(day) => day.to_string(),
        Cell::Moment(at) => at.to_rfc3339_opts(chrono::SecondsFormat::AutoSi, true),
    }
}

/// With so many decimals, and zero without a sign.
fn decimal(number: f64, digits: usize) -> String {
    let text = format!("{number:.digits$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let mut table = Table::new("things", &["what", "count", "mass_kg", "day"]);
        let day = "2026-05-04".parse().ok();
        table.row(vec![
            Cell::text("sand, washed"),
            Cell::Whole(-3),
            Cell::Decimal(-1.5, 2),
            Cell::maybe(day, Cell::Day),
        ]);
        table.row(vec![Cell::text("=1+1"), Cell::Whole(0), Cell::Decimal(-0.001, 2), Cell::Empty]);
        table
    }

    #[test]
    fn fields_are_quoted_where_they_must_be_and_rows_end_in_crlf() {
        let expected = "what,count,mass_kg,day\r\n\"sand, washed\",-3,-1.50,2026-05-04\r\n'=1+1,0,0.00,\r\n";
        assert_eq!(table().csv(Style::default()), expected);
    }

    #[test]
    fn decimal_commas_bring_semicolons() {
        let expected = "\u{feff}what;count;mass_kg;day\r\nsand, washed;-3;-1,50;2026-05-04\r\n'=1+1;0;0,00;\r\n";
        assert_eq!(table().csv(Style { bom: true, decimal_comma: true }), expected);
    }

    #[test]
    fn quotes_and_line_breaks_inside_a_field_are_kept() {
        let mut table = Table::new("notes", &["note"]);
        table.row(vec![Cell::text("say \"when\"\nthen stop")]);
        assert_eq!(table.csv(Style::default()), "note\r\n\"say \"\"when\"\"\nthen stop\"\r\n");
    }

    #[test]
    fn instants_are_in_utc_to_the_second_or_finer() {
        let mut table = Table::new("moments", &["at_utc"]);
        for text in ["2026-05-04T06:00:00Z", "2026-05-04T06:00:00.250Z"] {
            table.row(vec![Cell::maybe(text.parse().ok(), Cell::Moment)]);
        }
        assert_eq!(table.csv(Style::default()), "at_utc\r\n2026-05-04T06:00:00Z\r\n2026-05-04T06:00:00.250Z\r\n");
    }
}
