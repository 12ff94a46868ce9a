//! Which order day and month have in a column of days.

use chrono::NaiveDate as Day;

/// The order of a day's parts; year-month-day is understood under either.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// 31/12/2026
    DayFirst,
    /// 12/31/2026
    MonthFirst,
}

/// What may part day, month and year.
const BETWEEN: [char; 3] = ['/', '.', '-'];

impl Order {
    /// As it is stated.
    pub const fn word(self) -> &'static str {
        match self {
            Order::DayFirst => "dmy",
            Order::MonthFirst => "mdy",
        }
    }

    /// The day a text is in this order. A time of midnight may follow; the year has four digits.
    pub fn read(self, text: &str) -> Option<Day> {
        let text = ["T00:00:00Z", "T00:00:00", " 00:00:00", " 00:00"]
            .iter()
            .find_map(|end| text.strip_suffix(end))
            .unwrap_or(text);
        let between = text.chars().find(|c| BETWEEN.contains(c))?;
        let mut parts = text.split(between);
        let (one, two, three) = (parts.next()?, parts.next()?, parts.next()?);
        if parts.next().is_some() {
            return None;
        }
        let number = |part: &str, most: usize| {
            let digits = !part.is_empty() && part.len() <= most && part.bytes().all(|b| b.is_ascii_digit());
            digits.then(|| part.parse::<u32>().ok())?
        };
        let (year, month, day) = match (one.len(), self) {
            (4, _) => (one, number(two, 2)?, number(three, 2)?),
            (_, Order::DayFirst) => (three, number(two, 2)?, number(one, 2)?),
            (_, Order::MonthFirst) => (three, number(one, 2)?, number(two, 2)?),
        };
        let year = (year.len() == 4).then(|| number(year, 4))??;
        Day::from_ymd_opt(i32::try_from(year).ok()?, month, day)
    }
}

/// What a column says of the order of its days.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// All its days are written so, or it makes no difference.
    Is(Order),
    /// The day at this place can be read as either, and so can all others.
    Both {
        /// Which of the texts.
        at: usize,
        /// What it is with the day first.
        day_first: Day,
        /// What it is with the month first.
        month_first: Day,
    },
    /// One has its day first, another its month.
    Mixed {
        /// Which of the texts has its day first.
        day_first: usize,
        /// Which has its month first.
        month_first: usize,
    },
}

/// Reads the order off all days of a column; what is no day in either order has no say.
pub fn order_of<'t>(texts: impl Iterator<Item = &'t str>) -> Told {
    let (mut day_first, mut month_first, mut both) = (None, None, None);
    for (at, text) in texts.enumerate() {
        match (Order::DayFirst.read(text), Order::MonthFirst.read(text)) {
            (Some(_), None) => day_first = day_first.or(Some(at)),
            (None, Some(_)) => month_first = month_first.or(Some(at)),
            (Some(one), Some(other)) if one != other => both = both.or(Some((at, one, other))),
            _ => {}
        }
    }
    match (day_first, month_first, both) {
        (Some(day_first), Some(month_first), _) => Told::Mixed { day_first, month_first },
        (None, Some(_), _) => Told::Is(Order::MonthFirst),
        (None, None, Some((at, day_first, month_first))) => Told::Both { at, day_first, month_first },
        _ => Told::Is(Order::DayFirst),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_orders_are_read() {
        let cases = [
            ("2026-05-04", Some("2026-05-04"), Some("2026-05-04")),
            ("2026/5/4", Some("2026-05-04"), Some("2026-05-04")),
            ("2026-05-04 00:00:00", Some("2026-05-04"), Some("2026-05-04")),
            ("04/05/2026", Some("2026-05-04"), Some("2026-04-05")),
            ("31.12.2026", Some("2026-12-31"), None),
            ("12/31/2026", None, Some("2026-12-31")),
            ("4-5-2026", Some("2026-05-04"), Some("2026-04-05")),
            ("04/05/26", None, None),
            ("2026-13-01", None, None),
            ("2026-02-30", None, None),
            ("1.2.3.2026", None, None),
            ("soon", None, None),
            ("", None, None),
            ("2026-05-04 10:00:00", None, None),
        ];
        for (text, day_first, month_first) in cases {
            let said = |order: Order| order.read(text).map(|day| day.to_string());
            let found = (said(Order::DayFirst), said(Order::MonthFirst));
            assert_eq!((found.0.as_deref(), found.1.as_deref()), (day_first, month_first), "{text}");
        }
    }

    #[test]
    fn the_whole_column_tells() {
        let told = |texts: &[&str]| order_of(texts.iter().copied());
        assert_eq!(told(&["04/05/2026", "31/12/2026"]), Told::Is(Order::DayFirst));
        assert_eq!(told(&["04/05/2026", "12/31/2026"]), Told::Is(Order::MonthFirst));
        assert_eq!(told(&["05/05/2026", "2026-01-02"]), Told::Is(Order::DayFirst));
        assert_eq!(told(&["12/31/2026", "31/12/2026"]), Told::Mixed { day_first: 1, month_first: 0 });
        assert!(matches!(told(&["05/05/2026", "04/05/2026"]), Told::Both { at: 1, .. }));
    }
}
