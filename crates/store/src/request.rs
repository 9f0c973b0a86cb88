//! Requests that were acted on already, with their answers: the same request sent again gives the same answer and acts
//! once. The answer is kept in the transaction of the act itself.

use uuid::Uuid;

use crate::fault::{FIRM, Rules, StoreFault, broken};
use crate::session::Session;

pub(crate) const RULES: Rules = &[
    ("request_firm_exists", FIRM),
    (
        "request_method_length",
        "The name of a method has 1 to 120 characters.",
    ),
    ("request_sha256_length", "A SHA-256 has 32 bytes."),
    ("request_response_length", "An answer takes at most 8 MiB."),
];

/// The answer that was given to this request, when it was acted on already.
///
/// To be called first in a session that acts: the same id in another session waits here until that one has ended, so
/// that two of the same request at once act once.
///
/// # Errors
/// [`StoreFault::RequestReused`] when the id was used for another method or another body.
pub async fn find(
    session: &mut Session,
    id: Uuid,
    method: &str,
    sha256: &[u8; 32],
) -> Result<Option<Vec<u8>>, StoreFault> {
    // A statement of its own: the next one then sees what the session waited for has kept.
    sqlx::query("select pg_advisory_xact_lock(hashtextextended($1 || ' ' || $2, 0))")
        .bind(session.firm().to_string())
        .bind(id.to_string())
        .execute(session.connection())
        .await?;
    let kept: Option<(String, Vec<u8>, Vec<u8>)> = sqlx::query_as(
        "select method, request_sha256, response from request where firm_id = $1 and request_id = $2",
    )
    .bind(session.firm_uuid())
    .bind(id)
    .fetch_optional(session.connection())
    .await?;
    match kept {
        Some((of, body, response)) if of == method && body == sha256 => Ok(Some(response)),
        Some(_) => Err(StoreFault::RequestReused),
        None => Ok(None),
    }
}

/// Keeps the answer to a request that was just acted on in this session.
pub async fn keep(
    session: &mut Session,
    id: Uuid,
    method: &str,
    sha256: &[u8; 32],
    response: &[u8],
) -> Result<(), StoreFault> {
    sqlx::query(
        "insert into request (firm_id, request_id, method, request_sha256, response) values ($1, $2, $3, $4, $5)",
    )
    .bind(session.firm_uuid())
    .bind(id)
    .bind(method)
    .bind(sha256.as_slice())
    .bind(response)
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |rule| (rule == "request_key").then_some(StoreFault::RequestReused)))?;
    Ok(())
}
