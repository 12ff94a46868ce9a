//! Days issued, and their batch tickets.

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

const TABLES: [&str; 5] = ["issued_day", "ticket", "ticket_line", "ticket_fill", "ticket_caution"];

/// A ticket belongs to a day that is recorded as issued once: that record is what keeps a day from being issued twice.
const UP: &str = "
CREATE TABLE issued_day (
    day {day} NOT NULL PRIMARY KEY CHECK ({is_day:day}),
    run {int} NOT NULL REFERENCES planning_run (id),
    at {moment} NOT NULL
);
CREATE TABLE ticket (
    id {id} NOT NULL PRIMARY KEY,
    version {int} NOT NULL CHECK (version >= 1),
    day {day} NOT NULL REFERENCES issued_day (day),
    sequence {int} NOT NULL CHECK (sequence BETWEEN 1 AND 999),
    run {int} NOT NULL REFERENCES planning_run (id),
    revision {id} NOT NULL REFERENCES mix_revision (id),
    batch_ml {int} NOT NULL CHECK (batch_ml >= 0),
    washout_ml {int} NOT NULL CHECK (washout_ml >= 0),
    foam_ml {int} NOT NULL CHECK (foam_ml >= 0),
    foam_mass_g {int} NOT NULL CHECK (foam_mass_g >= 0),
    wet_density_kg_m3 {real} NOT NULL CHECK (wet_density_kg_m3 > 0),
    wet_density_low_kg_m3 {real} NOT NULL CHECK (wet_density_low_kg_m3 >= 0),
    wet_density_high_kg_m3 {real} NOT NULL,
    labour_minutes {int} NOT NULL CHECK (labour_minutes >= 0),
    state text NOT NULL CHECK (state IN ('issued', 'mixed', 'void')),
    issued_at {moment} NOT NULL,
    closed_at {moment},
    measured_wet_density_kg_m3 {real} CHECK (measured_wet_density_kg_m3 > 0),
    note text,
    UNIQUE (day, sequence),
    CHECK (wet_density_low_kg_m3 <= wet_density_high_kg_m3),
    CHECK ((state = 'issued') = (closed_at IS NULL))
);
CREATE INDEX ticket_by_revision ON ticket (revision);
CREATE TABLE ticket_line (
    ticket {id} NOT NULL REFERENCES ticket (id),
    position {int} NOT NULL CHECK (position >= 1),
    kind text NOT NULL CHECK (kind IN ('ingredient', 'foam_concentrate', 'foam_water', 'per_panel')),
    material {id} NOT NULL REFERENCES material (id),
    mass_g {int} CHECK (mass_g >= 0),
    target {int} NOT NULL CHECK (target >= 0),
    actual {int} CHECK (actual >= 0),
    counted {bool} NOT NULL,
    PRIMARY KEY (ticket, position)
);
CREATE INDEX ticket_line_by_material ON ticket_line (material);
CREATE TABLE ticket_fill (
    ticket {id} NOT NULL REFERENCES ticket (id),
    position {int} NOT NULL CHECK (position >= 1),
    panel {id} NOT NULL REFERENCES panel (id),
    mould_group {id} NOT NULL REFERENCES mould_group (id),
    finished {int} NOT NULL CHECK (finished >= 0),
    begun_ml {int} NOT NULL CHECK (begun_ml >= 0),
    volume_ml {int} NOT NULL CHECK (volume_ml >= 0),
    PRIMARY KEY (ticket, position)
);
CREATE TABLE ticket_caution (
    ticket {id} NOT NULL REFERENCES ticket (id),
    position {int} NOT NULL CHECK (position >= 1),
    caution text NOT NULL,
    PRIMARY KEY (ticket, position)
);";
