//! Lots put together: which lot went into which, how many panels, by whom and when.

use sea_orm_migration::prelude::*;

use crate::dialect::{drop_tables, is_postgres, run};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await?;
        run(manager, if is_postgres(manager) { ONLY_ADDED_POSTGRES } else { ONLY_ADDED_SQLITE }).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_tables(manager, &["lot_join"]).await
    }
}

/// A lot goes into another wholly and once: it has no panels afterwards.
const UP: &str = "
CREATE TABLE lot_join (
    from_lot {int} NOT NULL PRIMARY KEY REFERENCES lot (id),
    to_lot {int} NOT NULL REFERENCES lot (id),
    day {day} NOT NULL CHECK ({is_day:day}),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    said_by text,
    said_at {moment} NOT NULL,
    CHECK (from_lot < to_lot)
);
CREATE INDEX lot_join_by_lot ON lot_join (to_lot);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER lot_join_keeps BEFORE UPDATE ON lot_join
BEGIN SELECT RAISE(ABORT, 'joins of lots are only added'); END;
CREATE TRIGGER lot_join_stays BEFORE DELETE ON lot_join
BEGIN SELECT RAISE(ABORT, 'joins of lots are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER lot_join_only_added BEFORE UPDATE OR DELETE ON lot_join
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
