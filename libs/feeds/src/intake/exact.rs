//! Numbers as they are written, without a binary fraction on the way.

/// Digits before the decimal sign.
const MOST_WHOLE: usize = 18;
/// Digits behind it.
const MOST_PLACES: usize = 12;
/// Digits that a sheet shows of a number.
const SHOWN_DIGITS: usize = 15;

/// A decimal number: `digits` · 10^−`places`, at most 18 digits before the decimal sign and 12 behind it.
#[derive(Clone, Copy, Debug)]
pub struct Exact {
    digits: i128,
    places: u32,
}

impl Exact {
    /// From digits with at most one point and a sign in front; none where it is anything else, or longer.
    pub fn parse(text: &str) -> Option<Self> {
        let (negative, text) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (whole, behind) = text.split_once('.').unwrap_or((text, ""));
        let all_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
        let behind = behind.trim_end_matches('0');
        let whole = if whole.len() > 1 { whole.trim_start_matches('0') } else { whole };
        let fits = whole.len() <= MOST_WHOLE && behind.len() <= MOST_PLACES;
        let something = text.bytes().any(|b| b.is_ascii_digit());
        if !(something && all_digits(whole) && all_digits(behind) && fits) {
            return None;
        }
        let digits: i128 = format!("0{whole}{behind}").parse().ok()?;
        let places = u32::try_from(behind.len()).ok()?;
        Some(Self { digits: if negative { -digits } else { digits }, places })
    }

    /// From a binary number as a sheet keeps it: the shortest decimal number that is meant by it. A sheet calculates in binary
    /// and shows fifteen digits: what is finer than those, or than we keep, is noise of that.
    pub fn of_sheet(number: f64) -> Option<Self> {
        let text = number.is_finite().then(|| format!("{number}"))?;
        let Some((whole, behind)) = text.split_once('.') else { return Self::parse(&text) };
        let before = if whole.trim_start_matches('-') == "0" { 0 } else { whole.trim_start_matches('-').len() };
        let places = SHOWN_DIGITS.saturating_sub(before).min(MOST_PLACES);
        if behind.len() > places { Self::parse(&format!("{number:.places$}")) } else { Self::parse(&text) }
    }

    /// The whole number it is; none where it has a fraction or is beyond counting.
    pub fn whole(self) -> Option<i64> {
        (self.places == 0).then(|| i64::try_from(self.digits).ok())?
    }

    /// As a binary number.
    pub fn number(self) -> f64 {
        self.to_string().parse().unwrap_or(f64::NAN)
    }

    /// Times `by.0 / by.1`, a half to the even neighbour, and whether that rounded. None beyond counting.
    pub fn times(self, by: (i128, i128)) -> Option<(i64, bool)> {
        let over = self.digits.checked_mul(by.0)?;
        let under = 10_i128.pow(self.places).checked_mul(by.1)?;
        let (down, rest) = (over.div_euclid(under), over.rem_euclid(under));
        let up = match (2 * rest).cmp(&under) {
            std::cmp::Ordering::Less => 0,
            std::cmp::Ordering::Equal => down.rem_euclid(2),
            std::cmp::Ordering::Greater => 1,
        };
        Some((i64::try_from(down + up).ok()?, rest != 0))
    }
}

impl PartialEq for Exact {
    fn eq(&self, other: &Self) -> bool {
        (self.digits, self.places) == (other.digits, other.places)
    }
}

impl std::fmt::Display for Exact {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let places = self.places as usize;
        let digits = format!("{:0>width$}", self.digits.unsigned_abs(), width = places + 1);
        let (whole, behind) = digits.split_at(digits.len() - places);
        let sign = if self.digits < 0 { "-" } else { "" };
        if places == 0 { write!(f, "{sign}{whole}") } else { write!(f, "{sign}{whole}.{behind}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_kept() {
        for (text, said) in
            [("1", "1"), ("1.50", "1.5"), ("-0.25", "-0.25"), (".5", "0.5"), ("007", "7"), ("0.0", "0"), ("+3.", "3")]
        {
            assert_eq!(Exact::parse(text).unwrap().to_string(), said, "{text}");
        }
        for text in ["", ".", "-", "1.2.3", "1e5", "1,5", "--1", "1-", "1234567890123456789"] {
            assert!(Exact::parse(text).is_none(), "{text}");
        }
    }

    #[test]
    fn sheets_keep_shortest_numbers() {
        assert_eq!(Exact::of_sheet(0.1 + 0.2).unwrap().to_string(), "0.3");
        assert_eq!(Exact::of_sheet(10000.1 + 2000.2).unwrap().to_string(), "12000.3");
        assert_eq!(Exact::of_sheet(-0.012345).unwrap().to_string(), "-0.012345");
        assert_eq!(Exact::of_sheet(25.0).unwrap().whole(), Some(25));
        assert!(Exact::of_sheet(f64::NAN).is_none() && Exact::of_sheet(1e300).is_none());
    }

    #[test]
    fn halves_go_to_the_even_neighbour() {
        let times = |text: &str, by| Exact::parse(text).unwrap().times(by).unwrap();
        assert_eq!(times("0.5", (1, 1)), (0, true));
        assert_eq!(times("1.5", (1, 1)), (2, true));
        assert_eq!(times("-0.5", (1, 1)), (0, true));
        assert_eq!(times("-1.5", (1, 1)), (-2, true));
        assert_eq!(times("2.5", (1000, 1)), (2500, false));
    }
}
