//! What is wanted on paper by itself: a ticket, the tags of a day's lots, an order's pack list. The other pages print as they
//! are; the style sheet numbers their pages.

use utoipa_actix_web::service_config::ServiceConfig;

mod pack_list;
mod tags;
mod ticket;

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    for paper in [ticket::configure, tags::configure, pack_list::configure] {
        paper(service);
    }
}
