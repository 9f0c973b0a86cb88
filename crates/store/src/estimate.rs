//! Kept estimates: each a whole message, byte for byte as it was answered, beside the columns that are searched.
//! Append-only: the database gives the application role no way to change one.

use std::collections::BTreeSet;

use hod_domain::id::{EstimateId, JobId, RegionId};
use hod_units::{Currency, Date, Decimal};
use sqlx::error::BoxDynError;

use crate::exact::{Exact, TOTAL_PLACES_MAX};
use crate::fault::{ID, Rules, StoreFault, broken};
use crate::job;
use crate::row::{Fields, FromRecord, Record, once, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    ("estimate_id_well_formed", ID),
    (
        "estimate_price_date_in_calendar",
        "A price date is in the years 1900 to 2199.",
    ),
    (
        "estimate_currency_is_a_code",
        "A currency is the three capital letters of its ISO 4217 code.",
    ),
    (
        "estimate_total_in_range",
        "A total is 0 to 999999999999999.",
    ),
    (
        "estimate_batch_count_not_negative",
        "A batch count is 0 or more.",
    ),
    (
        "estimate_engine_version_length",
        "An engine version has 1 to 40 characters.",
    ),
    ("estimate_body_length", "An estimate takes at most 8 MiB."),
];

/// An estimate to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEstimate {
    /// Of which job.
    pub job: JobId,
    /// Its id within the job.
    pub id: EstimateId,
    /// The day whose prices and rates it used.
    pub price_date: Date,
    /// Whose build-up it used.
    pub region: RegionId,
    /// What it is in.
    pub currency: Currency,
    /// Its total, in the currency's main unit, rounded to the minor one.
    pub total: Decimal,
    /// Batches for the job.
    pub batch_count: u32,
    /// The encoded `hod.v1.Estimate`, 1 byte to 8 MiB.
    pub body: Vec<u8>,
    /// What made it.
    pub engine_version: String,
}

impl FromRecord for Stored<Vec<u8>> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let body = fields.take()?;
        once(fields, 1, body)
    }
}

/// Keeps one.
pub async fn insert(
    session: &mut Session,
    new: &NewEstimate,
) -> Result<Stored<Vec<u8>>, StoreFault> {
    let mut exact = Exact::default();
    let total = exact.places("total", new.total, TOTAL_PLACES_MAX);
    exact.check()?;
    let batch_count =
        i32::try_from(new.batch_count).map_err(|fault| StoreFault::Internal(fault.into()))?;
    let created = sqlx::query_scalar(
        "insert into estimate (firm_id, job_id, estimate_id, price_date, region_id, currency_code, total, \
         batch_count, engine_version, body) values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(new.job.as_str())
    .bind(new.id.as_str())
    .bind(new.price_date)
    .bind(new.region.as_str())
    .bind(new.currency.code())
    .bind(total)
    .bind(batch_count)
    .bind(&new.engine_version)
    .bind(&new.body)
    .fetch_one(session.connection())
    .await
    .map_err(|error| {
        broken(error, RULES, |rule| match rule {
            "estimate_key" => Some(StoreFault::Taken(Thing::estimate(&new.job, &new.id))),
            "estimate_job_exists" => Some(StoreFault::not_found(Thing::from(&new.job))),
            "estimate_region_exists" => Some(StoreFault::not_found(Thing::from(&new.region))),
            _ => None,
        })
    })?;
    Ok(Stamp::once(1, created).on(new.body.clone()))
}

/// Keeps many at once, all or none; each job must exist.
///
/// # Errors
/// [`StoreFault::NotFound`] names every job that is not there; [`StoreFault::Taken`] an id that is in use.
pub async fn insert_all(session: &mut Session, new: &[NewEstimate]) -> Result<(), StoreFault> {
    hold_jobs(session, new).await?;
    let columns = Columns::of(new)?;
    let kept: Vec<(String, String)> = sqlx::query_as(
        "insert into estimate (firm_id, job_id, estimate_id, price_date, region_id, currency_code, total, \
         batch_count, engine_version, body) \
         select $1, * from unnest($2::text[], $3::text[], $4::date[], $5::text[], $6::text[], $7::numeric[], \
             $8::integer[], $9::text[], $10::bytea[]) \
         on conflict on constraint estimate_key do nothing returning job_id, estimate_id",
    )
    .bind(session.firm_uuid())
    .bind(of_each(new, |each| each.job.as_str()))
    .bind(of_each(new, |each| each.id.as_str()))
    .bind(of_each(new, |each| each.price_date))
    .bind(of_each(new, |each| each.region.as_str()))
    .bind(of_each(new, |each| each.currency.code()))
    .bind(columns.totals)
    .bind(columns.batch_counts)
    .bind(of_each(new, |each| each.engine_version.as_str()))
    .bind(of_each(new, |each| each.body.as_slice()))
    .fetch_all(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    // What came in is a set: of two of one id in one call the second finds the first.
    let mut kept: BTreeSet<(String, String)> = kept.into_iter().collect();
    let taken = new
        .iter()
        .find(|each| !kept.remove(&(each.job.to_string(), each.id.to_string())));
    match taken {
        None => Ok(()),
        Some(taken) => Err(StoreFault::Taken(Thing::estimate(&taken.job, &taken.id))),
    }
}

fn of_each<'a, T>(new: &'a [NewEstimate], column: impl FnMut(&'a NewEstimate) -> T) -> Vec<T> {
    new.iter().map(column).collect()
}

/// The numbers of many estimates on their way to their columns.
struct Columns {
    totals: Vec<Decimal>,
    batch_counts: Vec<i32>,
}

impl Columns {
    fn of(new: &[NewEstimate]) -> Result<Self, StoreFault> {
        let mut exact = Exact::default();
        let totals = of_each(new, |each| {
            let name = format!("total of {}", Thing::estimate(&each.job, &each.id).name);
            exact.places(&name, each.total, TOTAL_PLACES_MAX)
        });
        exact.check()?;
        let counts = new.iter().map(|each| i32::try_from(each.batch_count));
        Ok(Self {
            totals,
            batch_counts: counts
                .collect::<Result<_, _>>()
                .map_err(|fault| StoreFault::Internal(fault.into()))?,
        })
    }
}

/// Keeps the jobs of new estimates from going until the session ends; refused naming every one that is not there.
async fn hold_jobs(session: &mut Session, new: &[NewEstimate]) -> Result<(), StoreFault> {
    let there: Vec<String> = sqlx::query_scalar(
        "select job_id from job where firm_id = $1 and job_id = any($2) order by job_id for key share",
    )
    .bind(session.firm_uuid())
    .bind(of_each(new, |each| each.job.as_str()))
    .fetch_all(session.connection())
    .await?;
    let there: BTreeSet<&str> = there.iter().map(String::as_str).collect();
    let all: BTreeSet<&JobId> = new.iter().map(|each| &each.job).collect();
    let missing: Vec<Thing> = all
        .into_iter()
        .filter(|job| !there.contains(job.as_str()))
        .map(Thing::from)
        .collect();
    if missing.is_empty() {
        Ok(())
    } else {
        Err(StoreFault::NotFound(missing))
    }
}

/// Reads one, the bytes as they were kept.
pub async fn get(
    session: &mut Session,
    job: &JobId,
    id: &EstimateId,
) -> Result<Stored<Vec<u8>>, StoreFault> {
    let found: Option<Record<Stored<Vec<u8>>>> = sqlx::query_scalar(
        "select row(body, created_at) from estimate where firm_id = $1 and job_id = $2 and estimate_id = $3",
    )
    .bind(session.firm_uuid())
    .bind(job.as_str())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(Thing::estimate(job, id)))
}

/// Reads at most `limit` of a job, the newest first, those older than `after`, which must be one of them. The job must
/// exist.
pub async fn list(
    session: &mut Session,
    job: &JobId,
    after: Option<&EstimateId>,
    limit: u32,
) -> Result<Vec<Stored<Vec<u8>>>, StoreFault> {
    let found: Vec<Record<Stored<Vec<u8>>>> = sqlx::query_scalar(
        "select row(body, created_at) from estimate where firm_id = $1 and job_id = $2 \
         and ($3::text is null or (created_at, estimate_id) < \
             (select created_at, estimate_id from estimate where firm_id = $1 and job_id = $2 and estimate_id = $3)) \
         order by created_at desc, estimate_id desc limit $4",
    )
    .bind(session.firm_uuid())
    .bind(job.as_str())
    .bind(after.map(EstimateId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    if found.is_empty() {
        job::get(session, job).await?;
    }
    Ok(values(found))
}
