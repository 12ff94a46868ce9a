//! Calendars: pours, strips, lifts, deliveries, days to order and orders as iCalendar, for phones.
//!
//! What was given out is kept, so that an entry that moves or goes is the same entry changed or cancelled. Whoever pulls a
//! calendar first after something changed writes that down; all calendars show the same entries.

use std::collections::BTreeMap;

use actix_web::get;
use actix_web::web::Data;
use chrono::{DateTime, Days, Utc};
use sha2::{Digest, Sha256};
use store::{Record, Tx, agenda, deliveries, runs};
use utoipa_actix_web::service_config::ServiceConfig;
use workshop::agenda::{Event, Known, Topic, changes};
use workshop::catalogue::Material;
use workshop::orders::Order;
use workshop::stock::Delivery;

use super::plan::{facts_of, plan_of};
use crate::http::problem::Problem;
use crate::http::pull::Pull;
use crate::http::reply::Answer;
use crate::state::State;

/// Days that are past and still shown.
const PAST_DAYS: u64 = 60;
/// Deliveries looked at.
const MOST: u64 = 1_000_000;

/// The entries as they were given out, and what has to be written so that they are right again.
async fn outdated(tx: &Tx, now: DateTime<Utc>) -> Result<(Vec<Event>, Vec<Event>), Problem> {
    let kept = agenda::all(tx).await?;
    let in_force = match runs::in_force(tx).await? {
        Some((run, ..)) => {
            let documents = runs::documents(tx, run).await?;
            let facts = facts_of(run, documents.facts.as_deref())?;
            Some((plan_of(run, documents.plan.as_deref())?, facts.first_day))
        }
        None => None,
    };
    let orders = Order::all(tx).await?;
    let deliveries = deliveries::page(tx, None, None, MOST).await?;
    let deliveries: Vec<Delivery> = deliveries.into_iter().map(|found| found.value).collect();
    let lead_days = |m: Material| (m.id.to_string(), m.lead_days.max(0).unsigned_abs());
    let lead_days: BTreeMap<String, u64> = Material::all(tx).await?.into_iter().map(lead_days).collect();
    let known = Known {
        plan: in_force.as_ref().map(|(plan, first_day)| (plan, *first_day)),
        deliveries: &deliveries,
        orders: &orders,
        lead_days: &lead_days,
    };
    let changes = changes(&kept, &known.wanted(), |entry| known.is_settled(entry), now);
    Ok((kept, changes))
}

/// Every entry to be shown, after what is kept was brought up to date.
async fn entries(state: &State) -> Result<Vec<Event>, Problem> {
    let tx = state.store.read().await?;
    let today = state.today(&tx).await?;
    let (kept, stale) = outdated(&tx, state.now()).await?;
    tx.rollback().await?;
    let mut shown = kept;
    if !stale.is_empty() {
        // Asked again with the turn to write: another pull may have done it meanwhile.
        let tx = state.store.write().await?;
        let (_, stale) = outdated(&tx, state.now()).await?;
        agenda::put(&tx, &stale).await?;
        shown = agenda::all(&tx).await?;
        tx.commit().await?;
    }
    shown.retain(|event| event.content.day + Days::new(PAST_DAYS) >= today);
    Ok(shown)
}

async fn answer(state: &State, pull: Pull, name: &str, topics: &[Topic]) -> Answer {
    let mut shown = entries(state).await?;
    shown.retain(|event| topics.contains(&event.content.topic));
    let text = feeds::calendar::written(name, &shown);
    let hash = Sha256::digest(text.as_bytes());
    pull.answer(state, &hash, "text/calendar; charset=utf-8", || Ok(text.into_bytes())).await
}

macro_rules! calendar {
    ($name:ident, $path:literal, $title:literal, $about:literal, $topics:expr) => {
        #[utoipa::path(
            tag = "calendars", summary = concat!($title, " as iCalendar"), description = $about,
            responses((status = 200, description = "The calendar", body = String, content_type = "text/calendar", example = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"))
        )]
        #[get($path)]
        async fn $name(state: Data<State>, pull: Pull) -> Answer {
            answer(&state, pull, $title, $topics).await
        }
    };
}

calendar!(all_calendar, "/plan.ics", "Everything planned", "All the other calendars in one.", &Topic::ALL);
calendar!(pours_calendar, "/plan/pours.ics", "Pours", "One entry for each day panels are poured.", &[Topic::Pour]);
calendar!(
    strips_calendar,
    "/plan/strips.ics",
    "Strips",
    "One entry for each day panels leave their moulds.",
    &[Topic::Strip]
);
calendar!(lifts_calendar, "/plan/lifts.ics", "Lifts", "One entry for each day panels leave a tank.", &[Topic::Lift]);
calendar!(
    packs_calendar,
    "/plan/deliveries.ics",
    "Deliveries and order days",
    "What is on its way, what came lately, and the last days to order what the plan wants.",
    &[Topic::Delivery, Topic::OrderDay]
);
calendar!(
    orders_calendar,
    "/plan/orders.ics",
    "Orders",
    "The day each open order is whole, or due where it is not planned.",
    &[Topic::Order]
);

/// Adds the operations to the service and its document.
pub fn configure(service: &mut ServiceConfig) {
    service
        .service(all_calendar)
        .service(pours_calendar)
        .service(strips_calendar)
        .service(lifts_calendar)
        .service(packs_calendar)
        .service(orders_calendar);
}
