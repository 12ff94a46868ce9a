//! Deliveries and the ledger of materials, whose entries the database itself refuses to change.

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
        drop_tables(manager, &TABLES).await?;
        if is_postgres(manager) { run(manager, "DROP FUNCTION refuse_change()").await } else { Ok(()) }
    }
}

const TABLES: [&str; 3] = ["delivery", "stock_entry", "stock_balance"];

/// Amounts are counts of the material's own unit, signed: what comes in is above 0. An entry is countered once.
const UP: &str = "
CREATE TABLE delivery (
    id {numbered},
    version {int} NOT NULL CHECK (version >= 1),
    material {id} NOT NULL REFERENCES material (id),
    packs {int} NOT NULL CHECK (packs >= 1),
    expected_on {day} NOT NULL CHECK ({is_day:expected_on}),
    state text NOT NULL CHECK (state IN ('on_its_way', 'here')),
    arrived_on {day} CHECK ({is_day:arrived_on}),
    received {int} CHECK (received >= 0),
    CHECK ((state = 'here') = (arrived_on IS NOT NULL)),
    CHECK ((state = 'here') = (received IS NOT NULL))
);
CREATE INDEX delivery_by_state ON delivery (state);
CREATE INDEX delivery_by_material ON delivery (material);
CREATE TABLE stock_entry (
    id {numbered},
    at {moment} NOT NULL,
    material {id} NOT NULL REFERENCES material (id),
    day {day} NOT NULL CHECK ({is_day:day}),
    kind text NOT NULL CHECK (kind IN ('received', 'drawn', 'counted', 'adjusted', 'written_off', 'countered')),
    amount {int} NOT NULL,
    balance {int} NOT NULL,
    counted {int} CHECK (counted >= 0),
    ticket {id} REFERENCES ticket (id),
    delivery {int} REFERENCES delivery (id),
    counters {int} UNIQUE REFERENCES stock_entry (id),
    note text,
    CHECK (kind <> 'received' OR amount >= 0),
    CHECK (kind NOT IN ('drawn', 'written_off') OR amount <= 0),
    CHECK ((kind = 'counted') = (counted IS NOT NULL)),
    CHECK ((kind = 'countered') = (counters IS NOT NULL))
);
CREATE INDEX stock_entry_by_material ON stock_entry (material, id);
CREATE INDEX stock_entry_by_ticket ON stock_entry (ticket);
CREATE TABLE stock_balance (
    material {id} NOT NULL PRIMARY KEY REFERENCES material (id),
    amount {int} NOT NULL
);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER stock_entry_keeps BEFORE UPDATE ON stock_entry
BEGIN SELECT RAISE(ABORT, 'stock entries are only added: counter the entry'); END;
CREATE TRIGGER stock_entry_stays BEFORE DELETE ON stock_entry
BEGIN SELECT RAISE(ABORT, 'stock entries are only added: counter the entry'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'rows of % are only added', TG_TABLE_NAME; END $$;
CREATE TRIGGER stock_entry_only_added BEFORE UPDATE OR DELETE ON stock_entry
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
