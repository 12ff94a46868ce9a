//! `mouldboard serve`, `mouldboard api` and `mouldboard worker`.

use std::process::ExitCode;
use std::time::Duration;

use anyhow::Context;
use store::Store;
use tokio::sync::watch;

use crate::clock::{self, Clock};
use crate::settings::{Loaded, Settings};
use crate::telemetry;

/// The API and the worker in one process.
pub fn both(loaded: &Loaded) -> anyhow::Result<ExitCode> {
    start(&loaded.settings, true, true)
}

/// The API alone.
pub fn api_alone(loaded: &Loaded) -> anyhow::Result<ExitCode> {
    start(&loaded.settings, true, false)
}

/// The worker alone.
pub fn worker_alone(loaded: &Loaded) -> anyhow::Result<ExitCode> {
    start(&loaded.settings, false, true)
}

/// Names the step at which a test wants this process to die; see `store::fail_points`.
const DIE_AT: &str = "MOULDBOARD_TEST_DIE_AT";

fn start(settings: &Settings, with_api: bool, with_worker: bool) -> anyhow::Result<ExitCode> {
    if let Ok(step) = std::env::var(DIE_AT) {
        store::fail_points::arm(&step).map_err(anyhow::Error::msg).context(DIE_AT)?;
    }
    telemetry::start(settings);
    super::block_on(async {
        let store = super::open_ready(settings).await?;
        let clock = clock_of(settings, &store).await?;
        serve(settings, store, clock, with_api, with_worker).await?;
        Ok(ExitCode::SUCCESS)
    })
}

/// Serves until the program is told to stop (Ctrl-C or a terminate signal).
pub async fn serve(
    settings: &Settings,
    store: Store,
    clock: Clock,
    with_api: bool,
    with_worker: bool,
) -> anyhow::Result<()> {
    let (stop, stopped) = watch::channel(false);
    let until_stopped = |mut stopped: watch::Receiver<bool>| async move {
        // The sender lives until both have ended.
        drop(stopped.wait_for(|stop| *stop).await);
    };
    let worker = with_worker.then(|| {
        let config = worker_config(settings, clock.clone());
        tokio::spawn(worker::run(store.clone(), config, until_stopped(stopped.clone())))
    });
    tokio::spawn(async move {
        asked_to_stop().await;
        tracing::info!("stopping: what is under way is finished first");
        stop.send_replace(true);
        // Kept, so that a receiver that asks later still hears of it.
        std::future::pending::<()>().await;
    });
    let api = async {
        if with_api {
            let config = api_config(settings, clock);
            say_if_open(settings, &store).await?;
            api::serve(store, config, until_stopped(stopped.clone())).await.context("serving the API")
        } else {
            until_stopped(stopped.clone()).await;
            Ok(())
        }
    };
    let Some(mut worker) = worker else { return api.await };
    tokio::select! {
        // A worker that ends before it is told to has broken off: better to stop than to serve days nobody issues.
        ended = &mut worker, if !*stopped.borrow() => {
            ended.context("the worker broke off")?;
            anyhow::ensure!(*stopped.borrow(), "the worker ended by itself");
            Ok(())
        }
        served = api => {
            served?;
            worker.await.context("the worker broke off")
        }
    }
}

async fn say_if_open(settings: &Settings, store: &Store) -> anyhow::Result<()> {
    let tx = store.read().await?;
    if settings.listen.ip().is_loopback() && !store::tokens::any(&tx).await? {
        tracing::info!(
            "no token has been made: the API is open to every user of this machine, and to no other machine"
        );
    }
    tx.rollback().await?;
    Ok(())
}

fn api_config(settings: &Settings, clock: Clock) -> api::Config {
    // A worker says that it is alive at each look at the clock, and three times in a lease while it is at work.
    let silence = (10 * settings.worker_poll_seconds.max(12)).max(settings.worker_lease_seconds);
    api::Config {
        allowed_hosts: settings.hosts.clone(),
        requests_per_minute: settings.requests_per_minute,
        hooks_to_private: settings.hooks_to_private,
        worker_silence_seconds: i64::try_from(silence).unwrap_or(i64::MAX),
        ..api::Config::local(settings.listen, clock)
    }
}

fn worker_config(settings: &Settings, clock: Clock) -> worker::Config {
    let mut config = worker::Config::new(format!("worker-{}", uuid::Uuid::now_v7().simple()), clock);
    config.lease_seconds = i64::try_from(settings.worker_lease_seconds).unwrap_or(i64::MAX);
    config.hooks_to_private = settings.hooks_to_private;
    config.poll = Duration::from_secs(settings.worker_poll_seconds);
    config
}

/// The machine's clock, or one that starts on the day the settings pin, at seven in the workshop's morning.
async fn clock_of(settings: &Settings, store: &Store) -> anyhow::Result<Clock> {
    let Some(today) = settings.today else { return Ok(clock::real()) };
    let tx = store.read().await?;
    let site = store::site::get(&tx).await?;
    tx.rollback().await?;
    let zone = site.and_then(|s| s.value.time_zone.parse().ok()).unwrap_or(chrono_tz::Tz::UTC);
    Ok(clock::pinned(today, clock::MORNING, zone))
}

/// Waits until the program is told to stop (Ctrl-C or a terminate signal).
pub(super) async fn asked_to_stop() {
    let interrupted = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        match signal(SignalKind::terminate()) {
            Ok(mut terminated) => tokio::select! {
                _ = interrupted => {}
                _ = terminated.recv() => {}
            },
            Err(_) => drop(interrupted.await),
        }
    }
    #[cfg(not(unix))]
    drop(interrupted.await);
}
