//! Lots, the steps they took, and pinned pours.

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
        drop_tables(manager, &TABLES).await
    }
}

const TABLES: [&str; 4] = ["lot", "lot_move", "lot_dispatch", "pin"];

/// A lot that has wholly gone on stays, with quantity 0: it is where the next lot came from.
const UP: &str = "
CREATE TABLE lot (
    id {numbered},
    version {int} NOT NULL CHECK (version >= 1),
    panel {id} NOT NULL REFERENCES panel (id),
    revision {id} NOT NULL REFERENCES mix_revision (id),
    finish {id} NOT NULL REFERENCES finish (id),
    poured_on {day} NOT NULL CHECK ({is_day:poured_on}),
    ticket {id} REFERENCES ticket (id),
    stage text NOT NULL CHECK (stage IN ('in_mould', 'soaking', 'drying', 'ready')),
    since {day} NOT NULL CHECK ({is_day:since}),
    quantity {int} NOT NULL CHECK (quantity >= 0),
    tank {id} REFERENCES tank (id),
    rack {id} REFERENCES rack (id),
    CHECK (poured_on <= since),
    CHECK (tank IS NULL OR stage = 'soaking'),
    CHECK (rack IS NULL OR stage = 'drying')
);
CREATE INDEX lot_by_stage ON lot (stage);
CREATE INDEX lot_by_ticket ON lot (ticket);
CREATE TABLE lot_move (
    id {numbered},
    from_lot {int} NOT NULL REFERENCES lot (id),
    to_lot {int} NOT NULL UNIQUE REFERENCES lot (id),
    day {day} NOT NULL CHECK ({is_day:day}),
    to_stage text NOT NULL CHECK (to_stage IN ('soaking', 'drying', 'ready')),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    tank {id} REFERENCES tank (id),
    rack {id} REFERENCES rack (id)
);
CREATE INDEX lot_move_by_day ON lot_move (day);
CREATE INDEX lot_move_by_from ON lot_move (from_lot);
CREATE TABLE lot_dispatch (
    id {numbered},
    lot {int} NOT NULL REFERENCES lot (id),
    day {day} NOT NULL CHECK ({is_day:day}),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    order_id {id} REFERENCES customer_order (id)
);
CREATE INDEX lot_dispatch_by_order ON lot_dispatch (order_id);
CREATE TABLE pin (
    id {numbered},
    version {int} NOT NULL CHECK (version >= 1),
    day {day} NOT NULL CHECK ({is_day:day}),
    panel {id} NOT NULL REFERENCES panel (id),
    revision {id} NOT NULL REFERENCES mix_revision (id),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    reason text NOT NULL
);
CREATE INDEX pin_by_day ON pin (day);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER lot_move_keeps BEFORE UPDATE ON lot_move
BEGIN SELECT RAISE(ABORT, 'moves are only added'); END;
CREATE TRIGGER lot_move_stays BEFORE DELETE ON lot_move
BEGIN SELECT RAISE(ABORT, 'moves are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER lot_move_only_added BEFORE UPDATE OR DELETE ON lot_move
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
