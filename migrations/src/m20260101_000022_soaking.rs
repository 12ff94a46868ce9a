//! Least days in water by its temperature, as the workshop has them.

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
        drop_tables(manager, &["soaking_step"]).await
    }
}

/// A workshop without steps has those of common practice.
const UP: &str = "
CREATE TABLE soaking_step (
    workshop {int} NOT NULL REFERENCES workshop (id),
    position {int} NOT NULL,
    water_c {real} NOT NULL CHECK (water_c BETWEEN 0 AND 60),
    least_days {int} NOT NULL CHECK (least_days BETWEEN 1 AND 90),
    PRIMARY KEY (workshop, position)
);";
