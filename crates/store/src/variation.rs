//! Variations: work agreed under an accepted quote, each a whole message, byte for byte as it was answered. Append-only:
//! the database gives the application role no way to change one.

use hod_domain::id::{QuoteId, VariationId};
use hod_units::{Date, Decimal};
use sqlx::error::BoxDynError;

use crate::exact::{Exact, TOTAL_PLACES_MAX};
use crate::fault::{Rules, StoreFault, broken};
use crate::quote::{self, column};
use crate::row::{Fields, FromRecord, Record, once, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    (
        "variation_number_positive",
        "The number of a variation is 1 or more.",
    ),
    (
        "variation_number_follows",
        "The number of a variation follows the last one under its quote.",
    ),
    (
        "variation_agreed_date_in_calendar",
        "A variation is agreed in the years 1900 to 2199.",
    ),
    (
        "variation_days_in_range",
        "A variation adds or saves at most 1000 days.",
    ),
    (
        "variation_total_in_range",
        "A total is -999999999999999 to 999999999999999.",
    ),
    ("variation_body_length", "A variation takes at most 8 MiB."),
    (
        "variation_under_an_accepted_quote",
        "A variation is agreed under an accepted quote; accept it first, or issue a revision.",
    ),
    (
        "variation_not_before_acceptance",
        "A variation is agreed at or after the acceptance of its quote.",
    ),
];

/// A variation as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredVariation {
    /// Under which quote.
    pub quote: QuoteId,
    /// Made of its number, which [`next_number`] gave in the same session.
    pub id: VariationId,
    /// When it was agreed.
    pub agreed_date: Date,
    /// Days that it adds; below 0 for days that it saves.
    pub days: i32,
    /// What it comes to with tax, in the quote's currency; below 0 where more falls away than is added.
    pub total: Decimal,
    /// The encoded `hod.v1.Variation`, 1 byte to 8 MiB.
    pub body: Vec<u8>,
}

/// The columns of a variation, as [`FromRecord`] reads them.
macro_rules! variation_fields {
    () => {
        "row(quote_number, variation_number, agreed_date, days, total, body, created_at)"
    };
}

impl FromRecord for Stored<StoredVariation> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let variation = StoredVariation {
            quote: QuoteId::new(u32::try_from(fields.take::<i32>()?)?)?,
            id: VariationId::new(u32::try_from(fields.take::<i32>()?)?)?,
            agreed_date: fields.take()?,
            days: fields.take()?,
            total: fields.take()?,
            body: fields.take()?,
        };
        once(fields, 1, variation)
    }
}

/// The next number under a quote, which is held until the session ends. Given again unless it is used.
pub async fn next_number(
    session: &mut Session,
    quote: &QuoteId,
) -> Result<VariationId, StoreFault> {
    quote::hold(session, quote).await?;
    let number: i32 = sqlx::query_scalar(
        "select coalesce(max(variation_number), 0) + 1 from variation where firm_id = $1 and quote_number = $2",
    )
    .bind(session.firm_uuid())
    .bind(column(quote.number())?)
    .fetch_one(session.connection())
    .await?;
    let number = u32::try_from(number).map_err(|fault| StoreFault::Internal(fault.into()))?;
    VariationId::new(number).map_err(|fault| StoreFault::Internal(fault.into()))
}

/// Keeps one.
pub async fn insert(
    session: &mut Session,
    new: &StoredVariation,
) -> Result<Stored<StoredVariation>, StoreFault> {
    let mut exact = Exact::default();
    let total = exact.places("total", new.total, TOTAL_PLACES_MAX);
    exact.check()?;
    let created = sqlx::query_scalar(
        "insert into variation (firm_id, quote_number, variation_number, agreed_date, days, total, body) \
         values ($1, $2, $3, $4, $5, $6, $7) returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(column(new.quote.number())?)
    .bind(column(new.id.number())?)
    .bind(new.agreed_date)
    .bind(new.days)
    .bind(total)
    .bind(&new.body)
    .fetch_one(session.connection())
    .await
    .map_err(|error| {
        broken(error, RULES, |rule| match rule {
            "variation_key" => Some(StoreFault::Taken(Thing::variation(&new.quote, &new.id))),
            "variation_quote_exists" => Some(StoreFault::not_found(Thing::from(&new.quote))),
            _ => None,
        })
    })?;
    Ok(Stamp::once(1, created).on(new.clone()))
}

/// Reads one, the bytes as they were kept.
pub async fn get(
    session: &mut Session,
    quote: &QuoteId,
    id: &VariationId,
) -> Result<Stored<StoredVariation>, StoreFault> {
    let found: Option<Record<Stored<StoredVariation>>> = sqlx::query_scalar(concat!(
        "select ",
        variation_fields!(),
        " from variation where firm_id = $1 and quote_number = $2 and variation_number = $3"
    ))
    .bind(session.firm_uuid())
    .bind(column(quote.number())?)
    .bind(column(id.number())?)
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(Thing::variation(quote, id)))
}

/// Reads at most `limit` of a quote by number, those after `after`. The quote must exist.
pub async fn list(
    session: &mut Session,
    quote: &QuoteId,
    after: Option<&VariationId>,
    limit: u32,
) -> Result<Vec<Stored<StoredVariation>>, StoreFault> {
    let found: Vec<Record<Stored<StoredVariation>>> = sqlx::query_scalar(concat!(
        "select ",
        variation_fields!(),
        " from variation where firm_id = $1 and quote_number = $2 and $3 < variation_number \
          order by variation_number limit $4"
    ))
    .bind(session.firm_uuid())
    .bind(column(quote.number())?)
    .bind(after.map_or(Ok(0), |id| column(id.number()))?)
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    if found.is_empty() {
        quote::get(session, quote).await?;
    }
    Ok(values(found))
}
