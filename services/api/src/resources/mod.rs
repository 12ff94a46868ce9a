//! What the service offers: one file for each resource, all in the same shape; `configure` lists them.

use utoipa_actix_web::service_config::ServiceConfig;

pub mod nouns;

pub mod finishes;
pub mod materials;
pub mod mixes;
pub mod mould_groups;
pub mod pages;
pub mod panels;
pub mod racks;
pub mod sets;
pub mod tanks;

/// Every resource. A new one is added here, and nowhere else.
pub fn configure(service: &mut ServiceConfig) {
    pages::configure(service);
    materials::configure(service);
    finishes::configure(service);
    mixes::configure(service);
    panels::configure(service);
    sets::configure(service);
    mould_groups::configure(service);
    tanks::configure(service);
    racks::configure(service);
}
