//! Open jobs: those without an accepted quote, each with the head of its newest estimate, so that all of them can be
//! priced again. Read by pages that hold a bounded number of bytes, however many jobs there are and however large.

use chrono::{DateTime, Utc};
use hod_domain::id::{EstimateId, JobId, RegionId};
use hod_units::{Currency, Date, Decimal};
use sqlx::error::BoxDynError;

use crate::fault::StoreFault;
use crate::job::StoredJob;
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::Stored;

/// A page ends with the job that brings it to so many bytes.
const PAGE_BYTES: i64 = 16 << 20;

/// A job that may still be priced otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenJob {
    /// The job.
    pub job: Stored<StoredJob>,
    /// Its newest kept estimate.
    pub newest: Option<EstimateHead>,
}

/// What a kept estimate came to, without its body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EstimateHead {
    /// Its id within the job.
    pub id: EstimateId,
    /// The day whose prices and rates it used.
    pub price_date: Date,
    /// What it is in.
    pub currency: Currency,
    /// What it came to.
    pub total: Decimal,
    /// When it was kept.
    pub created: DateTime<Utc>,
}

impl FromRecord for OpenJob {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let job = Stored::<StoredJob>::read(fields)?;
        let newest = match fields.optional_id(EstimateId::parse)? {
            None => None,
            Some(id) => Some(EstimateHead {
                id,
                price_date: fields.take()?,
                currency: Currency::parse(&fields.take::<String>()?)?,
                total: fields.take()?,
                created: fields.take()?,
            }),
        };
        Ok(Self { job, newest })
    }
}

/// Reads at most `limit` by id, those after `after`; only at sites of a region, when one is given. A page may be shorter
/// than that where jobs are large: only an empty one is the end.
pub async fn list(
    session: &mut Session,
    region: Option<&RegionId>,
    after: Option<&JobId>,
    limit: u32,
) -> Result<Vec<OpenJob>, StoreFault> {
    let found: Vec<Record<OpenJob>> = sqlx::query_scalar(
        "with open as (\
             select job.*, coalesce(sum(octet_length(body)) over (\
                 order by job_id rows between unbounded preceding and 1 preceding), 0) as bytes_before from (\
                 select * from job where firm_id = $1 and $2 < job_id \
                 and ($3::text is null or exists (select from site where site.firm_id = job.firm_id \
                     and site.site_id = job.site_id and site.region_id = $3)) \
                 and not exists (select from quote join quote_event using (firm_id, quote_number) \
                     where quote.firm_id = job.firm_id and quote.job_id = job.job_id \
                     and quote_event.state = 'accepted') \
                 order by job_id limit $4) as job) \
         select row(open.job_id, open.display_name, open.site_id, open.body, open.version, open.created_at, \
             open.updated_at, newest.estimate_id, newest.price_date, newest.currency_code, newest.total, \
             newest.created_at) \
         from open left join lateral (\
             select * from estimate where estimate.firm_id = open.firm_id and estimate.job_id = open.job_id \
             order by created_at desc, estimate_id desc limit 1) as newest on true \
         where bytes_before < $5 order by open.job_id",
    )
    .bind(session.firm_uuid())
    .bind(after.map_or("", JobId::as_str))
    .bind(region.map(RegionId::as_str))
    .bind(i64::from(limit))
    .bind(PAGE_BYTES)
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}
