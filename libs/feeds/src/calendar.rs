//! Entries as an iCalendar file (RFC 5545): whole days as DATE values whose end is the day after, lines folded at 75 octets, a
//! UID that stays, SEQUENCE and LAST-MODIFIED that rise with each change, and cancelled entries that say so.
//!
//! Written here and not by a crate: those that write iCalendar ask the machine for the time and draw ids.

use chrono::{DateTime, Days, NaiveDate as Day, Utc};
use workshop::agenda::{Event, Topic};

/// Octets of a line.
const LINE: usize = 75;

/// A calendar of this name with these entries, in the order given.
pub fn written(name: &str, events: &[Event]) -> String {
    let mut lines = Lines::default();
    lines.add("BEGIN", "VCALENDAR");
    lines.add("VERSION", "2.0");
    lines.add("PRODID", "-//Mouldboard//Workshop calendar//EN");
    lines.add("CALSCALE", "GREGORIAN");
    lines.add("METHOD", "PUBLISH");
    lines.add("X-WR-CALNAME", &escaped(name));
    lines.add("REFRESH-INTERVAL;VALUE=DURATION", "PT1H");
    for event in events {
        entry(&mut lines, event);
    }
    lines.add("END", "VCALENDAR");
    lines.text
}

fn entry(lines: &mut Lines, event: &Event) {
    let content = &event.content;
    lines.add("BEGIN", "VEVENT");
    lines.add("UID", &escaped(&format!("{}-{}@mouldboard", content.topic.word(), content.name)));
    // Of a published calendar this is when the entry was last written, so the same entries are the same file.
    lines.add("DTSTAMP", &instant(event.changed_at));
    lines.add("DTSTART;VALUE=DATE", &date(content.day));
    lines.add("DTEND;VALUE=DATE", &date(content.day + Days::new(1)));
    lines.add("SUMMARY", &escaped(&content.summary));
    if !content.description.is_empty() {
        lines.add("DESCRIPTION", &escaped(&content.description));
    }
    lines.add("CATEGORIES", category(content.topic));
    lines.add("SEQUENCE", &event.sequence.to_string());
    lines.add("LAST-MODIFIED", &instant(event.changed_at));
    lines.add("STATUS", if event.cancelled { "CANCELLED" } else { "CONFIRMED" });
    lines.add("TRANSP", "TRANSPARENT");
    lines.add("END", "VEVENT");
}

const fn category(topic: Topic) -> &'static str {
    match topic {
        Topic::Pour => "Pours",
        Topic::Strip => "Strips",
        Topic::Lift => "Lifts",
        Topic::Delivery => "Deliveries",
        Topic::OrderDay => "Order days",
        Topic::Order => "Orders",
    }
}

fn date(day: Day) -> String {
    day.format("%Y%m%d").to_string()
}

fn instant(at: DateTime<Utc>) -> String {
    at.format("%Y%m%dT%H%M%SZ").to_string()
}

/// Text as a value: signs that part values behind a backslash, line breaks as `\n`, other control characters left out.
fn escaped(text: &str) -> String {
    let mut value = String::with_capacity(text.len());
    for c in text.replace("\r\n", "\n").chars() {
        match c {
            '\\' | ';' | ',' => value.extend(['\\', c]),
            '\n' | '\r' => value.push_str("\\n"),
            '\t' => value.push('\t'),
            c if c.is_control() => {}
            c => value.push(c),
        }
    }
    value
}

#[derive(Default)]
struct Lines {
    text: String,
}

impl Lines {
    /// One content line, folded: what goes on begins with a blank, and no character is cut in two.
    fn add(&mut self, name: &str, value: &str) {
        let mut octets = 0;
        for c in name.chars().chain([':']).chain(value.chars()) {
            if octets + c.len_utf8() > LINE {
                self.text.push_str("\r\n ");
                octets = 1;
            }
            self.text.push(c);
            octets += c.len_utf8();
        }
        self.text.push_str("\r\n");
    }
}

#[cfg(test)]
mod tests {
    use workshop::agenda::Wanted;

    use super::*;

    fn event(summary: &str) -> Event {
        let content = Wanted {
            topic: Topic::Pour,
            name: "2026-03-29".into(),
            day: "2026-03-29".parse().unwrap(),
            summary: summary.into(),
            description: "2 × side, grey@2\n4 × end; red, blue".into(),
        };
        Event { content, sequence: 3, changed_at: "2026-03-29T01:30:00Z".parse().unwrap(), cancelled: true }
    }

    #[test]
    fn an_entry_to_the_byte() {
        let text = written("Pours", &[event("Pour 6 panels")]);
        let expected = [
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//Mouldboard//Workshop calendar//EN",
            "CALSCALE:GREGORIAN",
            "METHOD:PUBLISH",
            "X-WR-CALNAME:Pours",
            "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
            "BEGIN:VEVENT",
            "UID:pour-2026-03-29@mouldboard",
            "DTSTAMP:20260329T013000Z",
            "DTSTART;VALUE=DATE:20260329",
            "DTEND;VALUE=DATE:20260330",
            "SUMMARY:Pour 6 panels",
            "DESCRIPTION:2 × side\\, grey@2\\n4 × end\\; red\\, blue",
            "CATEGORIES:Pours",
            "SEQUENCE:3",
            "LAST-MODIFIED:20260329T013000Z",
            "STATUS:CANCELLED",
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
            "END:VCALENDAR",
        ];
        assert_eq!(text, expected.map(|line| format!("{line}\r\n")).concat());
    }

    #[test]
    fn lines_are_folded_between_characters() {
        let summary = "€".repeat(200);
        let text = written("Pours", &[event(&summary)]);
        assert!(text.split("\r\n").all(|line| line.len() <= LINE));
        assert!(text.replace("\r\n ", "").contains(&format!("SUMMARY:{summary}\r\n")));
    }

    #[test]
    fn nothing_in_a_text_can_end_its_line() {
        let text = written("Pours", &[event("a\r\nSTATUS:CONFIRMED\rb\u{0}\\n")]);
        assert!(text.contains("SUMMARY:a\\nSTATUS:CONFIRMED\\nb\\\\n\r\n"), "{text}");
    }
}
