//! Fresh databases for tests: one test body, run on SQLite and on PostgreSQL.
//!
//! PostgreSQL takes part where `MOULDBOARD_TEST_POSTGRES` holds the address of a database on a server where databases
//! may be made (`postgres://postgres@127.0.0.1:54329/postgres`). Where it does not, the test says so; where `CI` is set,
//! that is a failure: there, both are tested.

use std::path::Path;

use sea_orm::{ConnectionTrait as _, Database, DbErr};
use store::{DatabaseKind, Options, Store};

/// Names the environment variable with the address of the PostgreSQL server for tests.
pub const POSTGRES: &str = "MOULDBOARD_TEST_POSTGRES";

/// A fresh, empty database. It goes away with this value.
pub struct TestDatabase {
    /// Its address.
    pub url: String,
    /// Which of the two it is.
    pub kind: DatabaseKind,
    place: Place,
}

enum Place {
    Folder(tempfile::TempDir),
    Server { admin_url: String, name: String },
}

impl TestDatabase {
    /// An empty SQLite file in a folder of its own.
    pub fn sqlite() -> Self {
        let folder = tempfile::tempdir().expect("a folder for the test's database");
        let url = format!("sqlite:{}", folder.path().join("workshop.db").display());
        Self { url, kind: DatabaseKind::Sqlite, place: Place::Folder(folder) }
    }

    /// An empty PostgreSQL database, where there is a server for tests.
    pub async fn postgres() -> Option<Self> {
        let Ok(admin_url) = std::env::var(POSTGRES) else {
            assert!(std::env::var_os("CI").is_none(), "{POSTGRES} is not set: on CI both databases are tested");
            println!("not run on PostgreSQL: {POSTGRES} is not set");
            return None;
        };
        let name = format!("mouldboard_test_{}", uuid::Uuid::now_v7().simple());
        execute(&admin_url, &format!("CREATE DATABASE {name}")).await.expect("the server makes a database");
        let (server, _) = admin_url.rsplit_once('/').expect("the address names a database");
        let url = format!("{server}/{name}");
        Some(Self { url, kind: DatabaseKind::Postgres, place: Place::Server { admin_url, name } })
    }

    /// Opens it as a program would; it has no tables.
    pub async fn open(&self) -> Store {
        Store::open(&self.url, &Options::default()).await.expect("a fresh database opens")
    }

    /// Opens it and makes its tables.
    pub async fn migrated(&self) -> Store {
        let store = self.open().await;
        store.migrate().await.expect("a fresh database takes its tables");
        store
    }

    /// The folder its file is in, where it is a file.
    pub fn folder(&self) -> Option<&Path> {
        match &self.place {
            Place::Folder(folder) => Some(folder.path()),
            Place::Server { .. } => None,
        }
    }

    /// Does to it what no store does: for tests of how the store bears that.
    pub async fn execute(&self, sql: &str) -> Result<(), DbErr> {
        execute(&self.url, sql).await
    }
}

impl Drop for TestDatabase {
    fn drop(&mut self) {
        let Place::Server { admin_url, name } = &self.place else { return };
        let (admin_url, sql) = (admin_url.clone(), format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)"));
        // The test's own runtime may be ending; the server still has to be tidied.
        let tidied = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
            runtime.map(|runtime| runtime.block_on(execute(&admin_url, &sql)))
        })
        .join();
        if !matches!(tidied, Ok(Ok(Ok(())))) {
            eprintln!("the test's database {name} could not be dropped");
        }
    }
}

/// A fresh database of each kind that can be had here.
pub async fn databases() -> Vec<TestDatabase> {
    let mut databases = vec![TestDatabase::sqlite()];
    databases.extend(TestDatabase::postgres().await);
    databases
}

/// Runs a test on a fresh database of each kind, with its tables and nothing in them.
pub async fn each_database(test: impl AsyncFn(Store)) {
    for database in databases().await {
        println!("on {:?}", database.kind);
        test(database.migrated().await).await;
    }
}

async fn execute(url: &str, sql: &str) -> Result<(), DbErr> {
    let connection = Database::connect(url).await?;
    connection.execute_unprepared(sql).await?;
    connection.close().await
}
