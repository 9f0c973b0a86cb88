//! Jobs: buildings to be estimated. The drawing is kept as message bytes, which the store does not look into.

use hod_domain::id::{JobId, SiteId};
use sqlx::error::BoxDynError;

use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, StoreFault, VERSION, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    ("job_firm_exists", FIRM),
    ("job_id_well_formed", ID),
    ("job_display_name_length", DISPLAY_NAME),
    ("job_body_length", "A job takes at most 8 MiB."),
    ("job_version_positive", VERSION),
    (
        "estimate_job_exists",
        "Estimates of the job are kept, and an estimate kept is never deleted; so the job stays.",
    ),
];

/// A job as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredJob {
    /// Its id.
    pub id: JobId,
    /// What people call it.
    pub display_name: String,
    /// Where it stands, once that is known.
    pub site: Option<SiteId>,
    /// The encoded `hod.v1.Job`, 1 byte to 8 MiB.
    pub body: Vec<u8>,
}

/// The columns of a job, as [`FromRecord`] reads them.
macro_rules! job_fields {
    () => {
        "row(job_id, display_name, site_id, body, version, created_at, updated_at)"
    };
}

impl FromRecord for Stored<StoredJob> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let job = StoredJob {
            id: fields.id(JobId::parse)?,
            display_name: fields.take()?,
            site: fields.optional_id(SiteId::parse)?,
            body: fields.take()?,
        };
        Ok(fields.stamp()?.on(job))
    }
}

fn refusal(error: sqlx::Error, job: &StoredJob) -> StoreFault {
    broken(error, RULES, |rule| match (rule, &job.site) {
        ("job_key", _) => Some(StoreFault::Taken(Thing::from(&job.id))),
        ("job_site_exists", Some(site)) => Some(StoreFault::not_found(site.into())),
        _ => None,
    })
}

/// Reads one.
pub async fn get(session: &mut Session, id: &JobId) -> Result<Stored<StoredJob>, StoreFault> {
    let found: Option<Record<Stored<StoredJob>>> = sqlx::query_scalar(concat!(
        "select ",
        job_fields!(),
        " from job where firm_id = $1 and job_id = $2"
    ))
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// Reads at most `limit` by id, those after `after`; at one site, when one is given.
pub async fn list(
    session: &mut Session,
    site: Option<&SiteId>,
    after: Option<&JobId>,
    limit: u32,
) -> Result<Vec<Stored<StoredJob>>, StoreFault> {
    let found: Vec<Record<Stored<StoredJob>>> = sqlx::query_scalar(concat!(
        "select ",
        job_fields!(),
        " from job where firm_id = $1 and $2 < job_id and ($3::text is null or site_id = $3) \
          order by job_id limit $4"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", JobId::as_str))
    .bind(site.map(SiteId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(
    session: &mut Session,
    job: &StoredJob,
) -> Result<Stored<StoredJob>, StoreFault> {
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into job (firm_id, job_id, display_name, site_id, body) values ($1, $2, $3, $4, $5) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(job.id.as_str())
    .bind(&job.display_name)
    .bind(job.site.as_ref().map(SiteId::as_str))
    .bind(&job.body)
    .fetch_one(session.connection())
    .await;
    Ok(stamp.map_err(|error| refusal(error, job))?.on(job.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    job: &StoredJob,
    expected: Option<i64>,
) -> Result<Stored<StoredJob>, StoreFault> {
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update job set display_name = $3, site_id = $4, body = $5, version = version + 1, updated_at = now() \
         where firm_id = $1 and job_id = $2 and ($6::bigint is null or version = $6) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(job.id.as_str())
    .bind(&job.display_name)
    .bind(job.site.as_ref().map(SiteId::as_str))
    .bind(&job.body)
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    match stamp.map_err(|error| refusal(error, job))? {
        Some(stamp) => Ok(stamp.on(job.clone())),
        None => Err(stale_or_gone(session, &job.id).await),
    }
}

/// Deletes it; refused when `expected` is given and is no longer the version, and while estimates of it are kept.
pub async fn delete(
    session: &mut Session,
    id: &JobId,
    expected: Option<i64>,
) -> Result<(), StoreFault> {
    let deleted = sqlx::query(
        "delete from job where firm_id = $1 and job_id = $2 and ($3::bigint is null or version = $3)",
    )
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .bind(expected)
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    if deleted.rows_affected() == 0 {
        Err(stale_or_gone(session, id).await)
    } else {
        Ok(())
    }
}

/// Why a change of one version of a job met no row.
async fn stale_or_gone(session: &mut Session, id: &JobId) -> StoreFault {
    match get(session, id).await {
        Ok(_) => StoreFault::stale(id.into()),
        Err(fault) => fault,
    }
}
