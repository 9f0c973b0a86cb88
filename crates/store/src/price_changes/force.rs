//! Putting changes in force: the lists locked in the order of their regions, then one new version of each that changes.

use hod_domain::id::RegionId;

use super::tables::analyze;
use crate::fault::{StoreFault, broken};
use crate::price::{RULES, price_says};
use crate::session::Session;

/// Lists that are not there yet are made first, so that every lock is taken in one order: what is made, then what stands,
/// each by region. Whoever makes one at the same time is waited for. A list is made by its first price, and every row of a
/// region without one is such a price.
const MAKE_LISTS: &str = "insert into region_list (firm_id, region_id, currency_code, version) \
     select firm_id, region_id, currency_code, 1 from region \
     where firm_id = $1 and region_id in (select region_id from price_asked) \
     order by region_id on conflict (firm_id, region_id) do nothing returning region_id";

const LOCK_LISTS: &str = "select region_id, version from region_list \
     where firm_id = $1 and region_id in (select region_id from price_asked) \
     order by region_id for no key update";

/// Locks the lists of the rows' regions and notes what their next versions would be.
pub(super) async fn lock_lists(session: &mut Session) -> Result<(), StoreFault> {
    let made: Vec<String> = sqlx::query_scalar(MAKE_LISTS)
        .bind(session.firm_uuid())
        .fetch_all(session.connection())
        .await
        .map_err(|error| broken(error, crate::region::RULES, |_| None))?;
    let lists: Vec<(String, i64)> = sqlx::query_as(LOCK_LISTS)
        .bind(session.firm_uuid())
        .fetch_all(session.connection())
        .await?;
    let is_new: Vec<bool> = lists
        .iter()
        .map(|(region, _)| made.contains(region))
        .collect();
    let next = lists.iter().zip(&is_new);
    let versions: Vec<i64> = next
        .map(|((_, version), is_new)| version.saturating_add(i64::from(!is_new)))
        .collect();
    let regions: Vec<String> = lists.into_iter().map(|(region, _)| region).collect();
    sqlx::query(
        "insert into price_list (region_id, version, is_new) select * from unnest($1::text[], $2::bigint[], $3::boolean[])",
    )
    .bind(regions)
    .bind(versions)
    .bind(is_new)
    .execute(session.connection())
    .await?;
    Ok(())
}

/// A list that nothing changes keeps its version; one that was just made has its first already.
const RAISE_VERSIONS: &str = "update region_list set version = price_list.version from price_list \
     where region_list.firm_id = $1 and region_list.region_id = price_list.region_id and not price_list.is_new \
     and exists (select from price_change where region_id = price_list.region_id and kind <> 'same')";

const VERSIONS: &str = "select region_id, version from price_list \
     where exists (select from price_change where region_id = price_list.region_id and kind <> 'same') \
     order by region_id";

/// What a new price takes the place of goes out, whole when both begin on one day; what was not named ends.
const OUT: &str = "insert into price_out (region_id, price_id, ends) \
     select region_id, before_id, nullif(min(starts), min(before_starts)) from price_change \
     where kind <> 'same' and before_id is not null group by region_id, before_id";

const TAKE_OUT: &str = "update price set version_out = price_list.version from price_out join price_list using (region_id) \
     where price.firm_id = $1 and price.region_id = price_out.region_id and price.price_id = price_out.price_id \
     and price.version_out is null";

/// Shorter copies of what went out, and the new prices, in the order of the index that keeps them apart.
const PUT_IN: &str = concat!(
    "insert into price (firm_id, region_id, price_id, version_in, in_force, created_at, ",
    price_says!(),
    ") select $1, region_id, price_id, version_in, in_force, created_at, ",
    price_says!(),
    " from ( \
         select price.region_id, price.price_id, price_list.version as version_in, \
             daterange(price.starts, price_out.ends) as in_force, price.created_at, price.starts, ",
    price_says!(),
    " from price_out join price_list using (region_id) \
         join price on price.firm_id = $1 and price.region_id = price_out.region_id \
             and price.price_id = price_out.price_id and price.version_out = price_list.version \
         where price_out.ends is not null \
         union all \
         select change.region_id, change.price_id, price_list.version, daterange(change.starts, change.ends), now(), \
             change.starts, ",
    "asked.material_id, asked.supplier, asked.unit, asked.unit_price, asked.source, asked.pack_size, \
             asked.minimum_order, asked.break_rule, asked.break_from, asked.break_price, asked.load_m3, asked.load_t, \
             asked.load_quantity, asked.charge_per_load, asked.charge_per_km, asked.distance_km, asked.lead_days, \
             asked.note \
         from price_change as change join price_asked as asked using (place) \
         join price_list on price_list.region_id = change.region_id \
         where change.kind <> 'same') as coming \
     order by region_id, material_id, supplier, starts"
);

/// Puts the changes in force; says which lists have which new version.
pub(super) async fn all(session: &mut Session) -> Result<Vec<(RegionId, i64)>, StoreFault> {
    let firm = session.firm_uuid();
    let versions: Vec<(String, i64)> = sqlx::query_as(VERSIONS)
        .fetch_all(session.connection())
        .await?;
    sqlx::query(RAISE_VERSIONS)
        .bind(firm)
        .execute(session.connection())
        .await?;
    sqlx::query(OUT).execute(session.connection()).await?;
    analyze(session, "analyze price_out").await?;
    for statement in [TAKE_OUT, PUT_IN] {
        sqlx::query(statement)
            .bind(firm)
            .execute(session.connection())
            .await
            .map_err(|error| broken(error, RULES, |_| None))?;
    }
    let region = |(region, version): (String, i64)| {
        let id = RegionId::parse(&region).map_err(|fault| StoreFault::Internal(fault.into()))?;
        Ok((id, version))
    };
    versions.into_iter().map(region).collect()
}
