//! Materials, finishes, mixes and their revisions, moulds, tanks, racks, panels, sets.

use sea_orm_migration::prelude::*;

use crate::dialect::{drop_tables, run};

#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, MATERIALS).await?;
        run(manager, MIXES).await?;
        run(manager, PLACES).await?;
        run(manager, PANELS).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_tables(manager, &TABLES).await
    }
}

const TABLES: [&str; 17] = [
    "material",
    "price_break",
    "finish",
    "mix",
    "mix_revision",
    "ingredient",
    "mould_group",
    "out_of_service",
    "tank",
    "rack",
    "panel",
    "panel_suit",
    "panel_tank",
    "panel_material",
    "panel_set",
    "set_panel",
    "set_hardware",
];

/// Amounts are counts of the material's own unit; prices are minor units of the currency.
const MATERIALS: &str = "
CREATE TABLE material (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    kind text NOT NULL CHECK (kind IN ('portland_cement', 'blended_cement', 'rapid_cement', 'water', 'aggregate',
        'lightweight_aggregate', 'foaming_concentrate', 'fibre', 'pigment', 'admixture', 'mesh', 'hardware',
        'release_oil')),
    unit text NOT NULL CHECK (unit IN ('gram', 'millilitre', 'square_millimetre', 'piece')),
    relative_density {real} CHECK (relative_density BETWEEN 0.01 AND 10),
    supply text NOT NULL CHECK (supply IN ('bought', 'not_sold', 'mains')),
    least_amount {int} NOT NULL CHECK (least_amount >= 0),
    pack {int} NOT NULL CHECK (pack >= 1),
    pack_price {int} NOT NULL CHECK (pack_price >= 0),
    lead_days {int} NOT NULL CHECK (lead_days BETWEEN 0 AND 365),
    delivery_charge {int} NOT NULL CHECK (delivery_charge >= 0),
    store_max {int} CHECK (store_max >= 0)
);
CREATE TABLE price_break (
    material {id} NOT NULL REFERENCES material (id),
    position {int} NOT NULL CHECK (position >= 1),
    from_packs {int} NOT NULL CHECK (from_packs >= 2),
    pack_price {int} NOT NULL CHECK (pack_price >= 0),
    PRIMARY KEY (material, position),
    UNIQUE (material, from_packs)
);";

/// A revision is written once; of it only the state and its reason change, with the version.
const MIXES: &str = "
CREATE TABLE finish (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL
);
CREATE TABLE mix (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    finish {id} NOT NULL REFERENCES finish (id)
);
CREATE INDEX mix_by_finish ON mix (finish);
CREATE TABLE mix_revision (
    id {id} NOT NULL PRIMARY KEY,
    version {int} NOT NULL CHECK (version >= 1),
    mix {id} NOT NULL REFERENCES mix (id),
    number {int} NOT NULL CHECK (number >= 1),
    state text NOT NULL CHECK (state IN ('on_trial', 'in_use', 'retired')),
    reason text,
    foam_concentrate {id} REFERENCES material (id),
    foam_density_kg_m3 {real} CHECK (foam_density_kg_m3 BETWEEN 20 AND 120),
    foam_dilution {real} CHECK (foam_dilution BETWEEN 1 AND 200),
    foam_water_counted {bool},
    wet_density_kg_m3 {real} NOT NULL CHECK (wet_density_kg_m3 BETWEEN 200 AND 3000),
    wet_density_low_kg_m3 {real} NOT NULL CHECK (wet_density_low_kg_m3 >= 0),
    wet_density_high_kg_m3 {real} NOT NULL,
    air_percent {real} NOT NULL CHECK (air_percent BETWEEN 0 AND 20),
    hold_hours_at_20c {real} NOT NULL CHECK (hold_hours_at_20c > 0 AND hold_hours_at_20c <= 240),
    soak_days {int} NOT NULL CHECK (soak_days BETWEEN 0 AND 90),
    dry_days {int} NOT NULL CHECK (dry_days BETWEEN 0 AND 90),
    batch_min_ml {int} NOT NULL CHECK (batch_min_ml >= 1),
    batch_max_ml {int} NOT NULL,
    batch_minutes {int} NOT NULL CHECK (batch_minutes >= 0),
    washout_ml {int} NOT NULL CHECK (washout_ml >= 0),
    washout_minutes {int} NOT NULL CHECK (washout_minutes >= 0),
    least_air_c {real},
    UNIQUE (mix, number),
    CHECK (id = mix || '@' || CAST(number AS text)),
    CHECK (batch_max_ml >= batch_min_ml),
    CHECK (wet_density_low_kg_m3 <= wet_density_kg_m3 AND wet_density_kg_m3 <= wet_density_high_kg_m3),
    CHECK ((foam_concentrate IS NULL) = (foam_density_kg_m3 IS NULL)),
    CHECK ((foam_concentrate IS NULL) = (foam_dilution IS NULL)),
    CHECK ((foam_concentrate IS NULL) = (foam_water_counted IS NULL))
);
CREATE TABLE ingredient (
    revision {id} NOT NULL REFERENCES mix_revision (id),
    position {int} NOT NULL CHECK (position >= 1),
    material {id} NOT NULL REFERENCES material (id),
    kg_m3 {real} NOT NULL CHECK (kg_m3 BETWEEN 0 AND 3000),
    PRIMARY KEY (revision, position)
);
CREATE INDEX ingredient_by_material ON ingredient (material);";

const PLACES: &str = "
CREATE TABLE mould_group (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    moulds {int} NOT NULL CHECK (moulds >= 0),
    turnaround_days {int} NOT NULL CHECK (turnaround_days IN (0, 1))
);
CREATE TABLE out_of_service (
    mould_group {id} NOT NULL REFERENCES mould_group (id),
    position {int} NOT NULL CHECK (position >= 1),
    first_day {day} NOT NULL CHECK ({is_day:first_day}),
    last_day {day} NOT NULL CHECK ({is_day:last_day}),
    moulds {int} NOT NULL CHECK (moulds >= 1),
    reason text NOT NULL,
    PRIMARY KEY (mould_group, position),
    CHECK (first_day <= last_day)
);
CREATE TABLE tank (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    row_count {int} NOT NULL CHECK (row_count >= 0),
    row_usable_mm {int} NOT NULL CHECK (row_usable_mm >= 0),
    depth_mm {int} NOT NULL CHECK (depth_mm >= 0),
    width_mm {int} NOT NULL CHECK (width_mm >= 0)
);
CREATE TABLE rack (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    row_count {int} NOT NULL CHECK (row_count >= 0),
    row_usable_mm {int} NOT NULL CHECK (row_usable_mm >= 0)
);";

const PANELS: &str = "
CREATE TABLE panel (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL,
    length_mm {int} NOT NULL CHECK (length_mm >= 1),
    height_mm {int} NOT NULL CHECK (height_mm >= 1),
    thickness_mm {int} NOT NULL CHECK (thickness_mm >= 1),
    voids_ml {int} NOT NULL CHECK (voids_ml >= 0),
    mould_group {id} NOT NULL REFERENCES mould_group (id),
    pour_minutes {int} NOT NULL CHECK (pour_minutes >= 0),
    strip_minutes {int} NOT NULL CHECK (strip_minutes >= 0),
    lift_minutes {int} NOT NULL CHECK (lift_minutes >= 0),
    pass_rate {real} CHECK (pass_rate > 0 AND pass_rate <= 1)
);
CREATE INDEX panel_by_mould_group ON panel (mould_group);
CREATE TABLE panel_suit (
    panel {id} NOT NULL REFERENCES panel (id),
    position {int} NOT NULL CHECK (position >= 1),
    revision {id} NOT NULL REFERENCES mix_revision (id),
    reason text NOT NULL,
    PRIMARY KEY (panel, position),
    UNIQUE (panel, revision)
);
CREATE INDEX panel_suit_by_revision ON panel_suit (revision);
CREATE TABLE panel_tank (
    panel {id} NOT NULL REFERENCES panel (id),
    position {int} NOT NULL CHECK (position >= 1),
    tank {id} NOT NULL REFERENCES tank (id),
    PRIMARY KEY (panel, position),
    UNIQUE (panel, tank)
);
CREATE TABLE panel_material (
    panel {id} NOT NULL REFERENCES panel (id),
    position {int} NOT NULL CHECK (position >= 1),
    material {id} NOT NULL REFERENCES material (id),
    amount {int} NOT NULL CHECK (amount >= 0),
    PRIMARY KEY (panel, position)
);
CREATE INDEX panel_material_by_material ON panel_material (material);
CREATE TABLE panel_set (
    id {id} NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 60),
    version {int} NOT NULL CHECK (version >= 1),
    name text NOT NULL
);
CREATE TABLE set_panel (
    set_id {id} NOT NULL REFERENCES panel_set (id),
    position {int} NOT NULL CHECK (position >= 1),
    panel {id} NOT NULL REFERENCES panel (id),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    PRIMARY KEY (set_id, position)
);
CREATE INDEX set_panel_by_panel ON set_panel (panel);
CREATE TABLE set_hardware (
    set_id {id} NOT NULL REFERENCES panel_set (id),
    position {int} NOT NULL CHECK (position >= 1),
    material {id} NOT NULL REFERENCES material (id),
    quantity {int} NOT NULL CHECK (quantity >= 1),
    PRIMARY KEY (set_id, position)
);
CREATE INDEX set_hardware_by_material ON set_hardware (material);";
