//! One line for each request: what was asked for, what came of it, how long it took. No personal data, no query.

use std::time::Instant;

use actix_web::Error;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;

use super::document::DOCUMENT;
use super::problem::Problem;

const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Names the request, lets it through, and logs it.
pub async fn log(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let started = Instant::now();
    let id = uuid::Uuid::now_v7().to_string();
    let method = request.method().clone();
    // The pattern, not the path: a path may hold an order's reference.
    let route = DOCUMENT.routes.find(request.path()).map_or("-", |(route, _)| route.pattern.as_str());
    let mut response = next.call(request).await?.map_into_boxed_body();
    let milliseconds = started.elapsed().as_secs_f64() * 1000.0;
    let status = response.status().as_u16();
    tracing::info!(%method, route, status, ms = format_args!("{milliseconds:.1}"), request_id = %id, "request");
    let cause = response.response().error().and_then(|e| e.as_error::<Problem>()).and_then(Problem::cause);
    if let Some(cause) = cause {
        tracing::error!(route, status, request_id = %id, cause, "a request failed");
    }
    if let Ok(value) = HeaderValue::from_str(&id) {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    Ok(response)
}
