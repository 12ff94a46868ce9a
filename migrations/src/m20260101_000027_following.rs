//! What a plan is followed by: the last delivery its facts knew of (later ones were ordered since), and which days issued from
//! it have been looked back on.

use sea_orm_migration::prelude::*;

use crate::dialect::run;

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, DOWN).await
    }
}

/// `facts_delivery` is 0 where there was none yet; nothing where a program wrote the run that did not note it.
const UP: &str = "
ALTER TABLE planning_run ADD COLUMN facts_delivery {int} CHECK (facts_delivery >= 0);
ALTER TABLE issued_day ADD COLUMN looked_back_at {moment};";

const DOWN: &str = "
ALTER TABLE issued_day DROP COLUMN looked_back_at;
ALTER TABLE planning_run DROP COLUMN facts_delivery;";
