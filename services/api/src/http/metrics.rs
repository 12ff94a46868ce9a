//! Figures for those who watch the service: requests by path pattern and status, and how long they took.

use std::sync::OnceLock;

use metrics::{Unit, counter, describe_counter, describe_gauge, describe_histogram, histogram};
use metrics_exporter_prometheus::{Matcher, PrometheusBuilder, PrometheusHandle};

/// The media type of the text that is read out.
pub const TEXT: &str = "text/plain; version=0.0.4; charset=utf-8";

/// Requests answered.
const REQUESTS: &str = "mouldboard_http_requests_total";
/// How long answers took.
const SECONDS: &str = "mouldboard_http_request_seconds";
/// Whether the database answers, 1 or 0.
pub const DATABASE_UP: &str = "mouldboard_database_up";
/// Seconds since a worker was last heard of.
pub const WORKER_SILENT: &str = "mouldboard_worker_silent_seconds";
/// Seconds since the plan in force was put in force.
pub const PLAN_AGE: &str = "mouldboard_plan_age_seconds";
/// Jobs in the queue, by state.
pub const JOBS: &str = "mouldboard_jobs";

/// Upper ends of the classes that answers' seconds are counted in.
const CLASSES: [f64; 9] = [0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0];

/// What is counted in this process; the first call begins to count.
pub fn counted() -> &'static PrometheusHandle {
    static HANDLE: OnceLock<PrometheusHandle> = OnceLock::new();
    HANDLE.get_or_init(|| {
        let builder = || {
            let builder = PrometheusBuilder::new();
            let named = Matcher::Full(SECONDS.to_owned());
            builder.set_buckets_for_metric(named, &CLASSES).unwrap_or_else(|_| PrometheusBuilder::new())
        };
        // Another part of the program may count already; then these figures stay with it.
        let handle = builder().install_recorder().unwrap_or_else(|_| builder().build_recorder().handle());
        describe_counter!(REQUESTS, "Requests answered, by method, path pattern and status.");
        describe_histogram!(SECONDS, Unit::Seconds, "How long answers took, by path pattern.");
        describe_gauge!(DATABASE_UP, "Whether the database answers.");
        describe_gauge!(WORKER_SILENT, Unit::Seconds, "Since a worker was last heard of.");
        describe_gauge!(PLAN_AGE, Unit::Seconds, "Since the plan in force was put in force.");
        describe_gauge!(JOBS, "Jobs, by state.");
        handle
    })
}

/// Counts an answer. The route is the path's pattern, so that no reference of an order is in it.
pub fn answered(method: &str, route: &'static str, status: u16, seconds: f64) {
    counter!(REQUESTS, "method" => method_name(method), "route" => route, "status" => status.to_string()).increment(1);
    histogram!(SECONDS, "route" => route).record(seconds);
}

/// A known method by its name: whoever invents others makes no new lines.
fn method_name(method: &str) -> &'static str {
    ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"]
        .into_iter()
        .find(|known| *known == method)
        .unwrap_or("other")
}
