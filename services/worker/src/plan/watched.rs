//! A run at work, watched: what it tells is kept for whoever looks, and the wish that it stop reaches it.

use std::future::Future;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use planner::{Limits, Outcome, PlanFailure};
use store::{Store, StoreError, progress};
use tracing::warn;
use workshop::documents::Facts;
use workshop::ids::RunId;
use workshop::runs::RunProgress;

use crate::Config;

/// How often news are written down and a wish to stop is looked for.
const EVERY: Duration = Duration::from_secs(1);
/// How fast the stopwatch of a run goes once it is to stop: whatever of the run looks at it comes to its end.
const HASTE: f64 = 1000.0;
/// How far it jumps first: further than any run may take.
const JUMP: f64 = 1e5;

/// Between a run and those who watch it.
#[derive(Debug, Default)]
pub struct Watched {
    newest: Mutex<Option<RunProgress>>,
    stop: AtomicBool,
}

impl Watched {
    /// News of the run; only the newest are kept.
    pub fn tell(&self, news: RunProgress) {
        *self.newest.lock().unwrap_or_else(PoisonError::into_inner) = Some(news);
    }

    /// Whether the run is to stop.
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    fn take(&self) -> Option<RunProgress> {
        self.newest.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

/// What a run's stopwatch shows: the seconds gone by, and once the run is to stop far more.
#[derive(Debug, Default)]
struct Haste(Mutex<Option<f64>>);

impl Haste {
    fn reading(&self, elapsed: f64, stopped: bool) -> f64 {
        if !stopped {
            return elapsed;
        }
        let since = *self.0.lock().unwrap_or_else(PoisonError::into_inner).get_or_insert(elapsed);
        elapsed + JUMP + HASTE * (elapsed - since).max(0.0)
    }
}

/// Plans by the planner itself. A run by the clock that is to stop ends with the best plan it has, which is checked and
/// explained like any other; the solver is not interrupted in the middle of a solve. A run that counts its steps looks at no
/// clock and so ends by itself.
///
/// # Errors
/// Those of [`planner::run_and_advise`].
pub fn plan(facts: &Facts, limits: &Limits, watched: &Watched) -> Result<Outcome, PlanFailure> {
    let (started, haste) = (Instant::now(), Haste::default());
    let elapsed = || started.elapsed().as_secs_f64();
    let stopwatch = || haste.reading(elapsed(), watched.stopped());
    let seconds = |told: f64| if limits.seconds.is_some() { elapsed() } else { told };
    let mut tell = |news: planner::Progress| {
        let (way, seconds) = (news.way.word().to_owned(), seconds(news.seconds));
        watched.tell(RunProgress { seconds, way, figures: news.figures, bound: news.bound, sentence: news.sentence });
    };
    let mut outcome = planner::run_and_advise(facts, limits, &stopwatch, &mut tell)?;
    if let (true, Some(_), Some(proof)) = (watched.stopped(), limits.seconds, outcome.plan.proof.as_mut()) {
        proof.seconds = (elapsed() * 1000.0).round() / 1000.0;
        if proof.ended != "optimal" {
            proof.ended = "stopped".to_owned();
        }
    }
    Ok(outcome)
}

/// Waits for a run's work, and meanwhile writes its news down and passes the wish to stop on. What cannot be written or read
/// is left for the next time: the run goes on.
pub(crate) async fn look_after<T>(
    store: &Store,
    config: &Config,
    run: RunId,
    watched: &Watched,
    work: impl Future<Output = T>,
) -> T {
    tokio::pin!(work);
    let mut every = tokio::time::interval(EVERY);
    loop {
        tokio::select! {
            result = &mut work => return result,
            _ = every.tick() => {
                if let Err(error) = pass_on(store, config, run, watched).await {
                    warn!(run = run.get(), %error, "news of a planning run could not be written down");
                }
            }
        }
    }
}

async fn pass_on(store: &Store, config: &Config, run: RunId, watched: &Watched) -> Result<(), StoreError> {
    let tx = store.read().await?;
    let asked = progress::of(&tx, run).await?.stop_asked_at.is_some();
    tx.rollback().await?;
    if asked {
        watched.stop.store(true, Ordering::Relaxed);
    }
    if let Some(news) = watched.take() {
        let tx = store.write().await?;
        progress::tell(&tx, run, config.now(), &news).await?;
        tx.commit().await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stopwatch_of_a_run_that_is_to_stop_is_beyond_the_longest_run_and_hurries_on() {
        let haste = Haste::default();
        assert_eq!((haste.reading(2.0, false), haste.reading(3.5, false)), (2.0, 3.5));
        let at_once = haste.reading(4.0, true);
        // A run may take an hour; what it does after that in a share of its seconds is over in a thousandth of them.
        assert!(at_once > 3600.0);
        assert_eq!(haste.reading(4.5, true) - at_once, 500.5);
    }
}
