//! Pages for the bench and the office, written here and readable without script.
//!
//! A page changes nothing by itself: what a person does on it is sent by its script to the same paths that any other
//! program uses, each entry with an Idempotency-Key, kept in the browser until it is answered. So there is one way of
//! changing things, one set of checks and one set of answers. English text stands in [`words`], and how numbers,
//! days and units are said in [`said`].

use utoipa_actix_web::service_config::ServiceConfig;

mod chart;
mod diary;
mod form;
mod frame;
mod look;
mod mixes;
mod names;
mod order_change;
mod orders;
mod paper;
mod said;
mod sending;
mod session;
mod stock;
mod ticket;
mod today;
mod upkeep;
mod visit;
mod words;
mod workshop;
mod writing;

pub use frame::problem_page;

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    for pages in [
        today::configure,
        diary::configure,
        paper::configure,
        orders::configure,
        mixes::configure,
        stock::configure,
        workshop::configure,
        session::configure,
        look::configure,
    ] {
        pages(service);
    }
}
