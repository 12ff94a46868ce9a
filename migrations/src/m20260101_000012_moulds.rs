//! Moulds by their numbers: what was poured in which, which of them are missing, and how long they last.

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
        drop_tables(manager, &["mould_use"]).await?;
        for (table, column) in [("mould_group", "life_uses"), ("out_of_service", "which_moulds")] {
            manager.get_connection().execute_unprepared(&format!("ALTER TABLE {table} DROP COLUMN {column}")).await?;
        }
        Ok(())
    }
}

/// `which_moulds` holds numbers parted by blanks; none where nobody says which are missing.
const UP: &str = "
ALTER TABLE mould_group ADD COLUMN life_uses {int} CHECK (life_uses >= 1);
ALTER TABLE out_of_service ADD COLUMN which_moulds text;
CREATE TABLE mould_use (
    id {numbered},
    mould_group {id} NOT NULL REFERENCES mould_group (id),
    number {int} NOT NULL CHECK (number >= 1),
    day {day} NOT NULL CHECK ({is_day:day}),
    ticket {id} NOT NULL REFERENCES ticket (id),
    begun_by {id} REFERENCES ticket (id),
    panel {id} NOT NULL REFERENCES panel (id),
    lot {int} REFERENCES lot (id),
    state text NOT NULL CHECK (state IN ('given', 'filled', 'over', 'not_used')),
    over_on {day} CHECK ({is_day:over_on})
);
CREATE INDEX mould_use_by_ticket ON mould_use (ticket);
CREATE INDEX mould_use_by_begun ON mould_use (begun_by);
CREATE INDEX mould_use_by_lot ON mould_use (lot);";
