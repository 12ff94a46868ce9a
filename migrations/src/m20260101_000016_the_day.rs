//! The day as it went: upkeep tasks and what was said of them, who wrote down what, rows by their names, what was noted at
//! the mixer, the rest of a delivery of which only a part came.

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
        manager.get_connection().execute_unprepared("DROP INDEX lot_dispatch_by_day").await?;
        for (table, column) in COLUMNS {
            manager.get_connection().execute_unprepared(&format!("ALTER TABLE {table} DROP COLUMN {column}")).await?;
        }
        Ok(())
    }
}

const TABLES: [&str; 3] = ["upkeep_task", "upkeep_report", "delivery_rest"];
const COLUMNS: [(&str, &str); 20] = [
    ("lot", "row_name"),
    ("lot_move", "row_name"),
    ("lot_move", "said_by"),
    ("lot_move", "said_at"),
    ("lot_loss", "said_by"),
    ("lot_dispatch", "said_by"),
    ("lot_dispatch", "said_at"),
    ("stock_entry", "said_by"),
    ("delivery", "said_by"),
    ("delivery", "said_at"),
    ("tank", "row_names"),
    ("rack", "row_names"),
    ("ticket", "closed_by"),
    ("ticket", "air_c"),
    ("ticket", "mix_c"),
    ("ticket", "water_added_ml"),
    ("ticket", "left_over_ml"),
    ("ticket", "left_over_to"),
    ("ticket", "began_at"),
    ("ticket", "ended_at"),
];

/// `row_names` holds a name a line, in the order of the rows. `said_by` is the name of the token something came with; none
/// where there was none.
const UP: &str = "
CREATE TABLE upkeep_task (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    tank {id} REFERENCES tank (id),
    rack {id} REFERENCES rack (id),
    every_days {int} NOT NULL CHECK (every_days BETWEEN 1 AND 366),
    first_on {day} NOT NULL CHECK ({is_day:first_on}),
    last_on {day} CHECK ({is_day:last_on}),
    labour_minutes {int} NOT NULL CHECK (labour_minutes BETWEEN 0 AND 1440),
    measured_what text,
    measured_unit text,
    measured_low {real},
    measured_high {real},
    note text,
    CHECK (tank IS NULL OR rack IS NULL),
    CHECK ((measured_what IS NULL) = (measured_unit IS NULL))
);
CREATE TABLE upkeep_report (
    id {numbered},
    task {id} NOT NULL REFERENCES upkeep_task (id),
    day {day} NOT NULL CHECK ({is_day:day}),
    done {bool} NOT NULL,
    measured {real},
    note text,
    said_by text,
    said_at {moment} NOT NULL
);
CREATE INDEX upkeep_report_by_task ON upkeep_report (task, day, id);
CREATE INDEX upkeep_report_by_day ON upkeep_report (day);
CREATE TABLE delivery_rest (
    delivery {int} NOT NULL PRIMARY KEY REFERENCES delivery (id),
    rest_of {int} NOT NULL UNIQUE REFERENCES delivery (id)
);
CREATE INDEX lot_dispatch_by_day ON lot_dispatch (day);
ALTER TABLE lot ADD COLUMN row_name text;
ALTER TABLE lot_move ADD COLUMN row_name text;
ALTER TABLE lot_move ADD COLUMN said_by text;
ALTER TABLE lot_move ADD COLUMN said_at {moment};
ALTER TABLE lot_loss ADD COLUMN said_by text;
ALTER TABLE lot_dispatch ADD COLUMN said_by text;
ALTER TABLE lot_dispatch ADD COLUMN said_at {moment};
ALTER TABLE stock_entry ADD COLUMN said_by text;
ALTER TABLE delivery ADD COLUMN said_by text;
ALTER TABLE delivery ADD COLUMN said_at {moment};
ALTER TABLE tank ADD COLUMN row_names text;
ALTER TABLE rack ADD COLUMN row_names text;
ALTER TABLE ticket ADD COLUMN closed_by text;
ALTER TABLE ticket ADD COLUMN air_c {real};
ALTER TABLE ticket ADD COLUMN mix_c {real};
ALTER TABLE ticket ADD COLUMN water_added_ml {int} CHECK (water_added_ml >= 0);
ALTER TABLE ticket ADD COLUMN left_over_ml {int} CHECK (left_over_ml >= 0);
ALTER TABLE ticket ADD COLUMN left_over_to text;
ALTER TABLE ticket ADD COLUMN began_at {moment};
ALTER TABLE ticket ADD COLUMN ended_at {moment};";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER upkeep_report_keeps BEFORE UPDATE ON upkeep_report
BEGIN SELECT RAISE(ABORT, 'reports are only added'); END;
CREATE TRIGGER upkeep_report_stays BEFORE DELETE ON upkeep_report
BEGIN SELECT RAISE(ABORT, 'reports are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER upkeep_report_only_added BEFORE UPDATE OR DELETE ON upkeep_report
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
