//! Orders. (`order` is a reserved word, so the table says whose.)

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
        drop_tables(manager, &TABLES).await
    }
}

const TABLES: [&str; 2] = ["customer_order", "order_line"];

const UP: &str = "
CREATE TABLE customer_order (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    customer text,
    due_on {day} NOT NULL CHECK ({is_day:due_on}),
    promised_on {day} CHECK ({is_day:promised_on}),
    priority text NOT NULL CHECK (priority IN ('low', 'usual', 'high')),
    state text NOT NULL CHECK (state IN ('open', 'dispatched', 'withdrawn')),
    note text
);
CREATE INDEX customer_order_by_state ON customer_order (state);
CREATE TABLE order_line (
    order_id {id} NOT NULL REFERENCES customer_order (id),
    position {int} NOT NULL CHECK (position >= 1),
    set_id {id} REFERENCES panel_set (id),
    panel {id} REFERENCES panel (id),
    finish {id} NOT NULL REFERENCES finish (id),
    quantity {int} NOT NULL CHECK (quantity BETWEEN 1 AND 10000),
    PRIMARY KEY (order_id, position),
    CHECK ((set_id IS NULL) <> (panel IS NULL))
);
CREATE INDEX order_line_by_set ON order_line (set_id);
CREATE INDEX order_line_by_panel ON order_line (panel);
CREATE INDEX order_line_by_finish ON order_line (finish);";
