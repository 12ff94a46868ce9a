//! What closes orders and deliveries: whether an order may go in parts, how long a material keeps, when a delivery was last
//! found late.

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
        for (table, column) in COLUMNS {
            manager.get_connection().execute_unprepared(&format!("ALTER TABLE {table} DROP COLUMN {column}")).await?;
        }
        Ok(())
    }
}

const COLUMNS: [(&str, &str); 3] =
    [("customer_order", "parts_agreed"), ("material", "keep_days"), ("delivery", "late_noted_on")];

const UP: &str = "
ALTER TABLE customer_order ADD COLUMN parts_agreed {bool} NOT NULL DEFAULT FALSE;
ALTER TABLE material ADD COLUMN keep_days {int} CHECK (keep_days BETWEEN 1 AND 3650);
ALTER TABLE delivery ADD COLUMN late_noted_on {day} CHECK ({is_day:late_noted_on});";
