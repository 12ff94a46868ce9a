//! What was weighed of a ticket's load, what was answered, and what was done.

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

const TABLES: [&str; 2] = ["ticket_correction", "ticket_correction_done"];

/// What was done comes after what was answered, so it has a row of its own: neither is ever changed.
const UP: &str = "
CREATE TABLE ticket_correction (
    ticket {id} NOT NULL REFERENCES ticket (id),
    sequence {int} NOT NULL CHECK (sequence >= 1),
    at {moment} NOT NULL,
    weighed_by text NOT NULL,
    place text NOT NULL CHECK (place IN ('mixer', 'mould')),
    measured_wet_density_kg_m3 {real} NOT NULL CHECK (measured_wet_density_kg_m3 > 0),
    volume_ml {int} NOT NULL CHECK (volume_ml >= 1),
    minutes_since_foaming {real} NOT NULL CHECK (minutes_since_foaming >= 0),
    foam_density_kg_m3 {real} CHECK (foam_density_kg_m3 > 0),
    slurry_density_kg_m3 {real} CHECK (slurry_density_kg_m3 > 0),
    mixer_most_ml {int} CHECK (mixer_most_ml >= 1),
    generator_l_per_minute {real} CHECK (generator_l_per_minute > 0),
    answer text NOT NULL CHECK (answer IN ('accept', 'add_foam', 'add_slurry', 'reject')),
    sentence text NOT NULL,
    added_ml {int} CHECK (added_ml >= 0),
    added_g {int} CHECK (added_g >= 0),
    generator_seconds {real} CHECK (generator_seconds >= 0),
    volume_then_ml {int} NOT NULL CHECK (volume_then_ml >= 0),
    panels_then {int} CHECK (panels_then >= 0),
    rise_percent {real},
    note text,
    PRIMARY KEY (ticket, sequence)
);
CREATE TABLE ticket_correction_done (
    ticket {id} NOT NULL,
    sequence {int} NOT NULL,
    at {moment} NOT NULL,
    done_by text NOT NULL,
    did text NOT NULL CHECK (did IN ('poured', 'foam_added', 'slurry_added', 'thrown_away')),
    added_ml {int} CHECK (added_ml >= 1),
    note text,
    PRIMARY KEY (ticket, sequence),
    FOREIGN KEY (ticket, sequence) REFERENCES ticket_correction (ticket, sequence),
    CHECK (added_ml IS NULL OR did IN ('foam_added', 'slurry_added'))
);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER ticket_correction_keeps BEFORE UPDATE ON ticket_correction
BEGIN SELECT RAISE(ABORT, 'corrections are only added'); END;
CREATE TRIGGER ticket_correction_stays BEFORE DELETE ON ticket_correction
BEGIN SELECT RAISE(ABORT, 'corrections are only added'); END;
CREATE TRIGGER ticket_correction_done_keeps BEFORE UPDATE ON ticket_correction_done
BEGIN SELECT RAISE(ABORT, 'corrections are only added'); END;
CREATE TRIGGER ticket_correction_done_stays BEFORE DELETE ON ticket_correction_done
BEGIN SELECT RAISE(ABORT, 'corrections are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER ticket_correction_only_added BEFORE UPDATE OR DELETE ON ticket_correction
FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER ticket_correction_done_only_added BEFORE UPDATE OR DELETE ON ticket_correction_done
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
