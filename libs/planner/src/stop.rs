//! How a run is asked to stop: by what its stopwatch shows.

use std::sync::{Mutex, PoisonError};

use crate::run::Stopwatch;

/// What a stopwatch shows at the least once the run is to stop, seconds: more than any run may take.
const STOPPED: f64 = 1e10;
/// How fast it goes then: what is done for a share of the seconds is over at once.
const HASTE: f64 = 1000.0;

/// What the stopwatch of a run shows that can be asked to stop: the seconds gone by, and from then on far more.
#[derive(Debug, Default)]
pub struct Stoppable(Mutex<Option<f64>>);

impl Stoppable {
    /// What to show after so many seconds, and whether the run is to stop. A run that is to stop ends with the best plan it has, in the
    /// middle of a solve as well, and also where it reads no clock otherwise.
    pub fn reading(&self, elapsed: f64, stop: bool) -> f64 {
        if !stop {
            return elapsed;
        }
        let since = *self.0.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(elapsed);
        elapsed + STOPPED + HASTE * (elapsed - since).max(0.0)
    }
}

/// Whether a run is to stop.
pub(crate) fn is_to_stop(stopwatch: Stopwatch) -> bool {
    stopwatch() >= STOPPED
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn once_a_run_is_to_stop_its_stopwatch_is_beyond_the_longest_run_and_hurries_on() {
        let shown = Stoppable::default();
        assert_eq!((shown.reading(2.0, false), shown.reading(3.5, false)), (2.0, 3.5));
        let at_once = shown.reading(4.0, true);
        // The seconds of a run are cut at a thousand million.
        assert!(at_once > 1e9 && is_to_stop(&|| at_once) && !is_to_stop(&|| 3600.0));
        assert_eq!(shown.reading(4.5, true) - at_once, 500.5);
    }
}
