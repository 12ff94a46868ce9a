//! The one clock, handed to everything that asks what time it is.

use std::sync::Arc;
use std::time::Instant;

use chrono::{DateTime, NaiveDate as Day, NaiveTime, TimeZone, Utc};
use chrono_tz::Tz;

/// Tells the time.
pub type Clock = Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>;

/// The hour a pinned clock starts at: after the tickets' hour of most workshops.
pub const MORNING: NaiveTime = match NaiveTime::from_hms_opt(7, 0, 0) {
    Some(time) => time,
    None => NaiveTime::MIN,
};

/// The machine's clock.
pub fn real() -> Clock {
    Arc::new(Utc::now)
}

/// A clock that starts on `day` at `time` in `zone` when it is made, and goes on from there.
pub fn pinned(day: Day, time: NaiveTime, zone: Tz) -> Clock {
    let local = day.and_time(time);
    let start = zone
        .from_local_datetime(&local)
        .earliest()
        .map_or_else(|| Utc.from_utc_datetime(&local), |t| t.with_timezone(&Utc));
    let made = Instant::now();
    Arc::new(move || start + chrono::Duration::from_std(made.elapsed()).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pinned_clock_starts_at_the_local_time_given() {
        let day = Day::from_ymd_opt(2026, 7, 1).unwrap();
        let seven = NaiveTime::from_hms_opt(7, 0, 0).unwrap();
        let clock = pinned(day, seven, chrono_tz::Europe::Dublin);
        let first = clock();
        assert_eq!(first.to_rfc3339().get(..16), Some("2026-07-01T06:00"));
        assert!(clock() >= first);
    }
}
