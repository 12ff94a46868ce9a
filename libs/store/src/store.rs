//! Opening a database, and its transactions.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, Utc};
use migrations::Migrator;
use sea_orm::{
    AccessMode, ConnectOptions, ConnectionTrait, Database, DatabaseConnection, IsolationLevel, SqliteTransactionMode,
    TransactionOptions, TransactionTrait,
};
use sea_orm_migration::MigratorTrait;
use tokio::sync::Semaphore;

use crate::classify::Attempted as _;
use crate::error::{Result, StoreError};
use crate::tx::Tx;

/// Which of the two databases.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DatabaseKind {
    /// Embedded, one file.
    Sqlite,
    /// A server.
    Postgres,
}

/// How a database is used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Options {
    /// Most connections at a time, 1 or more.
    pub max_connections: u32,
    /// How long a writer waits for its turn, milliseconds.
    pub busy_timeout_ms: u32,
    /// How long a free connection is waited for, milliseconds.
    pub acquire_timeout_ms: u64,
    /// Most pages of 4096 bytes an SQLite file may have; as many as the disk holds where none is given, never fewer than
    /// it has. Beyond them it answers as if the disk were full.
    pub most_pages: Option<u32>,
}

impl Default for Options {
    fn default() -> Self {
        Self { max_connections: 8, busy_timeout_ms: 10_000, acquire_timeout_ms: 10_000, most_pages: None }
    }
}

/// Tells the time.
pub type Clock = Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>;

/// An open database. Cloning it shares the connections.
#[derive(Clone)]
pub struct Store {
    pub(crate) connection: DatabaseConnection,
    kind: DatabaseKind,
    /// One permit: the turn to write.
    turn: Arc<Semaphore>,
    patience: Duration,
    clock: Clock,
}

/// The one advisory lock that writers on PostgreSQL queue for. The number means nothing; it must only never change.
const WRITER_LOCK: i64 = 7_306_001;

impl Store {
    /// Opens `sqlite:FILE` (made if it is not there, its folder is not) or `postgres://USER@HOST/DATABASE`. Never migrates.
    pub async fn open(url: &str, options: &Options) -> Result<Self> {
        let kind = kind_of(url)?;
        let mut connect = ConnectOptions::new(url_for(kind, url));
        connect
            .max_connections(options.max_connections.max(1))
            .acquire_timeout(Duration::from_millis(options.acquire_timeout_ms))
            .connect_timeout(Duration::from_millis(options.acquire_timeout_ms))
            // A connection to a server may have been cut since; a file goes nowhere, and need not be asked first.
            .test_before_acquire(kind == DatabaseKind::Postgres)
            .sqlx_logging(false);
        let patience = Duration::from_millis(u64::from(options.busy_timeout_ms));
        match kind {
            DatabaseKind::Sqlite => {
                folder_is_there(url)?;
                file_may_be_written(url)?;
                let most_pages = options.most_pages;
                connect.map_sqlx_sqlite_opts(move |sqlite| {
                    let sqlite = match most_pages {
                        Some(most) => sqlite.pragma("max_page_count", most.to_string()),
                        None => sqlite,
                    };
                    sqlite
                        .pragma("journal_mode", "WAL")
                        .pragma("synchronous", "FULL")
                        .foreign_keys(true)
                        .busy_timeout(patience)
                });
            }
            DatabaseKind::Postgres => {
                connect.set_application_name("mouldboard");
            }
        }
        let connection = connected(connect, patience, || format!("open {}", shown(kind, url))).await?;
        Ok(Self { connection, kind, turn: Arc::new(Semaphore::new(1)), patience, clock: Arc::new(Utc::now) })
    }

    /// The same database, whose marks of change are dated by this clock instead of the machine's.
    #[must_use]
    pub fn told_time_by(&self, clock: Clock) -> Self {
        Self { clock, ..self.clone() }
    }

    /// Which database it is.
    pub fn kind(&self) -> DatabaseKind {
        self.kind
    }

    /// Whether it answers.
    pub async fn ping(&self) -> Result<()> {
        self.connection.ping().await.attempted(|| "reach the database".to_owned())
    }

    /// Brings the tables up to date: the names of the migrations applied. All or none; one at a time, however many ask.
    pub async fn migrate(&self) -> Result<Vec<String>> {
        let tx = self.write().await?;
        let names = migrate_within(&tx).await?;
        tx.commit().await?;
        Ok(names)
    }

    /// Names of the migrations not yet applied.
    pub async fn pending(&self) -> Result<Vec<String>> {
        let tx = self.read().await?;
        let pending = Migrator::get_pending_migrations_read_only(tx.reads())
            .await
            .attempted(|| "see which migrations are applied".to_owned())?;
        Ok(pending.iter().map(|m| m.name().to_owned()).collect())
    }

    /// A transaction that reads one consistent snapshot.
    pub async fn read(&self) -> Result<Tx> {
        let options = match self.kind {
            DatabaseKind::Sqlite => TransactionOptions {
                sqlite_transaction_mode: Some(SqliteTransactionMode::Deferred),
                ..TransactionOptions::default()
            },
            DatabaseKind::Postgres => TransactionOptions {
                isolation_level: Some(IsolationLevel::RepeatableRead),
                access_mode: Some(AccessMode::ReadOnly),
                ..TransactionOptions::default()
            },
        };
        let inner = self.connection.begin_with_options(options).await.attempted(|| "begin reading".to_owned())?;
        Ok(Tx::reading(inner, self.clock.clone()))
    }

    /// A transaction that writes, alone: it waits its turn, and whoever has it reads what it wrote.
    pub async fn write(&self) -> Result<Tx> {
        let turn = tokio::time::timeout(self.patience, Arc::clone(&self.turn).acquire_owned())
            .await
            .map_err(|_| too_busy())?
            .map_err(|closed| StoreError::other("wait for the turn to write", closed))?;
        let begin = || "begin writing".to_owned();
        let options = match self.kind {
            DatabaseKind::Sqlite => TransactionOptions {
                sqlite_transaction_mode: Some(SqliteTransactionMode::Immediate),
                ..TransactionOptions::default()
            },
            DatabaseKind::Postgres => TransactionOptions::default(),
        };
        let inner = self.connection.begin_with_options(options).await.attempted(begin)?;
        if self.kind == DatabaseKind::Postgres {
            let lock = format!(
                "SET LOCAL lock_timeout = {}; SELECT pg_advisory_xact_lock({WRITER_LOCK})",
                self.patience.as_millis().max(1)
            );
            inner.execute_unprepared(&lock).await.attempted(begin)?;
        }
        Ok(Tx::writing(inner, turn, self.clock.clone()))
    }

    /// Writes the whole database, as of now, to a new file that [`Store::restore`] reads on either database.
    /// Others may write meanwhile. The file appears only when it is whole.
    pub async fn backup(&self, file: &Path) -> Result<()> {
        let tx = self.read().await?;
        crate::backup::write_file(&tx, file).await
    }

    /// Fills an empty database from a backup: all of it, or nothing where the file is damaged or the place not empty.
    pub async fn restore(&self, file: &Path) -> Result<()> {
        let tx = self.write().await?;
        migrate_within(&tx).await?;
        crate::backup::read_file(&tx, file).await?;
        tx.commit().await
    }
}

async fn migrate_within(tx: &Tx) -> Result<Vec<String>> {
    let attempted = || "bring the tables up to date".to_owned();
    let inner = tx.writes()?;
    Migrator::install(inner).await.attempted(attempted)?;
    let pending = Migrator::get_pending_migrations(inner).await.attempted(attempted)?;
    let names = pending.iter().map(|m| m.name().to_owned()).collect();
    Migrator::up(inner, None).await.attempted(attempted)?;
    Ok(names)
}

/// Connects. Of several programs that open a new SQLite file at once, all but one find it locked while it is made one with a
/// write-ahead log, and SQLite does not wait for that by itself: they try again.
async fn connected(
    connect: ConnectOptions,
    patience: Duration,
    attempted: impl Fn() -> String,
) -> Result<DatabaseConnection> {
    const PAUSE: Duration = Duration::from_millis(20);
    let mut waited = Duration::ZERO;
    loop {
        match Database::connect(connect.clone()).await.attempted(&attempted) {
            Err(StoreError::Busy(_)) if waited < patience => tokio::time::sleep(PAUSE).await,
            ended => return ended,
        }
        waited += PAUSE;
    }
}

fn too_busy() -> StoreError {
    StoreError::Busy("others kept writing for too long: try again in a moment".to_owned())
}

fn kind_of(url: &str) -> Result<DatabaseKind> {
    match url.split_once(':') {
        Some(("sqlite", _)) => Ok(DatabaseKind::Sqlite),
        Some(("postgres" | "postgresql", _)) => Ok(DatabaseKind::Postgres),
        _ => Err(StoreError::Unusable(format!(
            "the database address begins with '{}': use sqlite:FILE or postgres://USER@HOST/DATABASE",
            url.split_once(':').map_or("", |(scheme, _)| scheme)
        ))),
    }
}

/// SQLite makes a missing file unless the address says otherwise.
fn url_for(kind: DatabaseKind, url: &str) -> String {
    match kind {
        DatabaseKind::Sqlite if !url.contains('?') => format!("{url}?mode=rwc"),
        _ => url.to_owned(),
    }
}

fn file_of(url: &str) -> &Path {
    let path = url.trim_start_matches("sqlite:").trim_start_matches("//");
    Path::new(path.split('?').next().unwrap_or(path))
}

fn folder_is_there(url: &str) -> Result<()> {
    let file = file_of(url);
    let folder = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => return Ok(()),
    };
    if folder.is_dir() {
        return Ok(());
    }
    Err(StoreError::Unusable(format!(
        "the folder {} of the database file is not there: make it, or name another file",
        folder.display()
    )))
}

/// Only by its rights: to open the file here and close it again would let go of the locks of whoever has it open.
fn file_may_be_written(url: &str) -> Result<()> {
    let file = file_of(url);
    match std::fs::metadata(file) {
        Ok(known) if known.permissions().readonly() && !url.contains("mode=ro") => Err(StoreError::ReadOnly(format!(
            "the database file {} may only be read: let this program write it and its folder",
            file.display()
        ))),
        // A file that is not there is made; anything else SQLite says better.
        _ => Ok(()),
    }
}

/// The address without what must not be shown.
fn shown(kind: DatabaseKind, url: &str) -> String {
    match kind {
        DatabaseKind::Sqlite => format!("the database file {}", file_of(url).display()),
        DatabaseKind::Postgres => {
            let place = url.rsplit_once('@').map_or(url, |(_, place)| place);
            let place = place.split('?').next().unwrap_or(place);
            format!("the PostgreSQL database at {}", place.trim_start_matches("postgres://"))
        }
    }
}

#[cfg(test)]
mod tests;
