//! How days, decimals and times of day are written on pages and paper, by the workshop's own setting. The one place that does.

use chrono::{DateTime, NaiveDate as Day, NaiveTime, Utc};
use chrono_tz::Tz;
use workshop::site::Workshop;
use workshop::writing::{Clock, DateOrder, DecimalSign, Writing};

/// A workshop's ways of writing.
#[derive(Clone, Copy, Debug)]
pub struct Written {
    writing: Writing,
    zone: Tz,
}

impl Written {
    /// By a workshop's setting; day first, a point and 24 hours in UTC where none is recorded yet.
    pub fn of(workshop: Option<&Workshop>) -> Self {
        let zone = workshop.and_then(|w| w.time_zone.parse().ok()).unwrap_or(Tz::UTC);
        Self { writing: workshop.map_or_else(Writing::default, |w| w.writing), zone }
    }

    /// A day with its weekday: `Mon 2 March`.
    pub fn day(self, day: Day) -> String {
        self.formatted(day, ["%a %-d %B", "%a, %B %-d", "%a %Y-%m-%d"])
    }

    /// A day in full: `Monday 2 March 2026`.
    pub fn day_in_full(self, day: Day) -> String {
        self.formatted(day, ["%A %-d %B %Y", "%A, %B %-d, %Y", "%A %Y-%m-%d"])
    }

    /// A day of any year: `Mon 2 March 2026`.
    pub fn day_and_year(self, day: Day) -> String {
        self.formatted(day, ["%a %-d %B %Y", "%a, %B %-d, %Y", "%a %Y-%m-%d"])
    }

    /// A day where there is little room: `2 Mar`.
    pub fn day_briefly(self, day: Day) -> String {
        self.formatted(day, ["%-d %b", "%b %-d", "%m-%d"])
    }

    fn formatted(self, day: Day, [day_first, month_first, year_first]: [&str; 3]) -> String {
        let form = match self.writing.dates {
            DateOrder::DayFirst => day_first,
            DateOrder::MonthFirst => month_first,
            DateOrder::YearFirst => year_first,
        };
        day.format(form).to_string()
    }

    /// A time of day: `15:30`, `3:30 pm`.
    pub fn time(self, time: NaiveTime) -> String {
        let form = match self.writing.clock {
            Clock::Hours24 => "%H:%M",
            Clock::Hours12 => "%-I:%M %P",
        };
        time.format(form).to_string()
    }

    /// A moment as the clock on the workshop's wall had it.
    pub fn time_of(self, moment: DateTime<Utc>) -> String {
        self.time(moment.with_timezone(&self.zone).time())
    }

    /// The day of a moment, in the workshop's zone: `Mon 2 March`.
    pub fn day_of(self, moment: DateTime<Utc>) -> String {
        self.day(moment.with_timezone(&self.zone).date_naive())
    }

    /// A number with so many decimals.
    pub fn number(self, number: f64, decimals: usize) -> String {
        self.decimal(&format!("{number:.decimals$}"))
    }

    /// A number written with a point, with the workshop's own sign.
    pub fn decimal(self, number: &str) -> String {
        match self.writing.decimals {
            DecimalSign::Point => number.to_owned(),
            DecimalSign::Comma => number.replacen('.', ",", 1),
        }
    }

    /// The IANA name of the workshop's zone.
    pub fn zone_name(self) -> &'static str {
        self.zone.name()
    }

    /// What stands before decimals.
    pub const fn decimals(self) -> DecimalSign {
        self.writing.decimals
    }

    /// The same in the contract's word, for the pages' script.
    pub const fn decimals_word(self) -> &'static str {
        match self.writing.decimals {
            DecimalSign::Point => "point",
            DecimalSign::Comma => "comma",
        }
    }

    /// The order of a day's parts in the contract's word, for the pages' script.
    pub const fn dates_word(self) -> &'static str {
        match self.writing.dates {
            DateOrder::DayFirst => "day_first",
            DateOrder::MonthFirst => "month_first",
            DateOrder::YearFirst => "year_first",
        }
    }

    /// The sign before decimals.
    pub const fn decimal_sign(self) -> char {
        self.writing.decimals.sign()
    }

    /// A number as it was typed, with this workshop's sign or the other, as a program reads it. The other sign before
    /// exactly three digits may have been meant to part thousands, so it is no number.
    pub fn typed(self, text: &str) -> Option<f64> {
        let text = text.trim();
        let other = if self.decimal_sign() == '.' { ',' } else { '.' };
        if text.rsplit_once(other).is_some_and(|(_, decimals)| decimals.len() == 3) {
            return None;
        }
        text.replacen(',', ".", 1).parse().ok().filter(|number: &f64| number.is_finite())
    }

    /// A text of the planner: days written year-month-day said with their weekdays, decimals with the workshop's sign.
    pub fn sentence(self, text: &str) -> String {
        const WRITTEN: usize = "2026-03-18".len();
        let (mut said, mut rest, mut before) = (String::new(), text, ' ');
        while let Some(letter) = rest.chars().next() {
            let day = rest.get(..WRITTEN).filter(|_| letter.is_ascii_digit()).and_then(|text| text.parse::<Day>().ok());
            let after = rest.chars().nth(1).unwrap_or(' ');
            let length = match day {
                Some(day) => {
                    said.push_str(&self.day(day));
                    WRITTEN
                }
                None if letter == '.' && before.is_ascii_digit() && after.is_ascii_digit() => {
                    said.push(self.decimal_sign());
                    1
                }
                None => {
                    said.push(letter);
                    letter.len_utf8()
                }
            };
            before = letter;
            rest = &rest[length..];
        }
        said
    }
}

#[cfg(test)]
pub mod tests {
    use super::*;

    pub fn written(dates: DateOrder, decimals: DecimalSign, clock: Clock) -> Written {
        Written { writing: Writing { dates, decimals, clock }, zone: chrono_tz::Europe::Dublin }
    }

    #[test]
    fn days_and_times_by_the_setting() {
        let day = "2026-03-02".parse().unwrap();
        let time = NaiveTime::from_hms_opt(15, 5, 0).unwrap();
        let rows = [
            (DateOrder::DayFirst, Clock::Hours24, "Mon 2 March", "Monday 2 March 2026", "2 Mar", "15:05"),
            (DateOrder::MonthFirst, Clock::Hours12, "Mon, March 2", "Monday, March 2, 2026", "Mar 2", "3:05 pm"),
            (DateOrder::YearFirst, Clock::Hours24, "Mon 2026-03-02", "Monday 2026-03-02", "03-02", "15:05"),
        ];
        for (dates, clock, said, full, briefly, at) in rows {
            let w = written(dates, DecimalSign::Point, clock);
            assert_eq!((&*w.day(day), &*w.day_in_full(day), &*w.day_briefly(day)), (said, full, briefly));
            assert_eq!(w.time(time), at);
        }
        // Summer time in Dublin is an hour ahead of UTC.
        let moment = "2026-07-01T11:30:00Z".parse().unwrap();
        let w = written(DateOrder::DayFirst, DecimalSign::Point, Clock::Hours12);
        assert_eq!(w.time_of(moment), "12:30 pm");
    }

    #[test]
    fn decimals_are_written_and_read_by_the_same_sign() {
        let point = written(DateOrder::DayFirst, DecimalSign::Point, Clock::Hours24);
        let comma = written(DateOrder::DayFirst, DecimalSign::Comma, Clock::Hours24);
        assert_eq!((point.number(-10.15, 2), comma.number(-10.15, 2)), ("-10.15".to_owned(), "-10,15".to_owned()));
        for (text, by_point, by_comma) in [
            ("31.5", Some(31.5), Some(31.5)),
            ("31,5", Some(31.5), Some(31.5)),
            ("1.500", Some(1.5), None),
            ("1,500", None, Some(1.5)),
            ("960", Some(960.0), Some(960.0)),
            ("1.2.3", None, None),
            ("1,2.3", None, None),
            ("inf", None, None),
            ("", None, None),
        ] {
            assert_eq!((point.typed(text), comma.typed(text)), (by_point, by_comma), "{text}");
        }
    }

    #[test]
    fn sentences_of_the_planner_are_rewritten() {
        let comma = written(DateOrder::MonthFirst, DecimalSign::Comma, Clock::Hours24);
        let text = "2.5 m more of row by 2026-03-18. Then 3.25 kg; 2026-13-40.";
        assert_eq!(comma.sentence(text), "2,5 m more of row by Wed, March 18. Then 3,25 kg; 2026-13-40.");
    }
}
