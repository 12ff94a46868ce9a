//! CSV as people's spreadsheets write it: with or without a byte order mark, fields parted by commas, semicolons or tabs.

use super::fault::CellFault;
use super::sheet::{MOST_ROWS, Raw, RawRow, too_many_rows};

/// All rows that say anything.
pub(super) fn rows(bytes: &[u8]) -> Result<Vec<RawRow>, Vec<CellFault>> {
    let text = std::str::from_utf8(bytes).map_err(|e| {
        let line = 1 + ends(&bytes[..e.valid_up_to()], bytes.get(e.valid_up_to()));
        vec![CellFault::of_line(line, "is not UTF-8: save the file as CSV in UTF-8")]
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = ::csv::ReaderBuilder::new()
        .delimiter(delimiter(text))
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut lines = Lines { text, byte: 0, line: 1 };
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| {
            let line = lines.of(error.position().map_or(0, ::csv::Position::byte));
            vec![CellFault::of_line(line, format!("is not CSV: {error}"))]
        })?;
        let line = lines.of(record.position().map_or(0, ::csv::Position::byte));
        let cells: Vec<Raw> = record.iter().map(raw).collect();
        if cells.iter().all(Raw::is_blank) {
            continue;
        }
        if rows.len() > MOST_ROWS {
            return Err(vec![too_many_rows(line)]);
        }
        rows.push(RawRow { line, cells });
    }
    Ok(rows)
}

fn raw(field: &str) -> Raw {
    if field.is_empty() { Raw::Blank } else { Raw::Text(field.to_owned()) }
}

/// The one of comma, semicolon and tab that is most often in the header, outside quotation marks.
fn delimiter(text: &str) -> u8 {
    let mut quoted = false;
    let mut counts = [(b',', 0_usize), (b';', 0), (b'\t', 0)];
    for byte in text.bytes() {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            _ if quoted => {}
            byte => counts.iter_mut().filter(|(sign, _)| *sign == byte).for_each(|(_, count)| *count += 1),
        }
    }
    // Of equals the first: `max_by_key` would take the last.
    counts.iter().rev().max_by_key(|(_, count)| *count).map_or(b',', |(sign, _)| *sign)
}

/// How many lines end in a part of a text before which no CR stands alone: by LF, by CR, or by both together.
fn ends(part: &[u8], next: Option<&u8>) -> u64 {
    let after = part.iter().skip(1).chain(next).map(Some).chain([None]);
    part.iter()
        .zip(after)
        .filter(|(byte, after)| **byte == b'\n' || (**byte == b'\r' && *after != Some(&b'\n')))
        .count() as u64
}

/// Counts lines as an editor does. The CSV reader's own count is one short where lines end in CRLF: it takes the LF to
/// belong to the next record.
struct Lines<'t> {
    text: &'t str,
    byte: usize,
    line: u64,
}

impl Lines<'_> {
    /// The line of the first letter at or after a place that only rises.
    fn of(&mut self, byte: u64) -> u64 {
        let bytes = self.text.as_bytes();
        let mut to = usize::try_from(byte).unwrap_or(usize::MAX).clamp(self.byte, bytes.len());
        while bytes.get(to).is_some_and(|b| matches!(b, b'\r' | b'\n')) {
            to += 1;
        }
        self.line += ends(&bytes[self.byte..to], bytes.get(to));
        self.byte = to;
        self.line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> Vec<(u64, Vec<String>)> {
        let said = |row: RawRow| (row.line, row.cells.iter().map(Raw::said).collect());
        rows(text.as_bytes()).unwrap().into_iter().map(said).collect()
    }

    #[test]
    fn all_usual_ways_of_writing_are_read() {
        let cells = |cells: [&str; 2]| cells.map(str::to_owned).to_vec();
        for text in [
            "order,note\r\nA,\"x, y\"\r\n",
            "\u{feff}order;note\nA;x, y\n",
            "order\tnote\nA\tx, y\n",
            "order,note\nA,\"x, y\"\n\n,\n",
            "\"order\";\"note\"\nA;x, y",
        ] {
            assert_eq!(said(text), [(1, cells(["order", "note"])), (2, cells(["A", "x, y"]))], "{text:?}");
        }
    }

    #[test]
    fn lines_are_counted_as_an_editor_counts() {
        let lines = |text: &str| said(text).into_iter().map(|(line, _)| line).collect::<Vec<_>>();
        assert_eq!(lines("a,b\r\n\r\nA,\"x\r\ny\"\r\nB,\r\n"), [1, 3, 5]);
        assert_eq!(lines("a,b\n\n\nA,x\nB,\n"), [1, 4, 5]);
        assert_eq!(lines("a,b\r\rA,\"x\ry\"\rB,\r"), [1, 3, 5]);
    }

    #[test]
    fn other_texts_are_refused() {
        assert!(rows(b"a\n\xff").unwrap_err()[0].detail.contains("UTF-8"));
        assert_eq!(rows(b"a\n\xff").unwrap_err()[0].line, 2);
        assert_eq!(rows(b"a\r\n\rb\xff").unwrap_err()[0].line, 3);
        let long = format!("a\n{}", "1\n".repeat(MOST_ROWS + 1));
        assert!(rows(long.as_bytes()).unwrap_err()[0].detail.contains("20000"));
        assert_eq!(rows(b"").unwrap(), []);
    }
}
