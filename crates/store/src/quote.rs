//! Quotes: estimates as they were issued, byte for byte, and what became of them. Append-only: the database gives the
//! application role no way to change one. What may become of a quote, the middle says; that it only goes forward, the
//! database holds as well.

use chrono::{DateTime, Utc};
use hod_domain::id::{EstimateId, JobId, QuoteId};
use hod_domain::quote::{QuoteStanding, QuoteState};
use hod_units::{Currency, Date, Decimal};
use sqlx::error::BoxDynError;

use crate::exact::{Exact, TOTAL_PLACES_MAX};
use crate::fault::{StoreFault, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

mod rules;
mod snapshots;

pub(crate) use self::rules::RULES;
pub use self::snapshots::{Snapshots, snapshots};

/// A quote to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct NewQuote {
    /// Made of its number, which [`next_number`] gave in the same session.
    pub id: QuoteId,
    /// Of which job.
    pub job: JobId,
    /// Which kept estimate of the job it is issued from.
    pub estimate: EstimateId,
    /// To whom, 1 to 200 characters.
    pub client: String,
    /// When it is issued.
    pub issue_date: Date,
    /// Its last valid day, 1 to 365 days after that.
    pub valid_until: Date,
    /// What it is in.
    pub currency: Currency,
    /// Its total with tax, in the currency's main unit, rounded to the minor one.
    pub total: Decimal,
    /// Lifts measured.
    pub lift_count: u32,
    /// The quote in whose place it stands.
    pub revised: Option<QuoteId>,
    /// The bytes that are issued; with a comparison when it revises another, and only then.
    pub snapshots: Snapshots,
}

/// What became of a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteEvent {
    /// The state that it came to.
    pub state: QuoteState,
    /// On which day.
    pub date: Date,
    /// What was said with it, at most 400 characters; may be empty.
    pub note: String,
    /// When it was kept.
    pub created: DateTime<Utc>,
}

/// The variations agreed under a quote, in sum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VariationSum {
    /// How many.
    pub count: i64,
    /// What they come to with tax, in the quote's currency.
    pub total: Decimal,
    /// Days that they add, less those that they save.
    pub days: i64,
}

/// A quote as it is kept, without the estimate and the comparison, which [`snapshots`] reads. Its version counts its
/// events.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredQuote {
    /// Its id.
    pub id: QuoteId,
    /// Of which job.
    pub job: JobId,
    /// Which kept estimate it was issued from.
    pub estimate: EstimateId,
    /// To whom.
    pub client: String,
    /// When it was issued.
    pub issue_date: Date,
    /// Its last valid day.
    pub valid_until: Date,
    /// What it is in.
    pub currency: Currency,
    /// Its total with tax.
    pub total: Decimal,
    /// Lifts measured.
    pub lift_count: u32,
    /// The quote in whose place it stands.
    pub revised: Option<QuoteId>,
    /// The quote that stands in its place.
    pub superseding: Option<QuoteId>,
    /// The encoded `hod.v1.Offer`, byte for byte as it was issued.
    pub offer: Vec<u8>,
    /// SHA-256 of what was issued; see [`Snapshots::digest`].
    pub digest: [u8; 32],
    /// What became of it, from its issue on.
    pub events: Vec<QuoteEvent>,
    /// What was agreed under it.
    pub variations: VariationSum,
}

impl StoredQuote {
    /// How it stands by its last event.
    pub fn standing(&self) -> QuoteStanding {
        let issued = QuoteStanding::issued(self.issue_date, self.valid_until);
        match self.events.last() {
            Some(last) => QuoteStanding {
                state: last.state,
                since: last.date,
                ..issued
            },
            None => issued,
        }
    }

    /// When it was accepted.
    pub fn accepted_on(&self) -> Option<Date> {
        let mut events = self.events.iter();
        let accepted = events.find(|event| event.state == QuoteState::Accepted)?;
        Some(accepted.date)
    }
}

/// Which quotes to list.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct QuoteFilter {
    /// Only of this job.
    pub job: Option<JobId>,
    /// Only those that are in this state on this day, which is not before their last event: one whose last valid day is
    /// past has expired without an act.
    pub state_on: Option<(QuoteState, Date)>,
}

/// The columns of a quote, its events and the sums under it, as [`FromRecord`] reads them.
macro_rules! quote_fields {
    () => {
        "row(quote.quote_number, quote.job_id, quote.estimate_id, quote.client, quote.issue_date, \
         quote.valid_until_date, quote.currency_code, quote.total, quote.lift_count, quote.revised_number, \
         (select revision.quote_number from quote as revision \
             where revision.firm_id = quote.firm_id and revision.revised_number = quote.quote_number), \
         quote.offer, quote.digest, \
         array(select row(event.state, event.event_date, event.note, event.created_at) from quote_event as event \
             where event.firm_id = quote.firm_id and event.quote_number = quote.quote_number \
             order by event.sequence), \
         (select row(count(*), coalesce(sum(variation.total), 0)::numeric(28, 4), coalesce(sum(variation.days), 0)) \
             from variation where variation.firm_id = quote.firm_id and variation.quote_number = quote.quote_number), \
         quote.created_at)"
    };
}

impl FromRecord for Stored<StoredQuote> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let quote = StoredQuote {
            id: id(fields.take()?)?,
            job: fields.id(JobId::parse)?,
            estimate: fields.id(EstimateId::parse)?,
            client: fields.take()?,
            issue_date: fields.take()?,
            valid_until: fields.take()?,
            currency: Currency::parse(&fields.take::<String>()?)?,
            total: fields.take()?,
            lift_count: u32::try_from(fields.take::<i32>()?)?,
            revised: fields.take::<Option<i32>>()?.map(id).transpose()?,
            superseding: fields.take::<Option<i32>>()?.map(id).transpose()?,
            offer: fields.take()?,
            digest: digest(fields.take()?)?,
            events: read_events(fields)?,
            variations: read_sum(fields)?,
        };
        let created_at = fields.take()?;
        let stamp = Stamp {
            version: i64::try_from(quote.events.len())?,
            created_at,
            updated_at: quote.events.last().map_or(created_at, |last| last.created),
        };
        Ok(stamp.on(quote))
    }
}

fn read_events(fields: &mut Fields<'_>) -> Result<Vec<QuoteEvent>, BoxDynError> {
    let rows: Vec<(String, Date, String, DateTime<Utc>)> = fields.take()?;
    let read = |(state, date, note, created): (String, Date, String, DateTime<Utc>)| {
        Ok(QuoteEvent {
            state: QuoteState::read(&state)?,
            date,
            note,
            created,
        })
    };
    rows.into_iter().map(read).collect()
}

fn read_sum(fields: &mut Fields<'_>) -> Result<VariationSum, BoxDynError> {
    let (count, total, days): (i64, Decimal, i64) = fields.take()?;
    Ok(VariationSum { count, total, days })
}

/// The id of a number that the database holds.
fn id(number: i32) -> Result<QuoteId, BoxDynError> {
    Ok(QuoteId::new(u32::try_from(number)?)?)
}

fn digest(bytes: Vec<u8>) -> Result<[u8; 32], BoxDynError> {
    let length = bytes.len();
    <[u8; 32]>::try_from(bytes).map_err(|_| format!("a digest of {length} bytes").into())
}

/// A number as its column takes it.
pub(crate) fn column(number: u32) -> Result<i32, StoreFault> {
    i32::try_from(number).map_err(|fault| StoreFault::Internal(fault.into()))
}

/// Holds a quote until the session ends: whoever else would add to what became of it, or agree a variation under it,
/// waits. To be called before reading what a decision about it rests on. Reading is held up by nobody.
pub async fn hold(session: &mut Session, id: &QuoteId) -> Result<(), StoreFault> {
    // A row cannot be locked by a role that may not change it. A statement of its own: the next one then sees what the
    // session waited for has kept.
    sqlx::query("select pg_advisory_xact_lock(hashtextextended($1 || ' quotes/' || $2, 0))")
        .bind(session.firm().to_string())
        .bind(id.as_str())
        .execute(session.connection())
        .await?;
    Ok(())
}

/// Takes the firm's next number. Whoever else issues a quote waits until this session has ended; rolled back, the number
/// is given again. The quote has to be kept in this session, or nothing of the session can be.
///
/// A quote that is to be revised is to be held before, so that sessions never wait for each other in a ring.
pub async fn next_number(session: &mut Session) -> Result<QuoteId, StoreFault> {
    let number: i32 = sqlx::query_scalar(
        "insert into quote_counter (firm_id, last_number) values ($1, 1) \
         on conflict (firm_id) do update set last_number = quote_counter.last_number + 1 returning last_number",
    )
    .bind(session.firm_uuid())
    .fetch_one(session.connection())
    .await?;
    id(number).map_err(StoreFault::Internal)
}

/// Keeps one. It is issued by that, and the quote in whose place it stands is superseded.
pub async fn insert(
    session: &mut Session,
    new: &NewQuote,
) -> Result<Stored<StoredQuote>, StoreFault> {
    let mut exact = Exact::default();
    let total = exact.places("total", new.total, TOTAL_PLACES_MAX);
    exact.check()?;
    let revised = new.revised.as_ref();
    if let Some(revised) = revised {
        hold(session, revised).await?;
    }
    sqlx::query(
        "insert into quote (firm_id, quote_number, job_id, estimate_id, client, issue_date, valid_until_date, \
         currency_code, total, lift_count, revised_number, offer, estimate, comparison, digest) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)",
    )
    .bind(session.firm_uuid())
    .bind(column(new.id.number())?)
    .bind(new.job.as_str())
    .bind(new.estimate.as_str())
    .bind(&new.client)
    .bind(new.issue_date)
    .bind(new.valid_until)
    .bind(new.currency.code())
    .bind(total)
    .bind(column(new.lift_count)?)
    .bind(revised.map(|id| column(id.number())).transpose()?)
    .bind(&new.snapshots.offer)
    .bind(&new.snapshots.estimate)
    .bind(&new.snapshots.comparison)
    .bind(new.snapshots.digest().as_slice())
    .execute(session.connection())
    .await
    .map_err(|error| refusal(error, new))?;
    get(session, &new.id).await
}

fn refusal(error: sqlx::Error, new: &NewQuote) -> StoreFault {
    broken(error, RULES, |rule| match rule {
        "quote_key" => Some(StoreFault::Taken(Thing::from(&new.id))),
        "quote_estimate_exists" => {
            let estimate = Thing::estimate(&new.job, &new.estimate);
            Some(StoreFault::not_found(estimate))
        }
        _ => None,
    })
}

/// Reads one.
pub async fn get(session: &mut Session, id: &QuoteId) -> Result<Stored<StoredQuote>, StoreFault> {
    let found: Option<Record<Stored<StoredQuote>>> = sqlx::query_scalar(concat!(
        "select ",
        quote_fields!(),
        " from quote where firm_id = $1 and quote_number = $2"
    ))
    .bind(session.firm_uuid())
    .bind(column(id.number())?)
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// Reads at most `limit`, the newest first, those older than `after`.
pub async fn list(
    session: &mut Session,
    filter: &QuoteFilter,
    after: Option<&QuoteId>,
    limit: u32,
) -> Result<Vec<Stored<StoredQuote>>, StoreFault> {
    let (state, day) = filter.state_on.unzip();
    let found: Vec<Record<Stored<StoredQuote>>> = sqlx::query_scalar(concat!(
        "select ",
        quote_fields!(),
        " from quote where firm_id = $1 and ($2::integer is null or quote_number < $2) \
          and ($3::text is null or job_id = $3) \
          and ($4::text is null or $4 = ( \
              select case when state = 'issued' and valid_until_date < $5 then 'expired' else state end \
              from quote_event where quote_event.firm_id = quote.firm_id \
              and quote_event.quote_number = quote.quote_number order by sequence desc limit 1)) \
          order by quote_number desc limit $6"
    ))
    .bind(session.firm_uuid())
    .bind(after.map(|id| column(id.number())).transpose()?)
    .bind(filter.job.as_ref().map(JobId::as_str))
    .bind(state.map(Word::kept_word))
    .bind(day)
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps what became of it; refused when `expected` is given and is no longer its version.
///
/// # Errors
/// [`StoreFault::Refused`] when it does not follow from what became of it before; [`StoreFault::Stale`] with what has
/// become of it meanwhile.
pub async fn add_event(
    session: &mut Session,
    id: &QuoteId,
    state: QuoteState,
    date: Date,
    note: &str,
    expected: Option<i64>,
) -> Result<Stored<StoredQuote>, StoreFault> {
    hold(session, id).await?;
    let quote = get(session, id).await?;
    check_unchanged(&quote, expected)?;
    sqlx::query(
        "insert into quote_event (firm_id, quote_number, sequence, state, event_date, note) \
         values ($1, $2, $3::bigint + 1, $4, $5, $6)",
    )
    .bind(session.firm_uuid())
    .bind(column(id.number())?)
    .bind(quote.version)
    .bind(state.kept_word())
    .bind(date)
    .bind(note)
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    get(session, id).await
}

/// Refuses a change of a quote of which more has become since the version that the caller has read, and says what.
fn check_unchanged(quote: &Stored<StoredQuote>, expected: Option<i64>) -> Result<(), StoreFault> {
    let Some(expected) = expected.filter(|expected| *expected != quote.version) else {
        return Ok(());
    };
    let id = &quote.value.id;
    let read = usize::try_from(expected).unwrap_or(0);
    let since = quote.value.events.iter().skip(read);
    let changes = since.map(|event| format!("quotes/{id} is {} since {}", event.state, event.date));
    Err(StoreFault::stale_because(id.into(), changes.collect()))
}
