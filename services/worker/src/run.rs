//! The worker's loop.

use std::future::Future;
use std::time::Duration;

use store::Store;
use tracing::{info, warn};

use crate::{Config, DidWork, step};

/// Longest pause while the store does not answer.
const LONGEST_PAUSE: Duration = Duration::from_secs(60);

/// Works until `shutdown` ends; a job under way is finished first. While the store does not answer it waits, longer each
/// time up to a minute, and goes on when it does.
pub async fn run(store: Store, config: Config, shutdown: impl Future<Output = ()>) {
    info!(worker = config.name, "worker started");
    tokio::pin!(shutdown);
    let mut pause = config.poll;
    loop {
        match step(&store, &config).await {
            Ok(DidWork::Nothing) => pause = config.poll,
            Ok(_) => pause = Duration::ZERO,
            Err(error) => {
                pause = (pause.max(config.poll) * 2).min(LONGEST_PAUSE);
                warn!(%error, seconds = pause.as_secs(), "the worker cannot reach its queue and waits");
            }
        }
        tokio::select! {
            biased;
            () = &mut shutdown => break,
            () = tokio::time::sleep(pause) => {}
        }
    }
    info!(worker = config.name, "worker stopped");
}
