//! What can only be seen from inside: pragmas, a disk that is full, and each thing a database may say.

use sea_orm::{DbErr, Statement};

use super::*;

async fn fresh(folder: &tempfile::TempDir, options: &Options) -> Store {
    let url = format!("sqlite:{}", folder.path().join("workshop.db").display());
    let store = Store::open(&url, options).await.unwrap();
    store.migrate().await.unwrap();
    store
}

async fn pragma(tx: &Tx, name: &str) -> String {
    let ask = Statement::from_string(tx.reads().get_database_backend(), format!("PRAGMA {name}"));
    let row = tx.reads().query_one_raw(ask).await.unwrap().unwrap();
    row.try_get_by_index::<i64>(0).map(|n| n.to_string()).or_else(|_| row.try_get_by_index(0)).unwrap()
}

#[tokio::test]
async fn every_pooled_connection_has_its_pragmas() {
    let folder = tempfile::tempdir().unwrap();
    let store = fresh(&folder, &Options { busy_timeout_ms: 4_321, ..Options::default() }).await;
    // As many at once as there may be, so that each is another connection.
    let mut open = Vec::new();
    for _ in 0..Options::default().max_connections {
        let tx = store.read().await.unwrap();
        assert_eq!(pragma(&tx, "journal_mode").await, "wal");
        assert_eq!(pragma(&tx, "synchronous").await, "2", "FULL");
        assert_eq!(pragma(&tx, "foreign_keys").await, "1");
        assert_eq!(pragma(&tx, "busy_timeout").await, "4321");
        open.push(tx);
    }
    assert_eq!(open.len(), 8);
}

#[tokio::test]
async fn a_full_database_says_so_and_keeps_what_it_had() {
    let folder = tempfile::tempdir().unwrap();
    let store = fresh(&folder, &Options { max_connections: 1, ..Options::default() }).await;
    let fill = async |text: String| {
        let tx = store.write().await?;
        crate::runs::ask(&tx, chrono::DateTime::UNIX_EPOCH, Some(&text)).await?;
        tx.commit().await
    };
    fill("the first".to_owned()).await.unwrap();
    store.connection.execute_unprepared("PRAGMA max_page_count = 1").await.unwrap();
    let said = fill("x".repeat(1_000_000)).await.unwrap_err();
    assert!(matches!(&said, StoreError::Full(s) if s.contains("free some space")), "{said:?}");
    let tx = store.read().await.unwrap();
    let runs = crate::runs::page(&tx, None, 10).await.unwrap();
    assert_eq!(runs.len(), 1, "nothing half done");
    assert_eq!(runs[0].value.reason.as_deref(), Some("the first"));
}

fn kind(error: &StoreError) -> &'static str {
    use crate::error::Rule;
    match error {
        StoreError::Full(_) => "full",
        StoreError::ReadOnly(_) => "read only",
        StoreError::Away(_) => "away",
        StoreError::Busy(_) => "busy",
        StoreError::NotMigrated(_) => "not migrated",
        StoreError::Unusable(_) => "unusable",
        StoreError::Refused { rule: Rule::Unique, .. } => "unique",
        StoreError::Refused { rule: Rule::Reference, .. } => "reference",
        StoreError::Refused { rule: Rule::Range, .. } => "range",
        StoreError::Refused { rule: Rule::AppendOnly, .. } => "append only",
        _ => "other",
    }
}

#[tokio::test]
async fn each_thing_the_server_may_say_has_its_own_sentence() {
    let Ok(url) = std::env::var("MOULDBOARD_TEST_POSTGRES") else {
        assert!(std::env::var_os("CI").is_none(), "on CI both databases are tested");
        println!("not run on PostgreSQL: MOULDBOARD_TEST_POSTGRES is not set");
        return;
    };
    let store = Store::open(&url, &Options::default()).await.unwrap();
    let table = [
        ("53100", "full"),
        ("25006", "read only"),
        ("57P01", "away"),
        ("57P03", "away"),
        ("53300", "away"),
        ("08006", "away"),
        ("55P03", "busy"),
        ("40001", "busy"),
        ("40P01", "busy"),
        ("57014", "busy"),
        ("42P01", "not migrated"),
        ("3D000", "unusable"),
        ("28P01", "unusable"),
        ("23505", "unique"),
        ("23503", "reference"),
        ("23514", "range"),
        ("23502", "range"),
        ("P0001", "append only"),
        ("XX000", "other"),
    ];
    for (code, expected) in table {
        let said: Result<_, DbErr> = store
            .connection
            .execute_unprepared(&format!("DO $$ BEGIN RAISE EXCEPTION 'so' USING ERRCODE = '{code}'; END $$"))
            .await;
        let error = said.attempted(|| "try it".to_owned()).unwrap_err();
        assert_eq!(kind(&error), expected, "{code}: {error}");
        assert!(error.to_string().starts_with("while trying to try it"), "{error}");
    }
}
