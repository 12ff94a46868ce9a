//! The tables of the database, as steps that go up and down. See `README.md` for how a change is made without a stop.

mod dialect;
mod m20260101_000001_catalogue;
mod m20260101_000002_site;
mod m20260101_000003_orders;
mod m20260101_000004_runs;
mod m20260101_000005_tickets;
mod m20260101_000006_stock;
mod m20260101_000007_lots;
mod m20260101_000008_queue;
mod m20260101_000009_trials;
mod m20260101_000010_corrections;
mod m20260101_000011_closing_the_day;
mod m20260101_000012_moulds;
mod m20260101_000013_sessions;
mod m20260101_000014_feeds;
mod m20260101_000015_calendars;
mod m20260101_000016_the_day;
mod m20260101_000017_orders_and_deliveries;
mod m20260101_000018_delivery_references;
mod m20260101_000019_notices;
mod m20260101_000021_run_progress;
mod m20260101_000022_soaking;
mod m20260101_000026_writing;
mod m20260101_000027_following;
mod m20260101_000028_ticket_changes;
mod m20260101_000029_joins;
mod m20260101_000032_trail;

pub use sea_orm_migration::MigratorTrait;
use sea_orm_migration::prelude::*;

/// All steps, in order. A step that has been released is never changed; the next one changes what it made.
pub struct Migrator;

#[async_trait::async_trait]
impl MigratorTrait for Migrator {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![
            Box::new(m20260101_000001_catalogue::Migration),
            Box::new(m20260101_000002_site::Migration),
            Box::new(m20260101_000003_orders::Migration),
            Box::new(m20260101_000004_runs::Migration),
            Box::new(m20260101_000005_tickets::Migration),
            Box::new(m20260101_000006_stock::Migration),
            Box::new(m20260101_000007_lots::Migration),
            Box::new(m20260101_000008_queue::Migration),
            Box::new(m20260101_000009_trials::Migration),
            Box::new(m20260101_000010_corrections::Migration),
            Box::new(m20260101_000011_closing_the_day::Migration),
            Box::new(m20260101_000012_moulds::Migration),
            Box::new(m20260101_000013_sessions::Migration),
            Box::new(m20260101_000014_feeds::Migration),
            Box::new(m20260101_000015_calendars::Migration),
            Box::new(m20260101_000016_the_day::Migration),
            Box::new(m20260101_000017_orders_and_deliveries::Migration),
            Box::new(m20260101_000018_delivery_references::Migration),
            Box::new(m20260101_000019_notices::Migration),
            Box::new(m20260101_000021_run_progress::Migration),
            Box::new(m20260101_000022_soaking::Migration),
            Box::new(m20260101_000026_writing::Migration),
            Box::new(m20260101_000027_following::Migration),
            Box::new(m20260101_000028_ticket_changes::Migration),
            Box::new(m20260101_000029_joins::Migration),
            Box::new(m20260101_000032_trail::Migration),
        ]
    }
}
