//! The version that a region's list of prices and labour rates has reached, and the lock that comes with the next one.

use hod_domain::id::RegionId;

use super::RULES;
use crate::fault::{StoreFault, broken};
use crate::session::Session;
use crate::thing::Thing;

/// The version that a region's list has reached: 0 while no price and no rate has been kept.
pub async fn list_version(session: &mut Session, id: &RegionId) -> Result<i64, StoreFault> {
    let versions = list_versions(session, std::slice::from_ref(id)).await?;
    versions
        .first()
        .copied()
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// The versions that the lists of several regions have reached, in the order asked; every region must exist.
pub async fn list_versions(
    session: &mut Session,
    ids: &[RegionId],
) -> Result<Vec<i64>, StoreFault> {
    let names: Vec<&str> = ids.iter().map(RegionId::as_str).collect();
    let versions: Vec<Option<i64>> = sqlx::query_scalar(
        "select case when region.region_id is not null then coalesce(region_list.version, 0) end \
         from unnest($2::text[]) with ordinality as asked (region_id, place) \
         left join region on region.firm_id = $1 and region.region_id = asked.region_id collate \"C\" \
         left join region_list on region_list.firm_id = $1 and region_list.region_id = region.region_id \
         order by asked.place",
    )
    .bind(session.firm_uuid())
    .bind(&names)
    .fetch_all(session.connection())
    .await?;
    let missing =
        |(id, version): (&RegionId, &Option<i64>)| version.is_none().then(|| Thing::from(id));
    let missing: Vec<Thing> = ids.iter().zip(&versions).filter_map(missing).collect();
    if missing.is_empty() {
        Ok(versions.into_iter().flatten().collect())
    } else {
        Err(StoreFault::NotFound(missing))
    }
}

/// Refuses a version that a region's list has not reached, and a region that is not there.
pub(crate) async fn check_list_version(
    session: &mut Session,
    id: &RegionId,
    asked: Option<i64>,
) -> Result<(), StoreFault> {
    let reached = list_version(session, id).await?;
    asked.map_or(Ok(()), |asked| check_reached(id, reached, asked))
}

/// Refuses a version that a region's list has not reached.
pub(crate) fn check_reached(id: &RegionId, reached: i64, asked: i64) -> Result<(), StoreFault> {
    if (0..=reached).contains(&asked) {
        return Ok(());
    }
    Err(StoreFault::refused(
        "list_version_reached",
        format!(
            "The list of region {id} has reached version {reached}; there is no version {asked} of it."
        ),
    ))
}

/// Makes the next version of a region's list and returns it. Takes the counter's row, so that whoever changes the
/// same list waits until this transaction ends: the first act of everything that changes a list.
pub(crate) async fn next_list_version(
    session: &mut Session,
    id: &RegionId,
) -> Result<i64, StoreFault> {
    let version: Option<i64> = sqlx::query_scalar(
        "insert into region_list as list (firm_id, region_id, currency_code, version) \
         select firm_id, region_id, currency_code, 1 from region where firm_id = $1 and region_id = $2 \
         on conflict (firm_id, region_id) do update set version = list.version + 1 \
         returning version",
    )
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    version.ok_or_else(|| StoreFault::not_found(id.into()))
}
