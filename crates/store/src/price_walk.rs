//! Reading many prices in the order of region, material, supplier and first day, a piece at a time out of one cursor, so
//! that memory stays that of a piece and all of it is as it stood when the walk began: for a file of prices, and for
//! prices that are to change by a rule. Also the lock without which what is read could change before that.

use std::sync::atomic::{AtomicU64, Ordering};

use hod_domain::id::{MaterialGroup, MaterialId, RegionId};
use hod_domain::price::Price;
use hod_units::Date;
use sqlx::{AssertSqlSafe, Row};

use crate::dated::told;
use crate::fault::StoreFault;
use crate::price::price_fields;
use crate::region;
use crate::row::Record;
use crate::session::Session;
use crate::stored::Stored;
use crate::thing::Thing;

/// Changes of a list that are told one by one to somebody who has read an older version.
const CHANGES_TOLD_MAX: i64 = 20;

/// Tells the cursors of a session apart.
static CURSORS: AtomicU64 = AtomicU64::new(0);

/// Which prices to read, of those that stand in the lists now.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct WalkFilter {
    /// Of this region only.
    pub region: Option<RegionId>,
    /// In force on this day only.
    pub on: Option<Date>,
    /// In force on this day or later only.
    pub from: Option<Date>,
    /// Of this group of materials; together with `materials`, all of both.
    pub group: Option<MaterialGroup>,
    /// Of these materials; none and no group: of all.
    pub materials: Vec<MaterialId>,
    /// Of this supplier only.
    pub supplier: Option<String>,
}

/// A walk through prices. It ends with its session.
#[derive(Debug)]
pub struct Walk {
    cursor: String,
}

/// Firm, region, day on which, day from which, group, materials, supplier.
const WALK: &str = concat!(
    "select price.region_id, ",
    price_fields!(),
    " as fields from price join material using (firm_id, material_id) \
     where price.firm_id = $1 and version_out is null and ($2::text is null or price.region_id = $2) \
     and ($3::date is null or in_force @> $3) \
     and ($4::date is null or upper(in_force) is null or $4 < upper(in_force)) \
     and ($5::text is null and cardinality($6::text[]) = 0 or material_group = $5 or material_id = any($6)) \
     and ($7::text is null or price.supplier = $7) \
     order by price.region_id, material_id, price.supplier, starts"
);

impl Walk {
    /// Begins a walk. The region and the materials named must exist.
    pub async fn begin(session: &mut Session, filter: &WalkFilter) -> Result<Self, StoreFault> {
        check_named(session, filter).await?;
        let cursor = format!("price_walk_{}", CURSORS.fetch_add(1, Ordering::Relaxed));
        let materials: Vec<&str> = filter.materials.iter().map(MaterialId::as_str).collect();
        // The name of the cursor is the only thing in it that is not written here.
        let declare = format!("declare {cursor} no scroll cursor for {WALK}");
        sqlx::query(AssertSqlSafe(declare))
            .persistent(false)
            .bind(session.firm_uuid())
            .bind(filter.region.as_ref().map(RegionId::as_str))
            .bind(filter.on)
            .bind(filter.from)
            .bind(filter.group.as_ref().map(MaterialGroup::as_str))
            .bind(materials)
            .bind(&filter.supplier)
            .execute(session.connection())
            .await?;
        Ok(Self { cursor })
    }

    /// The next prices, `limit` of them at most; none when the walk is over.
    pub async fn next(
        &mut self,
        session: &mut Session,
        limit: u32,
    ) -> Result<Vec<(RegionId, Stored<Price>)>, StoreFault> {
        let fetch = format!("fetch {limit} from {}", self.cursor);
        let rows = sqlx::query(AssertSqlSafe(fetch))
            .persistent(false)
            .fetch_all(session.connection())
            .await?;
        rows.iter()
            .map(|row| {
                let region = RegionId::parse(row.try_get("region_id")?)
                    .map_err(|fault| StoreFault::Internal(fault.into()))?;
                let Record(price) = row.try_get("fields")?;
                Ok((region, price))
            })
            .collect()
    }
}

/// Everything named that is not there.
async fn check_named(session: &mut Session, filter: &WalkFilter) -> Result<(), StoreFault> {
    let names: Vec<&str> = filter.materials.iter().map(MaterialId::as_str).collect();
    let found: Vec<String> = sqlx::query_scalar(
        "select material_id from material where firm_id = $1 and material_id = any($2)",
    )
    .bind(session.firm_uuid())
    .bind(names)
    .fetch_all(session.connection())
    .await?;
    let materials = filter.materials.iter();
    let missing = materials.filter(|id| !found.iter().any(|each| each == id.as_str()));
    let mut missing: Vec<Thing> = missing.map(Thing::from).collect();
    if let Some(region) = &filter.region {
        match region::list_version(session, region).await {
            Err(StoreFault::NotFound(things)) => missing.extend(things),
            other => {
                other?;
            }
        }
    }
    if missing.is_empty() {
        Ok(())
    } else {
        Err(StoreFault::NotFound(missing))
    }
}

/// Locks a region's list until the session ends, so that what is read of it stays true, and says which version it has
/// reached; refuses when that is not the version `read`, if one is given, and says what has changed since.
pub async fn lock_list(
    session: &mut Session,
    region: &RegionId,
    read: Option<i64>,
) -> Result<i64, StoreFault> {
    let locked: Option<i64> = sqlx::query_scalar(
        "select version from region_list where firm_id = $1 and region_id = $2 for no key update",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .fetch_optional(session.connection())
    .await?;
    let reached = match locked {
        Some(version) => version,
        None => region::list_version(session, region).await?,
    };
    let Some(read) = read else {
        return Ok(reached);
    };
    region::check_reached(region, reached, read)?;
    if read == reached {
        return Ok(reached);
    }
    let changes = changes_since(session, region, read).await?;
    Err(StoreFault::stale_because(Thing::from(region), changes))
}

/// Prices of a list that came or went after a version, in words: the first of them.
async fn changes_since(
    session: &mut Session,
    region: &RegionId,
    read: i64,
) -> Result<Vec<String>, StoreFault> {
    let rows = sqlx::query(concat!(
        "select ",
        price_fields!(),
        " as fields, version_in > $3 as came, version_out is not null as went from price \
         where firm_id = $1 and region_id = $2 \
         and (version_in > $3 and version_out is null or version_in <= $3 and version_out > $3) \
         order by material_id, supplier, starts, version_in limit $4"
    ))
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(read)
    .bind(CHANGES_TOLD_MAX)
    .fetch_all(session.connection())
    .await?;
    let mut changes = Vec::with_capacity(rows.len());
    for row in &rows {
        let Record::<Stored<Price>>(stored) = row.try_get("fields")?;
        let (came, went) = (row.try_get("came")?, row.try_get("went")?);
        changes.extend(told(region, &stored.value, came, went));
    }
    Ok(changes)
}
