//! Times and etags of what is kept.

use chrono::{DateTime, Utc};

/// An instant as the wire has it.
pub fn timestamp(instant: DateTime<Utc>) -> prost_types::Timestamp {
    prost_types::Timestamp {
        seconds: instant.timestamp(),
        // Below 2e9 even in a leap second, which Postgres does not hand out.
        nanos: instant.timestamp_subsec_nanos() as i32,
    }
}

/// The etag of a version: the number in quotes.
pub fn etag(version: i64) -> String {
    format!("\"{version}\"")
}
