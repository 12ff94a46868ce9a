//! What of a ticket was changed after it was issued: each thing as it was and as it became, by whom and when.

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
        drop_tables(manager, &["ticket_change"]).await
    }
}

/// `what` is the name of the thing in the contract; `said_by` the name of the token it came with, none where there was none.
const UP: &str = "
CREATE TABLE ticket_change (
    id {numbered},
    ticket {id} NOT NULL REFERENCES ticket (id),
    at {moment} NOT NULL,
    said_by text,
    what text NOT NULL,
    was text,
    became text,
    note text,
    CHECK (was IS NOT NULL OR became IS NOT NULL)
);
CREATE INDEX ticket_change_by_ticket ON ticket_change (ticket, id);";

const ONLY_ADDED_SQLITE: &str = "
CREATE TRIGGER ticket_change_keeps BEFORE UPDATE ON ticket_change
BEGIN SELECT RAISE(ABORT, 'changes of tickets are only added'); END;
CREATE TRIGGER ticket_change_stays BEFORE DELETE ON ticket_change
BEGIN SELECT RAISE(ABORT, 'changes of tickets are only added'); END;";

const ONLY_ADDED_POSTGRES: &str = "
CREATE TRIGGER ticket_change_only_added BEFORE UPDATE OR DELETE ON ticket_change
FOR EACH ROW EXECUTE FUNCTION refuse_change();";
