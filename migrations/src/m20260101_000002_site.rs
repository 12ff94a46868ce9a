//! The workshop and its calendar.

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

const TABLES: [&str; 3] = ["workshop", "working_weekday", "calendar_day"];

/// There is one workshop, so its table has one row.
const UP: &str = "
CREATE TABLE workshop (
    id {int} NOT NULL PRIMARY KEY CHECK (id = 1),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    time_zone text NOT NULL,
    currency text NOT NULL CHECK (length(currency) = 3),
    display_units text NOT NULL CHECK (display_units IN ('metric', 'us_customary')),
    labour_minutes {int} NOT NULL CHECK (labour_minutes >= 0),
    mixer_batches {int} NOT NULL CHECK (mixer_batches >= 0),
    issue_at {time} NOT NULL,
    pour_at {time} NOT NULL,
    strip_at {time} NOT NULL,
    least_air_c {real} NOT NULL,
    usual_air_c {real} NOT NULL,
    tank_gap_mm {int} NOT NULL CHECK (tank_gap_mm >= 0),
    rack_gap_mm {int} NOT NULL CHECK (rack_gap_mm >= 0),
    scale_resolution_g {int} NOT NULL CHECK (scale_resolution_g >= 1),
    lifting_limit_g {int} NOT NULL CHECK (lifting_limit_g >= 1),
    taking_over text NOT NULL CHECK (taking_over IN ('by_itself', 'wait_for_a_person')),
    horizon_days {int} NOT NULL CHECK (horizon_days BETWEEN 1 AND 300),
    unmet_days {int} NOT NULL CHECK (unmet_days BETWEEN 0 AND 400),
    steady_days {int} NOT NULL CHECK (steady_days BETWEEN 0 AND 30),
    late_price {int} NOT NULL CHECK (late_price >= 0),
    plan_seconds {int} NOT NULL CHECK (plan_seconds BETWEEN 1 AND 3600),
    plan_evaluations {int} CHECK (plan_evaluations >= 1),
    plan_threads {int} NOT NULL CHECK (plan_threads BETWEEN 1 AND 64),
    plan_seed {int} NOT NULL
);
CREATE TABLE working_weekday (
    workshop {int} NOT NULL REFERENCES workshop (id),
    position {int} NOT NULL CHECK (position >= 1),
    weekday text NOT NULL CHECK (weekday IN ('Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun')),
    PRIMARY KEY (workshop, position),
    UNIQUE (workshop, weekday)
);
CREATE TABLE calendar_day (
    day {day} NOT NULL PRIMARY KEY CHECK ({is_day:day}),
    version {int} NOT NULL CHECK (version >= 1),
    work text NOT NULL CHECK (work IN ('usual', 'closed', 'worked')),
    labour_minutes {int} CHECK (labour_minutes >= 0),
    air_c {real} CHECK (air_c BETWEEN -40 AND 60),
    note text
);";
