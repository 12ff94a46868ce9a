//! Sessions: browsers that showed a token and need not show it again for a while.

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

const TABLES: [&str; 1] = ["page_session"];

/// A session opens what its token opens, and nothing once that is revoked.
const UP: &str = "
CREATE TABLE page_session (
    hash {bytes} NOT NULL PRIMARY KEY,
    token {int} NOT NULL REFERENCES access_token (id),
    began_at {moment} NOT NULL,
    ends_at {moment} NOT NULL
);
CREATE INDEX page_session_by_end ON page_session (ends_at);";
