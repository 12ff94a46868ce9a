//! Who changed what: a line for each change of a thing and a line for each field it changed. Both are only added to.

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

const TABLES: [&str; 2] = ["recorded_change", "changed_field"];

const UP: &str = "
CREATE TABLE recorded_change (
    id {int} NOT NULL PRIMARY KEY,
    at {moment} NOT NULL,
    said_by {id},
    kind {id} NOT NULL,
    thing {id} NOT NULL,
    act {id} NOT NULL
);
CREATE INDEX recorded_change_of_thing ON recorded_change (kind, thing, id);
CREATE INDEX recorded_change_by_time ON recorded_change (at);
CREATE TABLE changed_field (
    change {int} NOT NULL REFERENCES recorded_change (id),
    position {int} NOT NULL CHECK (position > 0),
    field {id} NOT NULL,
    before_json text,
    after_json text,
    PRIMARY KEY (change, position),
    CHECK (before_json IS NOT NULL OR after_json IS NOT NULL)
);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER recorded_change_keeps BEFORE UPDATE ON recorded_change
BEGIN SELECT RAISE(ABORT, 'changes are only added'); END;
CREATE TRIGGER recorded_change_stays BEFORE DELETE ON recorded_change
BEGIN SELECT RAISE(ABORT, 'changes are only added'); END;
CREATE TRIGGER changed_field_keeps BEFORE UPDATE ON changed_field
BEGIN SELECT RAISE(ABORT, 'changes are only added'); END;
CREATE TRIGGER changed_field_stays BEFORE DELETE ON changed_field
BEGIN SELECT RAISE(ABORT, 'changes are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER recorded_change_only_added BEFORE UPDATE OR DELETE ON recorded_change
FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER changed_field_only_added BEFORE UPDATE OR DELETE ON changed_field
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
