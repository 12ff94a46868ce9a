//! The sender's own reference of a delivery that came with a file, so that the same file twice makes none twice.

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
ALTER TABLE delivery ADD COLUMN reference text;
CREATE UNIQUE INDEX delivery_reference ON delivery (reference);";

const DOWN: &str = "
DROP INDEX delivery_reference;
ALTER TABLE delivery DROP COLUMN reference;";
