//! The tables of the database, as steps that go up and down. See `README.md` for how a change is made without a stop.

pub use sea_orm_migration::MigratorTrait;
use sea_orm_migration::prelude::*;

/// All steps, in order.
pub struct Migrator;

#[async_trait::async_trait]
impl MigratorTrait for Migrator {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![]
    }
}
