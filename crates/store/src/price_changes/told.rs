//! Telling what became of each row, in pages, and of all in a sum.

use hod_domain::id::{MaterialId, PriceId, RegionId};
use hod_units::Currency;
use sqlx::error::BoxDynError;

use super::check::file_row;
use super::{ChangeKind, PriceChange, Summary};
use crate::fault::StoreFault;
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::words::{Word, words};

words! {
    ChangeKind {
        New = "new",
        Raised = "raised",
        Lowered = "lowered",
        Same = "same",
        Closed = "closed",
        Altered = "altered",
    }
}

impl FromRecord for PriceChange {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        Ok(Self {
            place: fields.take()?,
            row: fields.take::<Option<i64>>()?.map(file_row).transpose()?,
            kind: fields.word()?,
            region: fields.id(RegionId::parse)?,
            currency: Currency::parse(&fields.take::<String>()?)?,
            price: fields.id(PriceId::parse)?,
            material: fields.id(MaterialId::parse)?,
            supplier: fields.take()?,
            unit: fields.word()?,
            before: fields.take()?,
            after: fields.take()?,
            start: fields.take()?,
        })
    }
}

/// At most `limit` of what the changes put in force last in this session came to, those after the place `after`: by row,
/// then what no row names. What stays the same is not among them. Holds until the session ends.
pub async fn page(
    session: &mut Session,
    after: i64,
    limit: u32,
) -> Result<Vec<PriceChange>, StoreFault> {
    let found: Vec<Record<PriceChange>> = sqlx::query_scalar(
        "select row(change.place, change.file_row, change.kind, change.region_id, region.currency_code, \
             change.price_id, change.material_id, change.supplier, change.unit, change.before_price, \
             change.after_price, change.starts) \
         from price_change as change \
         join region on region.firm_id = $1 and region.region_id = change.region_id \
         where $2 < change.place and change.kind <> 'same' order by change.place limit $3",
    )
    .bind(session.firm_uuid())
    .bind(after)
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// The counts.
pub(super) async fn summary(
    session: &mut Session,
    rows: u64,
    list_versions: Vec<(RegionId, i64)>,
) -> Result<Summary, StoreFault> {
    let counts: Vec<(String, i64)> =
        sqlx::query_as("select kind, count(*) from price_change group by kind")
            .fetch_all(session.connection())
            .await?;
    let mut summary = Summary {
        rows,
        list_versions,
        ..Summary::default()
    };
    for (word, count) in counts {
        let kind = ChangeKind::read(&word).map_err(StoreFault::Internal)?;
        *of_kind(&mut summary, kind) = u64::try_from(count).unwrap_or_default();
    }
    Ok(summary)
}

fn of_kind(summary: &mut Summary, kind: ChangeKind) -> &mut u64 {
    match kind {
        ChangeKind::New => &mut summary.new,
        ChangeKind::Raised => &mut summary.raised,
        ChangeKind::Lowered => &mut summary.lowered,
        ChangeKind::Same => &mut summary.same,
        ChangeKind::Closed => &mut summary.closed,
        ChangeKind::Altered => &mut summary.altered,
    }
}
