//! The clock the service is given; it never asks the machine for the time itself.

use std::sync::Arc;

use chrono::{DateTime, Utc};

/// Tells what time it is.
pub type Clock = Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>;
