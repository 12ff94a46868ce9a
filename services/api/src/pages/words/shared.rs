//! What several pages say.

/// So many of something: the word for one where it is one, else the word for many.
pub fn counted<N: std::fmt::Display + PartialEq + From<u8>>(count: N, one: &str, many: &str) -> String {
    let what = if count == N::from(1) { one } else { many };
    format!("{count} {what}")
}

/// So many panels.
pub fn panels(count: i64) -> String {
    counted(count, "panel", "panels")
}

pub const ON_THE_DAY: &str = "on the day";

/// So many days.
pub fn days(count: i64) -> String {
    counted(count, "day", "days")
}

/// So many days after the day wanted.
pub fn days_late(days: i64) -> String {
    format!("{} late", self::days(days))
}

/// So many days before the day wanted.
pub fn days_early(days: i64) -> String {
    format!("{} early", self::days(days))
}

/// Hours and minutes: `5 h 10 min`, `40 min`.
pub fn hours_and_minutes(hours: i64, minutes: i64) -> String {
    match (hours, minutes) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// A mix and the number of its revision.
pub fn revision(mix: &str, number: &str) -> String {
    format!("{mix}, revision {number}")
}

pub const PIECES: &str = "pieces";
pub const CUBIC_METRE: &str = "cubic metre";
pub const CUBIC_YARD: &str = "cubic yard";
pub const US_GALLON: &str = "US gal";
pub const US_FLUID_OUNCE: &str = "US fl oz";
