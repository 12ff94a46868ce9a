//! What closes the day: what a lot began with and what was lost of it, what makes a plan out of date, the pack a delivery
//! was ordered in, how dark a finish is, what a dispatch drew.

use sea_orm_migration::prelude::*;

use crate::dialect::{drop_tables, is_postgres, run};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await?;
        run(manager, FILL).await?;
        run(manager, if is_postgres(manager) { ONLY_ADDED_POSTGRES } else { ONLY_ADDED_SQLITE }).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_tables(manager, &TABLES).await?;
        for (table, column) in COLUMNS {
            manager.get_connection().execute_unprepared(&format!("ALTER TABLE {table} DROP COLUMN {column}")).await?;
        }
        Ok(())
    }
}

const TABLES: [&str; 4] = ["scrap_cause", "lot_loss", "dispatch_draw", "plan_mark"];
const COLUMNS: [(&str, &str); 6] = [
    ("lot", "made"),
    ("planning_run", "facts_mark"),
    ("workshop", "calm_seconds"),
    ("workshop", "night_at"),
    ("delivery", "pack"),
    ("finish", "darkness"),
];

/// A lot's `made` is what it began with; what is there, went on, went out and was lost always add up to it. Marks are
/// numbered in the order they were written; a run keeps the number of the last one its facts knew of.
const UP: &str = "
CREATE TABLE scrap_cause (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL
);
ALTER TABLE lot ADD COLUMN made {int} CHECK (made >= 0);
CREATE TABLE lot_loss (
    id {numbered},
    lot {int} NOT NULL REFERENCES lot (id),
    at {moment} NOT NULL,
    day {day} NOT NULL CHECK ({is_day:day}),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    kind text NOT NULL CHECK (kind IN ('scrapped', 'taken_back', 'not_whole')),
    cause {id} REFERENCES scrap_cause (id),
    note text,
    CHECK (kind = 'scrapped' OR cause IS NULL),
    CHECK (kind <> 'scrapped' OR cause IS NOT NULL)
);
CREATE INDEX lot_loss_by_lot ON lot_loss (lot);
CREATE TABLE dispatch_draw (
    entry {int} NOT NULL PRIMARY KEY REFERENCES stock_entry (id),
    dispatch {int} NOT NULL REFERENCES lot_dispatch (id)
);
CREATE INDEX dispatch_draw_by_dispatch ON dispatch_draw (dispatch);
CREATE TABLE plan_mark (
    id {numbered},
    at {moment} NOT NULL,
    what text NOT NULL,
    detail text NOT NULL
);
ALTER TABLE planning_run ADD COLUMN facts_mark {int};
ALTER TABLE workshop ADD COLUMN calm_seconds {int} CHECK (calm_seconds BETWEEN 0 AND 86400);
ALTER TABLE workshop ADD COLUMN night_at {time};
ALTER TABLE delivery ADD COLUMN pack {int} CHECK (pack >= 1);
ALTER TABLE finish ADD COLUMN darkness {int} NOT NULL DEFAULT 50 CHECK (darkness BETWEEN 0 AND 100);";

/// A lot that was taken back with its ticket began, as far as anyone can still tell, with nothing.
const FILL: &str = "
UPDATE delivery SET pack = (SELECT material.pack FROM material WHERE material.id = delivery.material);
UPDATE lot SET made = quantity
    + COALESCE((SELECT SUM(lot_move.quantity) FROM lot_move WHERE lot_move.from_lot = lot.id), 0)
    + COALESCE((SELECT SUM(lot_dispatch.quantity) FROM lot_dispatch WHERE lot_dispatch.lot = lot.id), 0);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER lot_loss_keeps BEFORE UPDATE ON lot_loss
BEGIN SELECT RAISE(ABORT, 'losses are only added'); END;
CREATE TRIGGER lot_loss_stays BEFORE DELETE ON lot_loss
BEGIN SELECT RAISE(ABORT, 'losses are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER lot_loss_only_added BEFORE UPDATE OR DELETE ON lot_loss
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
