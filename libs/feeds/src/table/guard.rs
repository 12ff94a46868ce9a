//! What a spreadsheet would take for something else: text it would calculate with, identifiers it would read as a number or a
//! date. Both get one apostrophe in front on the way out, and lose exactly one on the way in.

/// Signs a spreadsheet begins to calculate at.
const SIGNS: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// Beginnings of the months' names in the languages spreadsheets are set to, in small letters.
const MONTHS: [&str; 33] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec", "mai", "mrz", "okt", "dez",
    "fev", "avr", "jui", "aou", "ene", "abr", "ago", "dic", "gen", "mag", "giu", "lug", "set", "ott", "mei", "maa",
    "out",
];

/// Words a spreadsheet reads as true or false.
const TRUTHS: [&str; 6] = ["true", "false", "wahr", "falsch", "vrai", "faux"];

/// Text as it is written: behind one apostrophe where it, or what stands behind its apostrophes, begins with a sign.
pub fn text(text: &str) -> String {
    if text.trim_start_matches('\'').starts_with(SIGNS) { format!("'{text}") } else { text.to_owned() }
}

/// An identifier as it is written: behind one apostrophe where it could be read as a number, a date or a truth.
pub fn id(id: &str) -> String {
    if is_taken_for_another(id) { format!("'{id}") } else { text(id) }
}

/// Text as it was before [`text`].
pub fn plain(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.trim_start_matches('\'').starts_with(SIGNS) => rest,
        _ => cell,
    }
}

/// An identifier as it was before [`id`]; none begins with an apostrophe.
pub fn plain_id(cell: &str) -> &str {
    cell.strip_prefix('\'').unwrap_or(cell)
}

/// Numbers and dates have at most three runs of digits, and no letters but an exponent, a month or a half of the day.
fn is_taken_for_another(id: &str) -> bool {
    let lower = id.to_lowercase();
    let runs = |is: fn(char) -> bool| lower.split(move |c| !is(c)).filter(|run| !run.is_empty()).collect::<Vec<_>>();
    let (digits, letters) = (runs(|c| c.is_ascii_digit()), runs(char::is_alphabetic));
    if digits.is_empty() {
        return TRUTHS.contains(&lower.as_str());
    }
    let begins_with_letter = lower.starts_with(char::is_alphabetic);
    let misleads = |run: &&str| match run.len() {
        1 => !begins_with_letter,
        2 => matches!(*run, "am" | "pm"),
        _ => MONTHS.iter().any(|month| run.starts_with(month)),
    };
    digits.len() <= 3 && letters.iter().all(misleads)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_a_spreadsheet_calculates_with_gets_one_apostrophe() {
        for sign in SIGNS {
            assert_eq!(text(&format!("{sign}x")), format!("'{sign}x"));
        }
        assert_eq!(text("bed-side"), "bed-side");
        assert_eq!(text("'s"), "'s");
        assert_eq!(text(""), "");
    }

    #[test]
    fn what_was_guarded_comes_back() {
        for original in ["=x", "'=x", "''=x", "'s", "x", "", "-", "\t", "'", "'-"] {
            assert_eq!(plain(&text(original)), original);
        }
        for original in ["1042", "TH-1042", "MAR-1", "2026-05-04", "true"] {
            assert_eq!(plain_id(&id(original)), original);
        }
    }

    #[test]
    fn identifiers_that_look_like_numbers_dates_or_truths_are_guarded() {
        for misleading in [
            "1042",
            "007",
            "1E5",
            "12e-3",
            "1.5",
            "3-4",
            "2026-05-04",
            "1.2.2026",
            "MAR-1",
            "1-mar",
            "SEPT2",
            "dez24",
            "12am",
            "1@2",
            "True",
        ] {
            assert_eq!(id(misleading), format!("'{misleading}"), "{misleading}");
        }
        for plain in ["TH-1042", "A12", "E5", "bed-side-900", "foamed-grey@2", "2026-05-04-01", "north", "truly"] {
            assert_eq!(id(plain), plain);
        }
    }
}
