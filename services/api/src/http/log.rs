//! One line for each request: what was asked for, what came of it, how long it took. No personal data, no query.

use std::time::Instant;

use actix_web::Error;
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::middleware::Next;

use super::document::DOCUMENT;
use super::metrics;
use super::problem::Problem;
use super::trace_context::{TRACEPARENT, TraceContext};

const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Names the request, lets it through, and logs it.
pub async fn log(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let started = Instant::now();
    let id = uuid::Uuid::now_v7().to_string();
    let context = TraceContext::of(request.headers());
    let method = request.method().clone();
    // The pattern, not the path: a path may hold an order's reference.
    let route = DOCUMENT.routes.find(request.path()).map_or("-", |(route, _)| route.pattern.as_str());
    let mut response = next.call(request).await?.map_into_boxed_body();
    let milliseconds = started.elapsed().as_secs_f64() * 1000.0;
    let status = response.status().as_u16();
    let (trace, span) = (context.trace.as_str(), context.span.as_str());
    let parent = context.parent.as_deref();
    tracing::info!(%method, route, status, ms = format_args!("{milliseconds:.1}"), request_id = %id, trace, span, parent, "request");
    metrics::answered(method.as_str(), route, status, milliseconds / 1000.0);
    let cause = response.response().error().and_then(|e| e.as_error::<Problem>()).and_then(Problem::cause);
    if let Some(cause) = cause {
        tracing::error!(route, status, request_id = %id, trace, cause, "a request failed");
    }
    if let Ok(value) = HeaderValue::from_str(&id) {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    if let Ok(value) = HeaderValue::from_str(&context.header()) {
        response.headers_mut().insert(HeaderName::from_static(TRACEPARENT), value);
    }
    Ok(response)
}
