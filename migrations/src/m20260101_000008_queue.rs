//! Jobs, access tokens, answers kept, and signs of life.

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

const TABLES: [&str; 4] = ["job", "access_token", "kept_answer", "worker_beat"];

/// Of one kind and key, one job waits at a time.
const UP: &str = "
CREATE TABLE job (
    id {numbered},
    kind text NOT NULL,
    job_key text NOT NULL,
    payload text NOT NULL,
    state text NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'set_aside')),
    run_at {moment} NOT NULL,
    attempts {int} NOT NULL CHECK (attempts >= 0),
    worker text,
    lease_until {moment},
    last_error text,
    asked_at {moment} NOT NULL,
    ended_at {moment},
    CHECK ((state = 'running') = (worker IS NOT NULL)),
    CHECK ((state = 'running') = (lease_until IS NOT NULL)),
    CHECK ((state IN ('done', 'set_aside')) = (ended_at IS NOT NULL))
);
CREATE UNIQUE INDEX job_waits_once ON job (kind, job_key) WHERE state = 'waiting';
CREATE INDEX job_by_state ON job (state, run_at);
CREATE TABLE access_token (
    id {numbered},
    name text NOT NULL,
    role text NOT NULL CHECK (role IN ('office', 'bench', 'reader')),
    hash {bytes} NOT NULL UNIQUE,
    made_at {moment} NOT NULL,
    revoked_at {moment}
);
CREATE UNIQUE INDEX access_token_name ON access_token (name) WHERE revoked_at IS NULL;
CREATE TABLE kept_answer (
    request_key text NOT NULL,
    route text NOT NULL,
    body_hash {bytes} NOT NULL,
    status {int} NOT NULL CHECK (status BETWEEN 100 AND 599),
    headers text NOT NULL,
    body {bytes} NOT NULL,
    kept_at {moment} NOT NULL,
    PRIMARY KEY (request_key, route)
);
CREATE INDEX kept_answer_by_time ON kept_answer (kept_at);
CREATE TABLE worker_beat (
    worker text NOT NULL PRIMARY KEY,
    at {moment} NOT NULL
);";
