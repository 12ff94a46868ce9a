//! Writes feeds with everything in them that spreadsheets and calendars get wrong, and beside them what is really in them, for
//! the Python checks to hold against each other.
//!
//!     write_feeds FOLDER

use std::path::{Path, PathBuf};

use chrono::{DateTime, Days, LocalResult, NaiveDate as Day, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;
use feeds::calendar;
use feeds::table::{Cell, Style, Table, workbook};
use serde_json::{Value, json};
use workshop::agenda::{Event, Topic, Wanted};

/// Zones, and the days on whose night their clocks are put on and back.
const NIGHTS: [(&str, &str, &str); 3] = [
    ("Europe/Dublin", "2026-03-29", "2026-10-25"),
    ("America/New_York", "2026-03-08", "2026-11-01"),
    ("Australia/Lord_Howe", "2026-10-04", "2026-04-05"),
];

/// Texts that mean something else to one program or another.
const TEXTS: [&str; 22] = [
    "plain",
    "",
    "=1+1",
    "+44 1632 960000",
    "-5",
    "@sum",
    "\tbehind a tab",
    "'quoted",
    "'=quoted sum",
    "a, b; c",
    "say \"when\"",
    "two\nlines",
    "two\r\nlines",
    "1042",
    "007",
    "1E5",
    "MAR-1",
    "2026-05-04",
    "TRUE",
    "Ærøskøbing €½",
    "日本語",
    " blanks around ",
];

/// Texts that are identifiers too.
const IDS: [&str; 10] = ["TH-1042", "1042", "007", "1E5", "MAR-1", "2026-05-04", "3-4", "1.5", "true", "foamed-grey@2"];

/// A column for each of them, so that a reader that guesses has only one to go by.
const IN_COLUMNS: [&str; 10] = ["id_0", "id_1", "id_2", "id_3", "id_4", "id_5", "id_6", "id_7", "id_8", "id_9"];

fn table() -> (Table, Vec<Value>) {
    let mut table = Table::new("nasty", &["id", "text", "count", "mass_kg", "day", "written_at_utc", "unknown_kg"]);
    let mut expected = Vec::new();
    let first: Day = "2026-02-27".parse().expect("a day");
    for (at, text) in (0_i64..).zip(TEXTS) {
        let id = IDS[usize::try_from(at).unwrap_or(0) % IDS.len()];
        let count = (at - 3) * 1_000_000_007;
        let mass = f64::from(i32::try_from(at).unwrap_or(0) - 5) * 1234.567;
        let day = first + Days::new(at.unsigned_abs());
        let moment = day.and_time(NaiveTime::MIN).and_utc() + chrono::Duration::seconds(at * 3_671);
        table.row(vec![
            Cell::id(id),
            Cell::text(text),
            Cell::Whole(count),
            Cell::Decimal(mass, 3),
            Cell::Day(day),
            Cell::Moment(moment),
            Cell::Empty,
        ]);
        let mass = format!("{mass:.3}");
        let mass = if mass == "-0.000" { "0.000".to_owned() } else { mass };
        expected.push(json!({
            "id": id, "text": text, "count": count, "mass_kg": mass, "day": day, "written_at_utc": moment, "unknown_kg": null,
        }));
    }
    (table, expected)
}

/// Instants around both nights: before, in, and after the hour that is missing or comes twice.
fn instants(zone: Tz, night: Day) -> Vec<DateTime<Utc>> {
    let midnight = night.and_time(NaiveTime::MIN);
    let start = match zone.from_local_datetime(&midnight) {
        LocalResult::Single(at) | LocalResult::Ambiguous(at, _) => at.to_utc(),
        LocalResult::None => midnight.and_utc(),
    };
    (0..12).map(|half_hours| start + chrono::Duration::minutes(30 * half_hours)).collect()
}

fn events(zone: Tz, nights: [Day; 2]) -> Vec<Event> {
    let mut events = Vec::new();
    for night in nights {
        for (number, changed_at) in (0_usize..).zip(instants(zone, night)) {
            let content = Wanted {
                topic: Topic::ALL[number % Topic::ALL.len()],
                name: format!("{night}-{number}"),
                day: night,
                summary: format!("Pour {number} panels; {}", TEXTS[number % TEXTS.len()].replace('\t', " ")),
                description: format!("6 × side, grey@2\n{}", "long ".repeat(number * 9)).trim_end().to_owned(),
            };
            events.push(Event { content, sequence: 2, changed_at, cancelled: number % 3 == 0 });
        }
    }
    events
}

fn expected_event(event: &Event) -> Value {
    json!({
        "uid": format!("{}-{}@mouldboard", event.content.topic.word(), event.content.name),
        "day": event.content.day, "summary": event.content.summary, "description": event.content.description,
        "sequence": event.sequence, "changed_at": event.changed_at, "cancelled": event.cancelled,
    })
}

fn write(folder: &Path) -> std::io::Result<()> {
    let keep = |name: &str, bytes: &[u8]| std::fs::write(folder.join(name), bytes);
    let (table, expected) = table();
    keep("nasty.json", Value::from(expected).to_string().as_bytes())?;
    for (name, style) in [
        ("nasty.csv", Style::default()),
        ("nasty-bom.csv", Style { bom: true, decimal_comma: false }),
        ("nasty-comma.csv", Style { bom: false, decimal_comma: true }),
    ] {
        keep(name, table.csv(style).as_bytes())?;
    }
    let mut ids = Table::new("ids", &IN_COLUMNS);
    ids.row(IDS.map(Cell::id).into());
    keep("ids.csv", ids.csv(Style::default()).as_bytes())?;
    keep("ids.json", json!(IDS).to_string().as_bytes())?;
    keep("nasty.xlsx", &workbook(&[table]).map_err(std::io::Error::other)?)?;
    for (name, on, back) in NIGHTS {
        let zone: Tz = name.parse().map_err(std::io::Error::other)?;
        let nights = [on, back].map(|day| day.parse::<Day>().expect("a day"));
        let events = events(zone, nights);
        let file = name.replace('/', "-");
        keep(&format!("{file}.ics"), calendar::written(name, &events).as_bytes())?;
        let expected: Vec<Value> = events.iter().map(expected_event).collect();
        keep(&format!("{file}.json"), json!({ "zone": name, "events": expected }).to_string().as_bytes())?;
    }
    Ok(())
}

fn main() -> std::io::Result<()> {
    let folder = std::env::args_os().nth(1).map(PathBuf::from);
    let folder = folder.ok_or_else(|| std::io::Error::other("name a folder to write the feeds into"))?;
    std::fs::create_dir_all(&folder)?;
    write(&folder)
}
