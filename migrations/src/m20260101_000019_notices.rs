//! What happened, for scripts that want to know: notices in the order they were written, and the addresses they are sent to.

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

const TABLES: [&str; 3] = ["notice", "notice_standing", "web_hook"];

const UP: &str = "
CREATE TABLE notice (
    id {numbered},
    at {moment} NOT NULL,
    kind text NOT NULL CHECK (kind IN ('plan_in_force', 'tickets_issued', 'order_late', 'material_short')),
    subject text NOT NULL,
    sentence text NOT NULL
);
CREATE TABLE notice_standing (
    kind text NOT NULL CHECK (kind IN ('order_late', 'material_short')),
    subject {id} NOT NULL,
    PRIMARY KEY (kind, subject)
);
CREATE TABLE web_hook (
    id {numbered},
    name text NOT NULL,
    url text NOT NULL,
    kinds text NOT NULL,
    secret text NOT NULL,
    made_at {moment} NOT NULL,
    ended_at {moment}
);";
