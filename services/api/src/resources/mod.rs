//! What the service offers: one file for each resource, all in the same shape; `configure` lists them.

use utoipa_actix_web::service_config::ServiceConfig;

pub mod nouns;

pub mod calculations;
pub mod calendar;
pub mod calendars;
pub mod changes;
pub mod corrections;
pub mod day_sheet;
pub mod deliveries;
pub mod dispatch;
pub mod events;
pub mod feed_tokens;
pub mod finishes;
pub mod health;
pub mod imports;
pub mod jobs;
pub mod lot_tags;
pub mod lots;
pub mod materials;
pub mod metrics;
pub mod mixes;
pub mod mould_groups;
pub mod moulds;
pub mod off_plan;
pub mod order_files;
pub mod orders;
pub mod pages;
pub mod panels;
pub mod pins;
pub mod plan;
pub mod plan_files;
pub mod planning_runs;
pub mod progress;
pub mod projection;
pub mod proportions;
pub mod quotes;
pub mod racks;
pub mod revisions;
pub mod scrap_causes;
pub mod sets;
pub mod soaking;
pub mod stock;
pub mod tables;
pub mod tanks;
pub mod ticket_changes;
pub mod ticket_sheet;
pub mod tickets;
pub mod tokens;
pub mod traces;
pub mod trail;
pub mod trials;
pub mod upkeep;
pub mod web_hooks;
pub mod workshop;

/// Every resource. A new one is added here, and nowhere else. What is more exact goes before what is less so
/// (`/orders/import` before `/orders/{id}`).
pub fn configure(service: &mut ServiceConfig) {
    let all: &[fn(&mut ServiceConfig)] = &[
        crate::pages::configure,
        pages::configure,
        health::configure,
        metrics::configure,
        workshop::configure,
        imports::configure,
        calendar::configure,
        materials::configure,
        finishes::configure,
        mixes::configure,
        revisions::configure,
        proportions::configure,
        calculations::configure,
        trials::configure,
        panels::configure,
        sets::configure,
        mould_groups::configure,
        moulds::configure,
        tanks::configure,
        racks::configure,
        tables::configure,
        order_files::configure,
        dispatch::configure,
        orders::configure,
        quotes::configure,
        projection::configure,
        stock::configure,
        deliveries::configure,
        traces::configure,
        scrap_causes::configure,
        lot_tags::configure,
        lots::configure,
        pins::configure,
        planning_runs::configure,
        progress::configure,
        changes::configure,
        plan_files::configure,
        calendars::configure,
        plan::configure,
        corrections::configure,
        ticket_changes::configure,
        tickets::configure,
        ticket_sheet::configure,
        day_sheet::configure,
        upkeep::configure,
        tokens::configure,
        feed_tokens::configure,
        trail::configure,
        events::configure,
        web_hooks::configure,
        jobs::configure,
    ];
    for resource in all {
        resource(service);
    }
}
