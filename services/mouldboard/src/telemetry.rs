//! Logs: one line a request, one line a job, to standard error; no personal data.

use std::io::IsTerminal;

use tracing_subscriber::EnvFilter;

use crate::settings::{LogFormat, Settings};

/// Starts logging. Called once, by the commands that serve; a second call does nothing.
pub fn start(settings: &Settings) {
    let filter = EnvFilter::try_new(&settings.log).unwrap_or_else(|_| EnvFilter::new("info"));
    let colours = std::io::stderr().is_terminal();
    let builder = tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).with_ansi(colours);
    let started = match settings.log_format {
        LogFormat::Text => builder.try_init(),
        LogFormat::Json => builder.json().try_init(),
    };
    // Tests start several services in one process; the first one's logs serve them all.
    drop(started);
}
