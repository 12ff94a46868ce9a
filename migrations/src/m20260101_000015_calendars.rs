//! Calendar entries as they were given out, tokens that open feeds only, and an end for every token.

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
        run(manager, "ALTER TABLE access_token DROP COLUMN expires_at;").await?;
        drop_tables(manager, &TABLES).await
    }
}

const TABLES: [&str; 3] = ["calendar_event", "feed_token", "feed_of_token"];

/// A calendar entry is kept for good: a calendar that asks once a year must still hear that it was cancelled.
const UP: &str = "
CREATE TABLE calendar_event (
    topic text NOT NULL CHECK (topic IN ('pour', 'strip', 'lift', 'delivery', 'order-day', 'order')),
    name {id} NOT NULL,
    day {day} NOT NULL CHECK ({is_day:day}),
    summary text NOT NULL,
    description text NOT NULL,
    sequence {int} NOT NULL CHECK (sequence >= 0),
    changed_at {moment} NOT NULL,
    cancelled {bool} NOT NULL,
    PRIMARY KEY (topic, name)
);
CREATE TABLE feed_token (
    id {numbered},
    name text NOT NULL,
    lookup text NOT NULL UNIQUE,
    hash {bytes} NOT NULL,
    made_at {moment} NOT NULL,
    expires_at {moment},
    revoked_at {moment}
);
CREATE UNIQUE INDEX feed_token_name ON feed_token (name) WHERE revoked_at IS NULL;
CREATE TABLE feed_of_token (
    token {int} NOT NULL REFERENCES feed_token (id),
    position {int} NOT NULL CHECK (position >= 1),
    feed text NOT NULL,
    PRIMARY KEY (token, position)
);
ALTER TABLE access_token ADD COLUMN expires_at {moment};";
