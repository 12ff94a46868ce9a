//! Which decimal sign a column of numbers has.

use super::exact::Exact;

/// The decimal sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// 1,234.5
    Point,
    /// 1.234,5
    Comma,
}

/// What may stand between thousands whatever the decimal sign: blanks of three widths, and apostrophes.
const BETWEEN: [char; 5] = [' ', '\u{a0}', '\u{202f}', '\'', '\u{2019}'];

impl Sign {
    /// As it is written.
    pub const fn letter(self) -> char {
        match self {
            Sign::Point => '.',
            Sign::Comma => ',',
        }
    }

    const fn thousands(self) -> char {
        match self {
            Sign::Point => ',',
            Sign::Comma => '.',
        }
    }

    /// The number a text is under this decimal sign; thousands may be parted, if they all are, in threes and after no zero.
    pub fn read(self, text: &str) -> Option<Exact> {
        let (whole, behind) = match text.split_once(self.letter()) {
            Some((whole, behind)) => (whole, Some(behind)),
            None => (text, None),
        };
        let digits = whole.trim_start_matches(['-', '+', '\u{2212}']);
        let parting = digits.chars().find(|c| BETWEEN.contains(c) || *c == self.thousands());
        let whole = match parting {
            Some(parting) => {
                let mut parts = digits.split(parting);
                let first = parts.next().is_some_and(|part| (1..=3).contains(&part.len()) && !part.starts_with('0'));
                if !(first && parts.all(|part| part.len() == 3)) {
                    return None;
                }
                whole.replace(parting, "")
            }
            None => whole.to_owned(),
        };
        match behind {
            Some(behind) => Exact::parse(&format!("{whole}.{behind}")),
            None => Exact::parse(&whole),
        }
    }
}

/// What a column says of its decimal sign.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// All its numbers are written with this sign, or it makes no difference.
    Is(Sign),
    /// The number at this place can be read as either, and so can all others.
    Both {
        /// Which of the texts.
        at: usize,
        /// What it is with a decimal point.
        point: Exact,
        /// What it is with a decimal comma.
        comma: Exact,
    },
    /// One is written with a point, another with a comma.
    Mixed {
        /// Which of the texts has a point.
        point: usize,
        /// Which has a comma.
        comma: usize,
    },
}

/// Reads the sign off all numbers of a column; what is no number under either sign has no say.
pub fn sign_of<'t>(texts: impl Iterator<Item = &'t str>) -> Told {
    let (mut point, mut comma, mut both) = (None, None, None);
    for (at, text) in texts.enumerate() {
        match (Sign::Point.read(text), Sign::Comma.read(text)) {
            (Some(_), None) => point = point.or(Some(at)),
            (None, Some(_)) => comma = comma.or(Some(at)),
            (Some(one), Some(other)) if one != other => both = both.or(Some((at, one, other))),
            _ => {}
        }
    }
    match (point, comma, both) {
        (Some(point), Some(comma), _) => Told::Mixed { point, comma },
        (None, Some(_), _) => Told::Is(Sign::Comma),
        (None, None, Some((at, point, comma))) => Told::Both { at, point, comma },
        _ => Told::Is(Sign::Point),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_signs_are_read() {
        let cases = [
            ("1234.5", Some("1234.5"), None),
            ("1,234.5", Some("1234.5"), None),
            ("1.234,5", None, Some("1234.5")),
            ("1.234", Some("1.234"), Some("1234")),
            ("1,234", Some("1234"), Some("1.234")),
            ("12,34", None, Some("12.34")),
            ("1 234 567", Some("1234567"), Some("1234567")),
            ("1'234.5", Some("1234.5"), None),
            ("-3", Some("-3"), Some("-3")),
            ("1,23,456", None, None),
            ("1.2.3", None, None),
            ("twelve", None, None),
            ("3 kg", None, None),
            ("12 34", None, None),
        ];
        for (text, point, comma) in cases {
            let said = |sign: Sign| sign.read(text).map(|n| n.to_string());
            assert_eq!((said(Sign::Point).as_deref(), said(Sign::Comma).as_deref()), (point, comma), "{text}");
        }
    }

    #[test]
    fn the_whole_column_tells() {
        let told = |texts: &[&str]| sign_of(texts.iter().copied());
        assert_eq!(told(&["1.234", "1.5"]), Told::Is(Sign::Point));
        assert_eq!(told(&["1.234", "1,5"]), Told::Is(Sign::Comma));
        assert_eq!(told(&["12", "7"]), Told::Is(Sign::Point));
        assert_eq!(told(&["1.5", "1.234", "2,5"]), Told::Mixed { point: 0, comma: 2 });
        assert!(matches!(told(&["7", "1.234"]), Told::Both { at: 1, .. }));
        assert_eq!(told(&["many", "1,5"]), Told::Is(Sign::Comma));
    }
}
