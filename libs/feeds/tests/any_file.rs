//! Whatever file is brought along: no panic, no hang, faults that say where, and nothing read that is not there. Cases that once
//! went wrong are kept in `any_file.proptest-regressions`.

#![allow(clippy::unwrap_used, reason = "a test panics where it fails")]

use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};

use feeds::documents::{read_facts, read_plan};
use feeds::intake::exact::Exact;
use feeds::intake::form::Form;
use feeds::intake::numbers::Sign;
use feeds::intake::sheet::{self, MOST_COLUMNS, MOST_ROWS, Raw, RawRow, Sheet};
use feeds::intake::{self, CellFault, Format, Grid, Way, days};
use feeds::table::{Cell, Table, workbook};
use proptest::prelude::*;
use zip::write::SimpleFileOptions;

/// Reads a file as each kind of table; every fault there is.
fn read_as_each(bytes: &[u8], format: Format, way: &Way) -> Vec<CellFault> {
    let forms = [
        &intake::orders::FORM,
        &intake::materials::FORM,
        &intake::mould_groups::FORM,
        &intake::panels::FORM,
        &intake::deliveries::FORM,
        &intake::counts::FORM,
    ];
    forms.into_iter().flat_map(|form| read(bytes, format, way, form)).collect()
}

fn read(bytes: &[u8], format: Format, way: &Way, form: &'static Form) -> Vec<CellFault> {
    let sheet = match sheet::read(bytes, format, way, form.name) {
        Ok(sheet) => sheet,
        Err(faults) => return faults,
    };
    assert!(sheet.rows.len() <= MOST_ROWS + 1 && sheet.rows.iter().all(|row| row.cells.len() <= MOST_COLUMNS));
    let (grid, mut faults) = match Grid::read(&sheet, form, way) {
        Ok(read) => read,
        Err(faults) => return faults,
    };
    let today = "2026-05-04".parse().unwrap();
    faults.extend(match form.name {
        "orders" => intake::orders::drafts(&grid, &BTreeMap::new()).1,
        "materials" => intake::materials::drafts(&grid, &BTreeMap::new()).1,
        "mould_groups" => intake::mould_groups::drafts(&grid, &BTreeMap::new()).1,
        "panels" => intake::panels::drafts(&grid, &BTreeMap::new(), &BTreeMap::new()).1,
        "deliveries" => intake::deliveries::wanted(&grid, &intake::deliveries::Known::default()).1,
        _ => intake::counts::counts(&grid, &BTreeMap::new(), today).1,
    });
    faults
}

fn held(faults: &[CellFault]) {
    for fault in faults {
        assert!(fault.line >= 1 && !fault.detail.is_empty(), "{fault:?}");
        assert!(fault.value.as_ref().is_none_or(|value| value.chars().count() <= 61), "{fault:?}");
    }
}

/// Words that mean something in a header or a cell, so that files by lot get far.
const WORDS: &[&str] = &[
    "order",
    "due_on",
    "set",
    "panel",
    "finish",
    "quantity",
    "line",
    "note",
    "material",
    "unit",
    "pack_kg",
    "pack_in_unit",
    "pack",
    "kind",
    "pack_price_minor",
    "floor_us_gal",
    "mould_group",
    "moulds",
    "out_from",
    "out_which",
    "tank",
    "length_in",
    "suits_mix",
    "per_panel_in_unit",
    "delivery",
    "reference",
    "quantity_packs",
    "expected_on",
    "counted_kg",
    "day",
    "A",
    "1042",
    "2026-05-04",
    "04/05/2026",
    "31.12.2026",
    "1,250",
    "1.250",
    "1.250,5",
    "-3",
    "'=x",
    "''",
    "grey@2",
    "g",
    "open",
    "high",
    "\"",
    "",
];

fn word() -> impl Strategy<Value = String> {
    prop_oneof![8 => proptest::sample::select(WORDS).prop_map(str::to_owned), 1 => ".{0,12}"]
}

fn text_file() -> impl Strategy<Value = String> {
    let row = proptest::collection::vec(word(), 0..8);
    let parted = (proptest::collection::vec(row, 0..12), proptest::sample::select(&[",", ";", "\t"][..]));
    parted.prop_map(|(rows, by)| rows.iter().map(|row| row.join(by) + "\r\n").collect())
}

fn way() -> impl Strategy<Value = Way> {
    let map = proptest::collection::btree_map(word(), word(), 0..3);
    let decimal = proptest::option::of(proptest::sample::select(&[Sign::Point, Sign::Comma][..]));
    let dates = proptest::option::of(proptest::sample::select(&[days::Order::DayFirst, days::Order::MonthFirst][..]));
    (map, decimal, dates).prop_map(|(map, decimal, dates)| Way { map, decimal, dates, sheet: None })
}

fn book(rows: &[Vec<String>]) -> Vec<u8> {
    let mut table = Table::new("orders", &["order", "due_on", "set", "finish", "quantity"]);
    for row in rows {
        table.row(row.iter().cloned().map(Cell::Text).chain(std::iter::repeat(Cell::Empty)).take(5).collect());
    }
    workbook(&[table]).unwrap()
}

/// The book with one of its parts put through `change`.
fn changed(book: &[u8], part: usize, change: impl Fn(Vec<u8>) -> Vec<u8>) -> Vec<u8> {
    let mut from = zip::ZipArchive::new(Cursor::new(book)).unwrap();
    let mut to = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let parts = from.len();
    for at in 0..parts {
        let mut entry = from.by_index(at).unwrap();
        let mut content = Vec::new();
        entry.read_to_end(&mut content).unwrap();
        to.start_file(entry.name(), SimpleFileOptions::default()).unwrap();
        to.write_all(&if at == part % parts { change(content) } else { content }).unwrap();
    }
    to.finish().unwrap().into_inner()
}

/// The book with another text in the place of its sheet.
fn with_sheet(xml: &str) -> Vec<u8> {
    with_part(&book(&[]), "sheet1.xml", xml)
}

/// The book with another text in the place of the part whose name ends so.
fn with_part(whole: &[u8], part: &str, xml: &str) -> Vec<u8> {
    let names: Vec<String> =
        zip::ZipArchive::new(Cursor::new(whole)).unwrap().file_names().map(str::to_owned).collect();
    let at = (0..names.len()).find(|at| {
        let mut archive = zip::ZipArchive::new(Cursor::new(whole)).unwrap();
        archive.by_index(*at).unwrap().name().ends_with(part)
    });
    changed(whole, at.unwrap(), |_| xml.as_bytes().to_vec())
}

fn sheet_of(cells: &str) -> String {
    format!(
        "<worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData>{cells}</sheetData></worksheet>"
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400), way in way()) {
        held(&read_as_each(&bytes, Format::Csv, &way));
        held(&read_as_each(&bytes, Format::Xlsx, &way));
    }

    #[test]
    fn any_text(text in text_file(), way in way()) {
        held(&read_as_each(text.as_bytes(), Format::Csv, &way));
    }

    #[test]
    fn any_damage_to_a_workbook(
        rows in proptest::collection::vec(proptest::collection::vec(word(), 0..5), 0..6),
        part in 0..12_usize,
        at in any::<proptest::sample::Index>(),
        put in proptest::collection::vec(any::<u8>(), 0..4),
        cut in 0..40_usize,
    ) {
        let whole = book(&rows);
        let damaged = changed(&whole, part, |mut content| {
            let from = at.index(content.len() + 1);
            let to = (from + cut).min(content.len());
            content.splice(from..to, put.iter().copied());
            content
        });
        held(&read_as_each(&damaged, Format::Xlsx, &Way::default()));
        let from = at.index(whole.len());
        held(&read_as_each(&whole[..from], Format::Xlsx, &Way::default()));
    }

    #[test]
    fn any_facts_and_plans(text in prop_oneof![".{0,200}", "[\\[\\]{}\":,0-9a-z_ .-]{0,200}"], depth in 0..3_000_usize) {
        let deep = format!("{}{text}", "[".repeat(depth));
        for document in [&text, &deep] {
            drop(read_facts(document));
            drop(read_plan(document));
        }
    }

    #[test]
    fn numbers_are_read_as_they_were_written(whole in -999_999_999_999_i64..1_000_000_000_000, behind in 0..1000_u32) {
        let text = format!("{whole}.{behind:03}");
        let exact = Exact::parse(&text).unwrap();
        prop_assert_eq!(Sign::Point.read(&text), Some(exact));
        prop_assert_eq!(Sign::Comma.read(&text.replace('.', ",")), Some(exact));
        prop_assert!((exact.number() - text.parse::<f64>().unwrap()).abs() < 1e-3);
    }
}

#[test]
fn formulas_are_read_by_value() {
    let text = |cell: &str, text: &str| format!("<c r=\"{cell}\" t=\"inlineStr\"><is><t>{text}</t></is></c>");
    let header = ["order", "due_on", "set", "finish", "quantity"];
    let header: String =
        ["A1", "B1", "C1", "D1", "E1"].iter().zip(header).map(|(cell, name)| text(cell, name)).collect();
    let row = format!(
        "{}<c r=\"B2\" t=\"str\"><f>TEXT(TODAY(),\"yyyy-mm-dd\")</f><v>2026-06-12</v></c>{}{}<c r=\"E2\"><f>1+1</f><v>2</v></c>",
        text("A2", "TH-1"),
        text("C2", "bed"),
        text("D2", "grey")
    );
    let good = with_sheet(&sheet_of(&format!("<row r=\"1\">{header}</row><row r=\"2\">{row}</row>")));
    let sheet = sheet::read(&good, Format::Xlsx, &Way::default(), "orders").unwrap();
    let (grid, faults) = Grid::read(&sheet, &intake::orders::FORM, &Way::default()).unwrap();
    let (drafts, more) = intake::orders::drafts(&grid, &BTreeMap::new());
    assert_eq!((faults, more), (vec![], vec![]));
    assert_eq!((drafts[0].value.due_on.to_string().as_str(), drafts[0].value.lines[0].quantity), ("2026-06-12", 2));
    let failed = row.replace("<c r=\"E2\"><f>1+1</f><v>2</v></c>", "<c r=\"E2\" t=\"e\"><f>1/0</f><v>#DIV/0!</v></c>");
    let failed = with_sheet(&sheet_of(&format!("<row r=\"1\">{header}</row><row r=\"2\">{failed}</row>")));
    let faults = read(&failed, Format::Xlsx, &Way::default(), &intake::orders::FORM);
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(
        (faults[0].line, faults[0].column.as_deref(), faults[0].value.as_deref()),
        (2, Some("quantity"), Some("#DIV/0!"))
    );
}

#[test]
fn a_cell_far_out_and_a_bomb_take_no_memory() {
    let far = with_sheet(&sheet_of(
        "<row r=\"1\"><c r=\"A1\"><v>1</v></c></row><row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row>",
    ));
    let faults = read(&far, Format::Xlsx, &Way::default(), &intake::orders::FORM);
    assert!(faults[0].detail.contains("beyond column"), "{faults:?}");
    let bomb = with_sheet(&sheet_of(&" ".repeat(70 * 1024 * 1024)));
    assert!(bomb.len() < 1024 * 1024, "{}", bomb.len());
    let faults = read(&bomb, Format::Xlsx, &Way::default(), &intake::orders::FORM);
    assert!(faults[0].detail.contains("unpacks to more than"), "{faults:?}");
}

/// A workbook keeps a text once, however many cells show it.
#[test]
fn one_text_in_many_cells_takes_no_memory() {
    let shown = |text: &str, rows: usize| {
        let cell = |row: usize| format!("<row r=\"{row}\"><c r=\"A{row}\" t=\"s\"><v>0</v></c></row>");
        let sheet = with_sheet(&sheet_of(&(1..=rows).map(cell).collect::<String>()));
        let texts = format!(
            "<sst xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><si><t>{text}</t></si></sst>"
        );
        read(&with_part(&sheet, "sharedStrings.xml", &texts), Format::Xlsx, &Way::default(), &intake::orders::FORM)
    };
    let faults = shown(&"x".repeat(1024 * 1024), 3);
    assert_eq!(faults.iter().map(|fault| fault.line).collect::<Vec<_>>(), [1, 2, 3], "{faults:?}");
    assert!(faults[0].detail.contains("32767"), "{faults:?}");
    let faults = shown(&"x".repeat(32_000), 3_000);
    assert!(faults[0].detail.contains("cells say more than"), "{faults:?}");
}

/// A program that took some of a column's days for dates has taken them by its own order, not by the sender's.
#[test]
fn dates_beside_days_in_an_order_are_asked_back() {
    let faults = |day: &str, way: &Way| {
        let row =
            |line, cells: [&str; 2]| RawRow { line, cells: cells.map(|cell| Raw::Text(cell.to_owned())).to_vec() };
        let mut rows = vec![row(1, ["order", "due_on"]), row(2, ["TH-1", ""]), row(3, ["TH-2", day])];
        rows[1].cells[1] = Raw::Day("2026-04-05".to_owned());
        let (_, faults) = Grid::read(&Sheet { format: Format::Xlsx, rows }, &intake::orders::FORM, way).unwrap();
        faults
    };
    let found = faults("31/12/2026", &Way::default());
    assert_eq!(
        found.iter().map(|fault| (fault.line, fault.column.as_deref())).collect::<Vec<_>>(),
        [(2, Some("due_on"))]
    );
    assert!(found[0].detail.contains("line 3"), "{found:?}");
    assert_eq!(faults("31/12/2026", &Way { dates: Some(days::Order::DayFirst), ..Way::default() }), []);
    for told in ["2026-12-31", "05/05/2026", ""] {
        assert_eq!(faults(told, &Way::default()), [], "{told}");
    }
}
