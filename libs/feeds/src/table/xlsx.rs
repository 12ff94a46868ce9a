//! Tables as sheets of one XLSX workbook: typed cells, days as dates, a frozen header, columns as wide as their contents.
//! The same tables give the same bytes.

use chrono::{Datelike, Timelike};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

use super::{Cell, Table};
use crate::words;

/// Rows of a sheet under its header.
const MOST_ROWS: usize = 1_048_575;
/// Characters of a cell.
const MOST_CHARACTERS: usize = 32_767;
/// Whole numbers beyond this are not exact in a sheet.
const MOST_EXACT: i64 = 1 << 53;
/// Width of a column, characters.
const WIDTHS: (usize, usize) = (9, 60);

/// Why tables cannot be written as a workbook.
#[derive(Debug, thiserror::Error)]
pub enum XlsxFault {
    /// A sheet holds no more.
    #[error("the table {table} has {rows} rows, more than the {MOST_ROWS} a sheet holds: take it as CSV")]
    TooLong {
        /// Which table.
        table: &'static str,
        /// How many rows it has.
        rows: usize,
    },
    /// A cell holds no more.
    #[error(
        "a text in {column} of {table} is longer than the {MOST_CHARACTERS} characters a cell holds: take it as CSV"
    )]
    TooWide {
        /// Which table.
        table: &'static str,
        /// Which column.
        column: String,
    },
    /// The writer's own word.
    #[error("a workbook could not be written: {0}")]
    Writer(#[from] XlsxError),
}

/// One workbook with a sheet for each table.
///
/// # Errors
/// Where a table is longer than a sheet, or a text than a cell.
pub fn workbook(tables: &[Table]) -> Result<Vec<u8>, XlsxFault> {
    let mut book = Workbook::new();
    let always = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&always));
    let formats = Formats::new();
    for table in tables {
        formats.write(table, book.add_worksheet())?;
    }
    Ok(book.save_to_buffer()?)
}

struct Formats {
    header: Format,
    whole: Format,
    day: Format,
    moment: Format,
}

impl Formats {
    fn new() -> Self {
        let with = |picture: &str| Format::new().set_num_format(picture);
        Self {
            header: Format::new().set_bold(),
            whole: with("0"),
            day: with("yyyy-mm-dd"),
            moment: with("yyyy-mm-dd hh:mm:ss"),
        }
    }

    fn write(&self, table: &Table, sheet: &mut Worksheet) -> Result<(), XlsxFault> {
        if table.rows.len() > MOST_ROWS {
            return Err(XlsxFault::TooLong { table: table.name, rows: table.rows.len() });
        }
        sheet.set_name(table.name)?;
        sheet.set_freeze_panes(1, 0)?;
        let mut widths: Vec<usize> = table.header.iter().map(|name| name.len() + 2).collect();
        for (column, name) in (0..).zip(&table.header) {
            sheet.write_string_with_format(0, column, name.as_ref(), &self.header)?;
        }
        for (row, cells) in (1..).zip(&table.rows) {
            for ((column, cell), width) in (0..).zip(cells).zip(&mut widths) {
                let wide = self.cell(sheet, row, column, cell)?;
                let Some(wide) = wide else {
                    let column = table.header[usize::from(column)].to_string();
                    return Err(XlsxFault::TooWide { table: table.name, column });
                };
                *width = (*width).max(wide + 1);
            }
        }
        for (column, width) in (0..).zip(widths) {
            sheet.set_column_width(column, width.clamp(WIDTHS.0, WIDTHS.1) as f64)?;
        }
        Ok(())
    }

    /// Writes a cell: its width in characters, or nothing where it is a text that is too long.
    fn cell(&self, sheet: &mut Worksheet, row: u32, column: u16, cell: &Cell) -> Result<Option<usize>, XlsxError> {
        Ok(match cell {
            Cell::Empty => Some(0),
            Cell::Text(text) | Cell::Id(text) => return as_text(sheet, row, column, text),
            Cell::Unit(unit) => return as_text(sheet, row, column, words::unit(*unit)),
            Cell::Whole(number) | Cell::Amount(number, _) if number.abs() > MOST_EXACT => {
                return as_text(sheet, row, column, &number.to_string());
            }
            Cell::Whole(number) | Cell::Amount(number, _) => {
                sheet.write_number_with_format(row, column, *number as f64, &self.whole)?;
                Some(number.to_string().len())
            }
            Cell::Decimal(number, digits) => {
                let picture = if *digits == 0 { "0".to_owned() } else { format!("0.{}", "0".repeat(*digits)) };
                let text = format!("{number:.digits$}");
                // The same number as CSV shows, not one with more decimals behind the picture.
                let shown = text.parse::<f64>().unwrap_or(*number) + 0.0;
                sheet.write_number_with_format(row, column, shown, &Format::new().set_num_format(picture))?;
                Some(text.len())
            }
            Cell::Day(day) => {
                let (year, month, on) = (day.year(), day.month(), day.day());
                match date(year, month, on) {
                    Some(date) => sheet.write_datetime_with_format(row, column, date?, &self.day)?,
                    None => return as_text(sheet, row, column, &day.to_string()),
                };
                Some(10)
            }
            Cell::Moment(at) => {
                let (seconds, nanos) = (at.second(), at.nanosecond() % 1_000_000_000);
                let seconds = f64::from(seconds) + f64::from(nanos / 1_000_000) / 1000.0;
                match date(at.year(), at.month(), at.day()) {
                    Some(date) => {
                        let hours = u16::try_from(at.hour()).unwrap_or(0);
                        let minutes = u8::try_from(at.minute()).unwrap_or(0);
                        let moment = date?.and_hms(hours, minutes, seconds)?;
                        sheet.write_datetime_with_format(row, column, moment, &self.moment)?
                    }
                    None => return as_text(sheet, row, column, &at.to_rfc3339()),
                };
                Some(19)
            }
        })
    }
}

fn as_text(sheet: &mut Worksheet, row: u32, column: u16, text: &str) -> Result<Option<usize>, XlsxError> {
    if text.chars().count() > MOST_CHARACTERS {
        return Ok(None);
    }
    // Lines of a cell end in a line feed alone: a carriage return would be kept as a code that some programs show.
    sheet.write_string(row, column, text.replace("\r\n", "\n").replace('\r', "\n"))?;
    Ok(Some(text.lines().map(|line| line.chars().count()).max().unwrap_or(0)))
}

/// A date as sheets count them; nothing before 1900 or after 9999, which they do not know.
fn date(year: i32, month: u32, day: u32) -> Option<Result<ExcelDateTime, XlsxError>> {
    let known = u16::try_from(year).ok().filter(|year| (1900..=9999).contains(year))?;
    Some(ExcelDateTime::from_ymd(known, u8::try_from(month).ok()?, u8::try_from(day).ok()?))
}

#[cfg(test)]
mod tests {
    use calamine::{Data, Reader, Xlsx};

    use super::*;

    fn read_back(tables: &[Table]) -> Xlsx<std::io::Cursor<Vec<u8>>> {
        Xlsx::new(std::io::Cursor::new(workbook(tables).unwrap())).unwrap()
    }

    fn table() -> Table {
        let mut table = Table::new("things", &["what", "count", "mass_kg", "day", "at_utc"]);
        let (day, at) = ("2026-05-04".parse().ok(), "2026-05-04T06:00:01Z".parse().ok());
        table.row(vec![
            Cell::text("=1+1"),
            Cell::Whole(-3),
            Cell::Decimal(1.25, 2),
            Cell::maybe(day, Cell::Day),
            Cell::maybe(at, Cell::Moment),
        ]);
        table.row(vec![
            Cell::id("0042"),
            Cell::Whole(MOST_EXACT + 1),
            Cell::Decimal(-0.001, 2),
            Cell::Empty,
            Cell::Empty,
        ]);
        table
    }

    #[test]
    fn cells_keep_their_types() {
        let mut book = read_back(&[table(), Table::new("more", &["a"])]);
        assert_eq!(book.sheet_names(), ["things", "more"]);
        let sheet = book.worksheet_range("things").unwrap();
        assert_eq!(sheet.get((1, 0)), Some(&Data::String("=1+1".into())));
        assert_eq!(sheet.get((1, 1)), Some(&Data::Float(-3.0)));
        assert_eq!(sheet.get((1, 2)), Some(&Data::Float(1.25)));
        assert!(
            matches!(sheet.get((1, 3)), Some(Data::DateTime(at)) if at.as_f64() == 46146.0),
            "{:?}",
            sheet.get((1, 3))
        );
        assert!(matches!(sheet.get((1, 4)), Some(Data::DateTime(_))));
        assert_eq!(sheet.get((2, 0)), Some(&Data::String("0042".into())));
        assert_eq!(sheet.get((2, 1)), Some(&Data::String("9007199254740993".into())));
        assert_eq!(sheet.get((2, 2)), Some(&Data::Float(0.0)));
        assert_eq!(sheet.get((2, 3)), Some(&Data::Empty));
    }

    #[test]
    fn the_same_tables_give_the_same_bytes() {
        assert_eq!(workbook(&[table()]).unwrap(), workbook(&[table()]).unwrap());
    }

    #[test]
    fn what_a_cell_cannot_hold_is_said() {
        let mut table = Table::new("notes", &["note"]);
        table.row(vec![Cell::text("x".repeat(MOST_CHARACTERS + 1))]);
        assert!(matches!(workbook(&[table]), Err(XlsxFault::TooWide { table: "notes", column }) if column == "note"));
    }
}
