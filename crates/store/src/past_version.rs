//! Past versions: what a thing was before a change, as message bytes, so that whoever is refused for having read an old
//! version can be told what has changed since. Append-only, and nothing else rests on it.

use chrono::{DateTime, Utc};

use crate::fault::{FIRM, Rules, StoreFault, VERSION, broken};
use crate::session::Session;

pub(crate) const RULES: Rules = &[
    ("past_version_firm_exists", FIRM),
    (
        "past_version_name_length",
        "The name of a thing has 1 to 200 characters.",
    ),
    ("past_version_version_positive", VERSION),
    ("past_version_body_length", "A thing takes at most 8 MiB."),
    (
        "past_version_key",
        "A version of a thing is replaced once in a transaction.",
    ),
];

/// A thing as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastVersion {
    /// The encoded message of the thing.
    pub body: Vec<u8>,
    /// When another took its place.
    pub changed: DateTime<Utc>,
}

/// Keeps what a thing was, in the session that puts another in its place. `name` is its full name, such as
/// `jobs/round-hut`, and `version` the one that `body` was.
pub async fn insert(
    session: &mut Session,
    name: &str,
    version: i64,
    body: &[u8],
) -> Result<(), StoreFault> {
    sqlx::query("insert into past_version (firm_id, name, version, body) values ($1, $2, $3, $4)")
        .bind(session.firm_uuid())
        .bind(name)
        .bind(version)
        .bind(body)
        .execute(session.connection())
        .await
        .map_err(|error| broken(error, RULES, |_| None))?;
    Ok(())
}

/// What a thing was at a version; nothing when that was not kept, or when it is still so. Of a thing that was deleted and
/// made again, the later one.
pub async fn get(
    session: &mut Session,
    name: &str,
    version: i64,
) -> Result<Option<PastVersion>, StoreFault> {
    let found: Option<(Vec<u8>, DateTime<Utc>)> = sqlx::query_as(
        "select body, changed_at from past_version where firm_id = $1 and name = $2 and version = $3 \
         order by changed_at desc limit 1",
    )
    .bind(session.firm_uuid())
    .bind(name)
    .bind(version)
    .fetch_optional(session.connection())
    .await?;
    Ok(found.map(|(body, changed)| PastVersion { body, changed }))
}
