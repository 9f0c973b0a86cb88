//! What is wrong with rows that were asked, all of it at once: what they name is not there, or they contradict each other.

use hod_domain::unit::Unit;
use sqlx::Row;
use sqlx::postgres::PgRow;

use super::{FAULTS_TOLD_MAX, RowFault, RowFaultReason};
use crate::fault::StoreFault;
use crate::session::Session;
use crate::words::Word;

/// Firm, and how many faults to tell. Two rows of a region, material and supplier contradict each other when the earlier
/// says that it holds longer than the day on which the later begins.
const FAULTS: &str = "with fault (place, file_row, reason, other_row, unit) as ( \
         select asked.place, asked.file_row, 'unknown-region', null::bigint, null::text from price_asked as asked \
         where not exists (select from region where firm_id = $1 and region_id = asked.region_id) \
         union all \
         select asked.place, asked.file_row, \
             case when material.supply is null then 'unknown-material' \
                 when material.supply = 'site' then 'from-site' else 'other-unit' end, \
             null, material.purchase_unit \
         from price_asked as asked \
         left join material on material.firm_id = $1 and material.material_id = asked.material_id \
         where material.supply is null or material.supply = 'site' or material.purchase_unit <> asked.unit \
         union all \
         select place, file_row, case when starts = before_starts then 'twice' else 'overlaps' end, before_row, null \
         from (select place, file_row, starts, lag(file_row) over key as before_row, \
                   lag(starts) over key as before_starts, lag(ends) over key as before_ends \
               from price_asked \
               window key as (partition by region_id, material_id, supplier order by starts, place)) as beside \
         where starts = before_starts or starts < before_ends \
         union all \
         select place, file_row, 'id-taken', null, null \
         from (select place, file_row, row_number() over (partition by region_id, asked_id order by place) as turn \
               from price_asked where asked_id is not null) as asked \
         where 1 < turn \
         union all \
         select asked.place, asked.file_row, 'id-taken', null, null from price_asked as asked \
         where asked_id is not null and exists (select from price \
             where firm_id = $1 and region_id = asked.region_id and price_id = asked.asked_id \
             and (material_id <> asked.material_id or supplier <> asked.supplier))) \
     select file_row, reason, other_row, unit, count(*) over () as faults \
     from fault order by place limit $2";

/// The first faults in the order of the rows, and how many there are.
pub(super) async fn faults(session: &mut Session) -> Result<(Vec<RowFault>, u64), StoreFault> {
    let told_max = i64::try_from(FAULTS_TOLD_MAX).unwrap_or(i64::MAX);
    let rows = sqlx::query(FAULTS)
        .bind(session.firm_uuid())
        .bind(told_max)
        .fetch_all(session.connection())
        .await?;
    let count = rows
        .first()
        .map_or(Ok(0), |row| row.try_get::<i64, _>("faults"))?;
    let faults: Result<Vec<RowFault>, sqlx::Error> = rows.iter().map(fault).collect();
    Ok((faults?, u64::try_from(count).unwrap_or_default()))
}

fn fault(row: &PgRow) -> Result<RowFault, sqlx::Error> {
    let other = || file_row(row.try_get("other_row")?);
    let reason = match row.try_get::<&str, _>("reason")? {
        "unknown-region" => RowFaultReason::UnknownRegion,
        "unknown-material" => RowFaultReason::UnknownMaterial,
        "from-site" => RowFaultReason::FromSite,
        "twice" => RowFaultReason::Twice { of: other()? },
        "overlaps" => RowFaultReason::Overlaps { with: other()? },
        "id-taken" => RowFaultReason::IdTaken,
        _ => {
            let unit = Unit::read(row.try_get("unit")?);
            RowFaultReason::OtherUnit(unit.map_err(sqlx::Error::Decode)?)
        }
    };
    Ok(RowFault {
        row: file_row(row.try_get("file_row")?)?,
        reason,
    })
}

/// A row as the caller counts.
pub(super) fn file_row(row: i64) -> Result<u32, sqlx::Error> {
    u32::try_from(row).map_err(|fault| sqlx::Error::Decode(fault.into()))
}
