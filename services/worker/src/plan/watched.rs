//! A run at work, watched: what it tells is kept for whoever looks, and the wish that it stop reaches it.

use std::future::Future;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use planner::{Limits, Outcome, PlanFailure, Stoppable};
use store::{Store, StoreError, progress};
use tracing::warn;
use workshop::documents::Facts;
use workshop::ids::RunId;
use workshop::runs::RunProgress;

use crate::Config;

/// How often news are written down and a wish to stop is looked for.
const EVERY: Duration = Duration::from_secs(1);

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

/// Plans by the planner itself. A run that is to stop ends with the best plan it has, which is checked and explained like any
/// other; so does one that counts its steps, which comes to the same plan every time only where it is left to its end.
///
/// # Errors
/// Those of [`planner::run_and_advise`].
pub fn plan(facts: &Facts, limits: &Limits, watched: &Watched) -> Result<Outcome, PlanFailure> {
    let (started, shown) = (Instant::now(), Stoppable::default());
    let elapsed = || started.elapsed().as_secs_f64();
    let stopwatch = || shown.reading(elapsed(), watched.stopped());
    let seconds = |told: f64| if limits.seconds.is_some() { elapsed() } else { told };
    let mut tell = |news: planner::Progress| {
        let (way, seconds) = (news.way.word().to_owned(), seconds(news.seconds));
        watched.tell(RunProgress { seconds, way, figures: news.figures, bound: news.bound, sentence: news.sentence });
    };
    let mut outcome = planner::run_and_advise(facts, limits, &stopwatch, &mut tell)?;
    if let (true, Some(proof)) = (watched.stopped(), outcome.plan.proof.as_mut()) {
        proof.seconds = (seconds(0.0) * 1000.0).round() / 1000.0;
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
