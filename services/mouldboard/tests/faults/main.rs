//! The service as processes that die, fill their disk and get in each other's way. Each story ends with the audit.

#![allow(clippy::unwrap_used, reason = "a story that cannot go on may panic")]

mod crowd;
mod disk;
mod kills;
mod points;
mod safekeeping;
mod service;
mod spoilt;
mod workshop;

use testkit::databases::{TestDatabase, databases};

/// Tells the story on every database, side by side: it waits more than it works.
async fn on_every_database(story: impl AsyncFn(TestDatabase)) {
    futures::future::join_all(databases().await.into_iter().map(|database| story(database))).await;
}
