//! A file's columns found by their headers, and each read as a whole.

use chrono::NaiveDate as Day;

use super::days::{self, Order};
use super::exact::Exact;
use super::fault::{CellFault, shortened};
use super::form::{Form, Kind};
use super::numbers::{self, Sign};
use super::sheet::{Raw, RawRow, Sheet};
use super::units::Unit;
use super::way::{Format, Way};
use crate::table::guard;

/// What a cell says.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Value {
    /// Nothing.
    #[default]
    Blank,
    /// Something that cannot be read; its fault is listed.
    Wrong,
    /// Text, or what a thing is known by.
    Text(String),
    /// A day.
    Day(Day),
    /// A number.
    Number(Exact),
}

/// Where a column stands in the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// As the file names it.
    pub header: String,
    /// The unit its name says.
    pub unit: Option<Unit>,
    /// How it was read where there was more than one way.
    pub read_as: Option<&'static str>,
    at: usize,
}

/// One row under the header.
#[derive(Clone, Debug, PartialEq)]
pub struct GridRow {
    /// Its line in the file.
    pub line: u64,
    /// What its cells say, by the form's columns.
    pub values: Vec<Value>,
    /// The same as the file has it.
    pub said: Vec<String>,
}

/// A file whose columns are known.
#[derive(Clone, Debug)]
pub struct Grid {
    /// What it is a file of.
    pub form: &'static Form,
    /// For each column of the form, where it stands; nothing where the file does not have it.
    pub places: Vec<Option<Place>>,
    /// The rows under the header.
    pub rows: Vec<GridRow>,
    /// Headers that are none of ours, passed over because a mapping is stated.
    pub passed_over: Vec<String>,
}

impl Grid {
    /// Finds the columns and reads them; beside the grid every fault of a cell.
    ///
    /// # Errors
    /// Where the header is not one of this form.
    pub fn read(sheet: &Sheet, form: &'static Form, way: &Way) -> Result<(Self, Vec<CellFault>), Vec<CellFault>> {
        let Some((header, rows)) = sheet.rows.split_first() else {
            let detail = format!("the file is empty: give a header of {}", form.names());
            return Err(vec![CellFault::of_line(1, detail)]);
        };
        let (places, passed_over) = places(header, rows, form, way)?;
        let mut faults = lengths(sheet.format, header, rows);
        let mut grid = Self { form, places, rows: Vec::new(), passed_over };
        let blank = || GridRow {
            line: 0,
            values: vec![Value::Blank; form.columns.len()],
            said: vec![String::new(); form.columns.len()],
        };
        grid.rows.resize_with(rows.len(), blank);
        for (row, raw) in grid.rows.iter_mut().zip(rows) {
            row.line = raw.line;
        }
        for number in 0..form.columns.len() {
            let Some(place) = grid.places[number].clone() else { continue };
            let column = Read { kind: form.columns[number].kind, format: sheet.format, place: &place, way };
            let (values, read_as) = column.all(rows, &mut faults);
            for ((row, raw), value) in grid.rows.iter_mut().zip(rows).zip(values) {
                row.values[number] = value;
                row.said[number] = cell(raw, place.at).said();
            }
            grid.places[number] = Some(Place { read_as, ..place });
        }
        Ok((grid, faults))
    }

    /// Whether the file has a column.
    pub fn has(&self, name: &str) -> bool {
        self.form.column(name).is_some_and(|column| self.places[column].is_some())
    }
}

fn cell(row: &RawRow, at: usize) -> &Raw {
    row.cells.get(at).unwrap_or(&Raw::Blank)
}

/// Rows that are longer than the header, or in text shorter: a separator is missing or one too many.
fn lengths(format: Format, header: &RawRow, rows: &[RawRow]) -> Vec<CellFault> {
    let wanted = header.cells.len();
    let differs = |row: &&RawRow| match format {
        Format::Csv => row.cells.len() != wanted,
        Format::Xlsx => row.cells.len() > wanted,
    };
    let detail = |row: &RawRow| format!("has {} fields, the header has {wanted}: give as many", row.cells.len());
    rows.iter().filter(differs).map(|row| CellFault::of_line(row.line, detail(row))).collect()
}

type Places = (Vec<Option<Place>>, Vec<String>);

/// For each column of the form where it stands, and the headers that are passed over.
fn places(header: &RawRow, rows: &[RawRow], form: &'static Form, way: &Way) -> Result<Places, Vec<CellFault>> {
    let mut finding = Finding { line: header.line, form, places: vec![None; form.columns.len()], faults: Vec::new() };
    let names: Vec<String> = header.cells.iter().map(|raw| raw.said().trim().to_owned()).collect();
    let mut mapped = vec![None; names.len()];
    for (ours, theirs) in &way.map {
        let standing: Vec<usize> = (0..names.len()).filter(|at| names[*at] == theirs.trim()).collect();
        match standing[..] {
            [at] if mapped[at].is_none() => mapped[at] = Some(ours.as_str()),
            [_] => finding.fault(theirs, format!("is mapped to two of our columns, {ours} the second: map it once")),
            [] => {
                let there = names.iter().filter(|name| !name.is_empty()).map(|name| format!("'{}'", shortened(name)));
                let there = there.collect::<Vec<_>>().join(", ");
                finding.fault(theirs, format!("is mapped to {ours} and is not in the header: there are {there}"));
            }
            _ => finding.fault(theirs, format!("is mapped to {ours} and is in the header twice: rename one")),
        }
    }
    let mut passed_over = Vec::new();
    for (at, name) in names.iter().enumerate() {
        let ours = mapped[at].unwrap_or(name).to_lowercase();
        let is_mapped = mapped[at].is_some();
        if name.is_empty() && rows.iter().all(|row| cell(row, at).is_blank()) {
            continue;
        }
        match best(form, &ours) {
            Some((number, Ok(unit))) => finding.take(number, Place { header: name.clone(), unit, read_as: None, at }),
            _ if !is_mapped && !way.map.is_empty() => passed_over.push(name.clone()),
            Some((_, Err(why))) => finding.fault(name, why),
            None if is_mapped => {
                finding.fault(name, format!("is mapped to {ours}, which is not known: there are {}", form.names()))
            }
            None if name.is_empty() => {
                finding
                    .fault(&format!("column {}", at + 1), "has values and no header: name it, or clear it".to_owned());
            }
            None => {
                finding.fault(name, format!("is not known: there are {}; or say by map= which it is", form.names()))
            }
        }
    }
    for needed in form.needed {
        let missing = form.column(needed).is_some_and(|number| finding.places[number].is_none());
        if missing && !finding.faults.iter().any(|fault| fault.column.as_deref() == Some(needed)) {
            finding.fault(needed, "is missing: the header needs it, or a map= that says which column it is".to_owned());
        }
    }
    if finding.faults.is_empty() { Ok((finding.places, passed_over)) } else { Err(finding.faults) }
}

/// The column a header names: without doubt where there is one, else the one with the longest name it begins with.
fn best(form: &Form, header: &str) -> Option<(usize, Result<Option<Unit>, String>)> {
    let named = form.columns.iter().enumerate().filter_map(|(number, column)| Some((number, column.named(header)?)));
    named.max_by_key(|(number, named)| (named.is_ok(), form.columns[*number].stem().len()))
}

struct Finding {
    line: u64,
    form: &'static Form,
    places: Vec<Option<Place>>,
    faults: Vec<CellFault>,
}

impl Finding {
    fn fault(&mut self, column: &str, detail: String) {
        self.faults.push(CellFault { line: self.line, column: Some(shortened(column)), value: None, detail });
    }

    fn take(&mut self, number: usize, place: Place) {
        if let Some(before) = &self.places[number] {
            let detail =
                format!("is {} like '{}': keep one of them", self.form.columns[number].name, shortened(&before.header));
            return self.fault(&place.header.clone(), detail);
        }
        self.places[number] = Some(place);
    }
}

/// Reads one column.
struct Read<'a> {
    kind: Kind,
    format: Format,
    place: &'a Place,
    way: &'a Way,
}

impl Read<'_> {
    fn all(&self, rows: &[RawRow], faults: &mut Vec<CellFault>) -> (Vec<Value>, Option<&'static str>) {
        match self.kind {
            Kind::Shown => (vec![Value::Blank; rows.len()], None),
            Kind::Id => (self.each(rows, faults, |raw| self.id(raw)), None),
            Kind::Text | Kind::Unit => (self.each(rows, faults, |raw| self.text(raw)), None),
            Kind::Day => self.days(rows, faults),
            Kind::Number | Kind::Measured(_) => self.numbers(rows, faults),
        }
    }

    fn each(
        &self,
        rows: &[RawRow],
        faults: &mut Vec<CellFault>,
        read: impl Fn(&Raw) -> Result<Value, String>,
    ) -> Vec<Value> {
        let mut one = |row: &RawRow| {
            let raw = cell(row, self.place.at);
            let read = if raw.is_blank() { Ok(Value::Blank) } else { read(raw) };
            read.unwrap_or_else(|why| {
                faults.push(self.fault(row, why));
                Value::Wrong
            })
        };
        rows.iter().map(&mut one).collect()
    }

    fn fault(&self, row: &RawRow, why: String) -> CellFault {
        CellFault::of_cell(row.line, &self.place.header, &cell(row, self.place.at).said(), why)
    }

    /// The texts of the column that say something, with their rows.
    fn texts<'r>(&self, rows: &'r [RawRow]) -> Vec<(&'r RawRow, &'r str)> {
        let text = |row: &'r RawRow| match cell(row, self.place.at) {
            Raw::Text(text) if !text.trim().is_empty() => Some((row, bare(text))),
            _ => None,
        };
        rows.iter().filter_map(text).collect()
    }

    fn id(&self, raw: &Raw) -> Result<Value, String> {
        match raw {
            Raw::Text(text) => Ok(Value::Text(bare(text).to_owned())),
            Raw::Number(number) => match Exact::of_sheet(*number).and_then(Exact::whole) {
                Some(whole) => Ok(Value::Text(whole.to_string())),
                None => Err("is a number with a fraction in this sheet: make the cell text".to_owned()),
            },
            Raw::Day(_) => Err("is a date in this sheet: make the cell text and write what it should say".to_owned()),
            Raw::Truth(_) => {
                Err("is a truth in this sheet: make the cell text and write what it should say".to_owned())
            }
            Raw::Failed(_) | Raw::Blank => Err(failed()),
        }
    }

    fn text(&self, raw: &Raw) -> Result<Value, String> {
        let text = match raw {
            // What a workbook holds as text was never guarded against being calculated.
            Raw::Text(text) if self.format == Format::Csv => guard::plain(text).to_owned(),
            Raw::Failed(_) | Raw::Blank => return Err(failed()),
            raw => raw.said(),
        };
        match text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t' | '\r')) {
            Some(wrong) => Err(format!("has the control character {wrong:?}, which cannot be kept: take it out")),
            None => Ok(Value::Text(text)),
        }
    }

    fn days(&self, rows: &[RawRow], faults: &mut Vec<CellFault>) -> (Vec<Value>, Option<&'static str>) {
        let texts = self.texts(rows);
        let order = match (self.way.dates, days::order_of(texts.iter().map(|(_, text)| *text))) {
            (Some(stated), _) => stated,
            (None, days::Told::Is(order)) => order,
            (None, days::Told::Both { at, day_first, month_first }) => {
                let detail = format!(
                    "is {day_first} with the day first and {month_first} with the month first, and no other day of this column tells: say dates=dmy or dates=mdy, or write 2026-05-04"
                );
                faults.push(self.fault(texts[at].0, detail));
                return (vec![Value::Wrong; rows.len()], None);
            }
            (None, days::Told::Mixed { day_first, month_first }) => {
                let (one, other) = (texts[day_first], texts[month_first]);
                let detail = format!(
                    "has its month first, and '{}' on line {} its day: write all days of a column alike, as 2026-05-04",
                    shortened(one.1),
                    one.0.line
                );
                faults.push(self.fault(other.0, detail));
                return (vec![Value::Wrong; rows.len()], None);
            }
        };
        if let (None, Some((date, text))) = (self.way.dates, self.dates_beside_texts(rows, &texts)) {
            let detail = format!(
                "is a date in this sheet, and '{}' on line {} is text: the program that made dates of some may have taken day for month; make all of the column text as 2026-05-04, or say dates=dmy or dates=mdy where the dates are right",
                shortened(text.1),
                text.0.line
            );
            faults.push(self.fault(date, detail));
            return (vec![Value::Wrong; rows.len()], None);
        }
        let values = self.each(rows, faults, |raw| match raw {
            Raw::Text(text) => order.read(bare(text)).map(Value::Day).ok_or_else(|| match self.way.dates {
                Some(stated) => {
                    format!("is not a day in the order {} that is stated: write it so, or as 2026-05-04", stated.word())
                }
                None => "is not a day: give it as 2026-05-04".to_owned(),
            }),
            Raw::Day(text) => Order::DayFirst
                .read(text)
                .map(Value::Day)
                .ok_or_else(|| "is a moment, and a day is wanted: leave the time out".to_owned()),
            Raw::Failed(_) | Raw::Blank => Err(failed()),
            Raw::Number(_) | Raw::Truth(_) => {
                Err("is no date in this sheet: make the cell a date, or text as 2026-05-04".to_owned())
            }
        });
        let told = texts.iter().any(|(_, text)| Order::DayFirst.read(text) != Order::MonthFirst.read(text));
        let read_as = match order {
            Order::DayFirst => "days with the day first",
            Order::MonthFirst => "days with the month first",
        };
        (values, told.then_some(read_as))
    }

    /// A date and a text that is one only with day and month in their order, where the column has both.
    fn dates_beside_texts<'r, 't>(
        &self,
        rows: &'r [RawRow],
        texts: &[(&'t RawRow, &'t str)],
    ) -> Option<(&'r RawRow, (&'t RawRow, &'t str))> {
        let ordered = |text: &str| Order::DayFirst.read(text) != Order::MonthFirst.read(text);
        let date = rows.iter().find(|row| matches!(cell(row, self.place.at), Raw::Day(_)))?;
        Some((date, *texts.iter().find(|(_, text)| ordered(text))?))
    }

    fn numbers(&self, rows: &[RawRow], faults: &mut Vec<CellFault>) -> (Vec<Value>, Option<&'static str>) {
        let texts = self.texts(rows);
        let sign = match (self.way.decimal, numbers::sign_of(texts.iter().map(|(_, text)| *text))) {
            (Some(stated), _) => stated,
            (None, numbers::Told::Is(sign)) => sign,
            (None, numbers::Told::Both { at, point, comma }) => {
                let detail = format!(
                    "is {point} with a decimal point and {comma} with a decimal comma, and no other number of this column tells: say decimal=. or decimal=,"
                );
                faults.push(self.fault(texts[at].0, detail));
                return (vec![Value::Wrong; rows.len()], None);
            }
            (None, numbers::Told::Mixed { point, comma }) => {
                let (one, other) = (texts[point], texts[comma]);
                let detail = format!(
                    "has a decimal comma, and '{}' on line {} a decimal point: write all numbers of a column alike",
                    shortened(one.1),
                    one.0.line
                );
                faults.push(self.fault(other.0, detail));
                return (vec![Value::Wrong; rows.len()], None);
            }
        };
        let values = self.each(rows, faults, |raw| match raw {
            Raw::Text(text) => sign.read(bare(text)).map(Value::Number).ok_or_else(|| match self.way.decimal {
                Some(_) => format!(
                    "is not a number with the decimal sign '{}' that is stated: give digits alone",
                    sign.letter()
                ),
                None => "is not a number: give digits alone, its unit in the column's name".to_owned(),
            }),
            Raw::Number(number) => Exact::of_sheet(*number).map(Value::Number).ok_or_else(|| {
                "is a number that is too large or too small to be kept: give at most 18 digits".to_owned()
            }),
            Raw::Failed(_) | Raw::Blank => Err(failed()),
            Raw::Day(_) => Err("is a date in this sheet: make the cell a number and write it again".to_owned()),
            Raw::Truth(_) => Err("is a truth in this sheet: give a number".to_owned()),
        });
        let told = texts.iter().any(|(_, text)| Sign::Point.read(text) != Sign::Comma.read(text));
        let read_as = match sign {
            Sign::Point => "numbers with a decimal point",
            Sign::Comma => "numbers with a decimal comma",
        };
        (values, told.then_some(read_as))
    }
}

/// Without blanks around it, and without the apostrophe that keeps a spreadsheet from reading it.
fn bare(text: &str) -> &str {
    guard::plain_id(text.trim())
}

fn failed() -> String {
    "is a formula that came to nothing: mend it, or write the value".to_owned()
}

#[cfg(test)]
mod tests {
    use super::super::units::Measure;
    use super::super::{form::Column, sheet};
    use super::*;

    static FORM: Form = Form {
        name: "things",
        columns: &[
            Column::whole("thing", Kind::Id),
            Column::whole("note", Kind::Text),
            Column::whole("due_on", Kind::Day),
            Column::whole("pack_in_unit", Kind::Measured(Measure::Stock)),
            Column::whole("pack_price_minor", Kind::Measured(Measure::Money)),
        ],
        needed: &["thing"],
    };

    fn read(text: &str, way: &Way) -> Result<(Grid, Vec<CellFault>), Vec<CellFault>> {
        Grid::read(&sheet::read(text.as_bytes(), Format::Csv, way, "things")?, &FORM, way)
    }

    fn first_fault(text: &str) -> (u64, Option<String>, String) {
        let fault = match read(text, &Way::default()) {
            Ok((_, faults)) => faults[0].clone(),
            Err(faults) => faults[0].clone(),
        };
        (fault.line, fault.column, fault.detail)
    }

    #[test]
    fn headers_say_columns_and_units() {
        let (grid, faults) = read("thing,pack_kg,pack_price_major\nA,25,4.95\n", &Way::default()).unwrap();
        assert_eq!(faults, []);
        let word = |at: usize| grid.places[at].as_ref().unwrap().unit.unwrap().word;
        assert_eq!((word(3), word(4)), ("kg", "major"));
        assert!(grid.has("thing") && !grid.has("due_on"));
    }

    #[test]
    fn headers_that_are_not_clear_are_asked_back() {
        for (text, column, part) in [
            ("", None, "the file is empty"),
            ("note\nx\n", Some("thing"), "is missing"),
            ("thing,what\nA,x\n", Some("what"), "is not known"),
            ("thing,pack\nA,1\n", Some("pack"), "pack_ and the unit"),
            ("thing,pack_gal\nA,1\n", Some("pack_gal"), "us_gal or imp_gal"),
            ("thing,pack_price\nA,1\n", Some("pack_price"), "minor"),
            ("thing,note,note\nA,x,y\n", Some("note"), "keep one of them"),
            ("thing,\nA,x\n", Some("column 2"), "no header"),
        ] {
            let (line, found, detail) = first_fault(text);
            assert_eq!((line, found.as_deref()), (1, column), "{text:?}: {detail}");
            assert!(detail.contains(part), "{text:?}: {detail}");
        }
    }

    #[test]
    fn a_mapping_names_their_headers_and_passes_the_rest_over() {
        let map = |pairs: &[(&str, &str)]| Way {
            map: pairs.iter().map(|(ours, theirs)| ((*ours).to_owned(), (*theirs).to_owned())).collect(),
            ..Way::default()
        };
        let way = map(&[("thing", "Artikel"), ("pack_kg", "Sack (kg)")]);
        let (grid, faults) = read("Artikel;Telefon;Sack (kg)\nA;1;12,5\n", &way).unwrap();
        assert_eq!(faults, []);
        assert_eq!(grid.passed_over, ["Telefon"]);
        assert_eq!(grid.rows[0].values[3], Value::Number(Exact::parse("12.5").unwrap()));
        assert_eq!(grid.places[3].as_ref().unwrap().read_as, Some("numbers with a decimal comma"));
        for (pairs, part) in [
            (&[("thing", "Nummer")][..], "not in the header"),
            (&[("thing", "Artikel"), ("what", "Telefon")], "which is not known"),
            (&[("note", "Artikel"), ("thing", "Artikel")], "two of our columns"),
        ] {
            let faults = read("Artikel;Telefon\nA;1\n", &map(pairs)).unwrap_err();
            assert!(faults.iter().any(|fault| fault.detail.contains(part)), "{pairs:?}: {faults:?}");
        }
    }

    #[test]
    fn a_column_that_can_be_read_in_two_ways_is_refused_with_both() {
        let (line, column, detail) = first_fault("thing,due_on\nA,05/05/2026\nB,04/05/2026\n");
        assert_eq!((line, column.as_deref()), (3, Some("due_on")));
        assert!(
            detail.contains("2026-05-04") && detail.contains("2026-04-05") && detail.contains("dates=dmy"),
            "{detail}"
        );
        let (line, column, detail) = first_fault("thing;pack_kg\nA;25\nB;1.250\n");
        assert_eq!((line, column.as_deref()), (3, Some("pack_kg")));
        assert!(detail.contains("1.25 ") && detail.contains("1250 ") && detail.contains("decimal=,"), "{detail}");
        let stated = Way { decimal: Some(Sign::Comma), dates: Some(Order::MonthFirst), ..Way::default() };
        let (grid, faults) = read("thing;pack_kg;due_on\nB;1.250;04/05/2026\n", &stated).unwrap();
        assert_eq!(faults, []);
        assert_eq!(grid.rows[0].values[3], Value::Number(Exact::parse("1250").unwrap()));
        assert_eq!(grid.rows[0].values[2], Value::Day("2026-04-05".parse().unwrap()));
    }

    #[test]
    fn exactly_one_apostrophe_is_taken_away() {
        let (grid, faults) = read("thing,note\n'1042,'=1+1\nB,''=x\nC,'s\n", &Way::default()).unwrap();
        assert_eq!(faults, []);
        let said: Vec<_> = grid.rows.iter().map(|row| (row.values[0].clone(), row.values[1].clone())).collect();
        let text = |text: &str| Value::Text(text.to_owned());
        assert_eq!(said, [(text("1042"), text("=1+1")), (text("B"), text("'=x")), (text("C"), text("'s"))]);
    }

    #[test]
    fn every_fault_of_every_cell_is_listed() {
        let text = "thing,due_on,pack_kg\nA,soon,25\nB,2026-05-04,many\nC,2026-02-30\n";
        let (_, faults) = read(text, &Way::default()).unwrap();
        let found: Vec<_> = faults.iter().map(|f| (f.line, f.column.as_deref().unwrap_or(""))).collect();
        assert_eq!(found, [(4, ""), (2, "due_on"), (4, "due_on"), (3, "pack_kg")]);
        assert_eq!(faults[1].value.as_deref(), Some("soon"));
    }
}
