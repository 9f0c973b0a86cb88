//! Jobs: kept as the message they came in, and sent as that message with what the store knows of it.

use chrono::{DateTime, Utc};
use hod_domain::id::JobId;
use hod_wire::v1 as wire;

use super::stamp::{etag, timestamp};
use crate::name::{Collection, Jobs};

/// A kept job: its drawing as it was given, with name, times and etag.
pub fn job(
    drawing: wire::Job,
    id: &JobId,
    version: i64,
    created: DateTime<Utc>,
    updated: DateTime<Utc>,
) -> wire::Job {
    wire::Job {
        name: Jobs::name(id),
        create_time: Some(timestamp(created)),
        update_time: Some(timestamp(updated)),
        etag: etag(version),
        ..drawing
    }
}
