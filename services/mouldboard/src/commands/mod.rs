//! One command, one file.

pub mod archive;
pub mod audit;
pub mod check;
pub mod demo;
pub mod migrate;
pub mod mix;
pub mod plan;
mod progress;
pub mod serve;
pub mod settings;
pub mod token;

use anyhow::Context;
use store::Store;

use crate::settings::{Settings, covered};

/// Runs asynchronous work on a runtime of its own.
fn block_on<T>(work: impl Future<Output = anyhow::Result<T>>) -> anyhow::Result<T> {
    tokio::runtime::Runtime::new().context("starting the runtime")?.block_on(work)
}

/// Opens the database of the settings as it is.
async fn open(settings: &Settings) -> anyhow::Result<Store> {
    let options = store::Options { max_connections: settings.database_connections, ..store::Options::default() };
    let attempt = || format!("opening the database {}", covered(&settings.database_url));
    Store::open(&settings.database_url, &options).await.with_context(attempt)
}

/// Opens the database of the settings and refuses one whose tables are not of this version.
async fn open_ready(settings: &Settings) -> anyhow::Result<Store> {
    let store = open(settings).await?;
    let pending = store.pending().await.context("looking at the database's version")?;
    anyhow::ensure!(
        pending.is_empty(),
        "the database's tables are not of this version ({} changes to make): run 'mouldboard migrate' first",
        pending.len()
    );
    Ok(store)
}
