//! Trials of mix revisions, and the record of the states a revision was put in.

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

const TABLES: [&str; 7] =
    ["trial", "trial_mass", "trial_density", "trial_strength", "trial_panel", "trial_photo", "revision_standing"];

/// Densities and masses of hardened concrete carry the state they were found in.
const UP: &str = "
CREATE TABLE trial (
    id {id} NOT NULL PRIMARY KEY,
    version {int} NOT NULL CHECK (version >= 1),
    revision {id} NOT NULL REFERENCES mix_revision (id),
    mixed_on {day} NOT NULL CHECK ({is_day:mixed_on}),
    made_by text NOT NULL,
    batch_ml {int} CHECK (batch_ml >= 1),
    wet_density_kg_m3 {real} CHECK (wet_density_kg_m3 > 0),
    wear_loss_g {real} CHECK (wear_loss_g >= 0),
    cracks text,
    warp_mm {real} CHECK (warp_mm >= 0),
    note text
);
CREATE INDEX trial_by_revision ON trial (revision);
CREATE TABLE trial_mass (
    trial {id} NOT NULL REFERENCES trial (id),
    position {int} NOT NULL CHECK (position >= 1),
    material {id} NOT NULL REFERENCES material (id),
    mass_g {int} NOT NULL CHECK (mass_g >= 1),
    PRIMARY KEY (trial, position)
);
CREATE INDEX trial_mass_by_material ON trial_mass (material);
CREATE TABLE trial_density (
    trial {id} NOT NULL REFERENCES trial (id),
    position {int} NOT NULL CHECK (position >= 1),
    state text NOT NULL CHECK (state IN ('demoulded', 'from_the_tank', 'air_dry', 'oven_dry')),
    density_kg_m3 {real} NOT NULL CHECK (density_kg_m3 > 0),
    PRIMARY KEY (trial, position)
);
CREATE TABLE trial_strength (
    trial {id} NOT NULL REFERENCES trial (id),
    position {int} NOT NULL CHECK (position >= 1),
    age_days {real} NOT NULL CHECK (age_days > 0),
    strength_mpa {real} NOT NULL CHECK (strength_mpa >= 0),
    PRIMARY KEY (trial, position)
);
CREATE TABLE trial_panel (
    trial {id} NOT NULL REFERENCES trial (id),
    position {int} NOT NULL CHECK (position >= 1),
    panel {id} NOT NULL REFERENCES panel (id),
    state text NOT NULL CHECK (state IN ('demoulded', 'from_the_tank', 'air_dry', 'oven_dry')),
    mass_g {int} NOT NULL CHECK (mass_g >= 1),
    PRIMARY KEY (trial, position)
);
CREATE INDEX trial_panel_by_panel ON trial_panel (panel);
CREATE TABLE trial_photo (
    trial {id} NOT NULL REFERENCES trial (id),
    position {int} NOT NULL CHECK (position >= 1),
    name text NOT NULL,
    PRIMARY KEY (trial, position)
);
CREATE TABLE revision_standing (
    id {numbered},
    revision {id} NOT NULL REFERENCES mix_revision (id),
    state text NOT NULL CHECK (state IN ('on_trial', 'in_use', 'retired')),
    at {moment} NOT NULL,
    trial {id} REFERENCES trial (id),
    reason text,
    CHECK (state <> 'in_use' OR reason IS NOT NULL)
);
CREATE INDEX revision_standing_by_revision ON revision_standing (revision, id);
CREATE INDEX revision_standing_by_trial ON revision_standing (trial);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER revision_standing_keeps BEFORE UPDATE ON revision_standing
BEGIN SELECT RAISE(ABORT, 'what a revision was is only added to'); END;
CREATE TRIGGER revision_standing_stays BEFORE DELETE ON revision_standing
BEGIN SELECT RAISE(ABORT, 'what a revision was is only added to'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER revision_standing_only_added BEFORE UPDATE OR DELETE ON revision_standing
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
