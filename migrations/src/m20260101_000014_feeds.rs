//! What was given out of each feed, so that whoever pulls it again can be told that nothing changed.

use sea_orm_migration::prelude::*;

use crate::dialect::{drop_tables, run};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_tables(manager, &TABLES).await
    }
}

const TABLES: [&str; 1] = ["feed_pull"];

const UP: &str = "
CREATE TABLE feed_pull (
    feed text NOT NULL PRIMARY KEY,
    hash {bytes} NOT NULL,
    changed_at {moment} NOT NULL
);";
