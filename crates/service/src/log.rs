//! The log: one JSON object a line on stderr. What may be in it: ids and resource names, methods, codes, times, causes.
//! What may not: tokens, passwords, and what a client calls a job or a site.

use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt::format::FmtSpan;

/// A filter that says nothing sensible.
#[derive(Debug, thiserror::Error)]
#[error(
    "HOD_LOG is not a filter; write a level such as info, or pairs such as hod_service=debug,info"
)]
pub struct LogFault(#[source] Box<dyn std::error::Error + Send + Sync>);

/// Begins to log what the filter lets through, panics included.
pub fn begin(filter: &str) -> Result<(), LogFault> {
    let filter = EnvFilter::try_new(filter).map_err(|cause| LogFault(Box::new(cause)))?;
    tracing_subscriber::fmt()
        .json()
        .flatten_event(true)
        .with_current_span(true)
        .with_span_list(false)
        .with_span_events(FmtSpan::NONE)
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .try_init()
        .map_err(LogFault)?;
    std::panic::set_hook(Box::new(|panic| {
        let place = panic
            .location()
            .map(ToString::to_string)
            .unwrap_or_default();
        let what = panic
            .payload_as_str()
            .unwrap_or("a panic without a message");
        tracing::error!(place, cause = what, "a fault of the program");
    }));
    Ok(())
}
