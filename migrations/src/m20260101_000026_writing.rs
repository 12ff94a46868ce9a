//! How the workshop's people write days, decimals and times of day.

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

const UP: &str = "
ALTER TABLE workshop ADD COLUMN date_order text NOT NULL DEFAULT 'day_first' CHECK (date_order IN ('day_first', 'month_first', 'year_first'));
ALTER TABLE workshop ADD COLUMN decimal_sign text NOT NULL DEFAULT 'point' CHECK (decimal_sign IN ('point', 'comma'));
ALTER TABLE workshop ADD COLUMN clock text NOT NULL DEFAULT 'hours_24' CHECK (clock IN ('hours_24', 'hours_12'));";

const DOWN: &str = "
ALTER TABLE workshop DROP COLUMN clock;
ALTER TABLE workshop DROP COLUMN decimal_sign;
ALTER TABLE workshop DROP COLUMN date_order;";
