//! Planning runs, their documents, and the plan in force.

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

const TABLES: [&str; 3] = ["planning_run", "run_document", "plan_in_force"];

/// At most one plan is in force, so that table has one row at most.
const UP: &str = "
CREATE TABLE planning_run (
    id {numbered},
    version {int} NOT NULL CHECK (version >= 1),
    state text NOT NULL CHECK (state IN ('waiting', 'running', 'planned', 'failed')),
    asked_at {moment} NOT NULL,
    reason text,
    facts_at {moment},
    first_day {day} CHECK ({is_day:first_day}),
    ended_at {moment},
    parent {int} REFERENCES planning_run (id),
    order_days_late {real} CHECK (order_days_late >= 0),
    panel_days_late {real} CHECK (panel_days_late >= 0),
    material_cost {int},
    changes {int} CHECK (changes >= 0),
    bound {real},
    gap {real},
    seconds {real} CHECK (seconds >= 0),
    way text,
    remark text,
    CHECK (state <> 'planned' OR (facts_at IS NOT NULL AND ended_at IS NOT NULL AND order_days_late IS NOT NULL)),
    CHECK (state <> 'failed' OR (ended_at IS NOT NULL AND remark IS NOT NULL))
);
CREATE TABLE run_document (
    run {int} NOT NULL PRIMARY KEY REFERENCES planning_run (id),
    facts text,
    plan text,
    explanation text
);
CREATE TABLE plan_in_force (
    id {int} NOT NULL PRIMARY KEY CHECK (id = 1),
    run {int} NOT NULL REFERENCES planning_run (id),
    since {moment} NOT NULL
);";
