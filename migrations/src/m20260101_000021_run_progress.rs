//! How a planning run gets on while it is at work, and that somebody wants it to stop.

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
        drop_tables(manager, &["run_progress"]).await
    }
}

/// One row a run at most: the worker puts the newest news in the place of the older, and a stop stays.
const UP: &str = "
CREATE TABLE run_progress (
    run {int} NOT NULL PRIMARY KEY REFERENCES planning_run (id),
    told_at {moment},
    seconds {real},
    way text,
    order_days_late {real},
    panel_days_late {real},
    material_cost {int},
    changes {int},
    bound {real},
    sentence text,
    stop_asked_at {moment}
);";
