//! Sites: places where the firm builds.

use hod_domain::id::{RegionId, SiteId};
use hod_domain::site::Site;
use hod_units::{Decimal, Length};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, StoreFault, VERSION, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;

pub(crate) const RULES: Rules = &[
    ("site_firm_exists", FIRM),
    ("site_id_well_formed", ID),
    ("site_display_name_length", DISPLAY_NAME),
    (
        "site_haul_distance_in_range",
        "A haul distance is 0 to 2000 m.",
    ),
    ("site_version_positive", VERSION),
];

/// The columns of a site, as [`FromRecord`] reads them.
macro_rules! site_fields {
    () => {
        "row(site.site_id, site.display_name, site.region_id, site.haul_distance_m, \
         site.version, site.created_at, site.updated_at)"
    };
}
pub(crate) use site_fields;

impl FromRecord for Stored<Site> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let site = Site {
            id: fields.id(SiteId::parse)?,
            display_name: fields.take()?,
            region: fields.id(RegionId::parse)?,
            haul_distance: fields.number(Length::from_metres)?,
        };
        Ok(fields.stamp()?.on(site))
    }
}

fn haul_distance(site: &Site) -> Result<Decimal, StoreFault> {
    let mut exact = Exact::default();
    let distance = exact.number("haul_distance_m", site.haul_distance.metres());
    exact.check()?;
    Ok(distance)
}

fn refusal(error: sqlx::Error, site: &Site) -> StoreFault {
    broken(error, RULES, |rule| match rule {
        "site_key" => Some(StoreFault::Taken(Thing::from(&site.id))),
        "site_region_exists" => Some(StoreFault::not_found(Thing::from(&site.region))),
        _ => None,
    })
}

/// Reads one.
pub async fn get(session: &mut Session, id: &SiteId) -> Result<Stored<Site>, StoreFault> {
    let found: Option<Record<Stored<Site>>> = sqlx::query_scalar(concat!(
        "select ",
        site_fields!(),
        " from site where firm_id = $1 and site_id = $2"
    ))
    .bind(session.firm_uuid())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(id.into()))
}

/// Reads at most `limit` by id, those after `after`.
pub async fn list(
    session: &mut Session,
    after: Option<&SiteId>,
    limit: u32,
) -> Result<Vec<Stored<Site>>, StoreFault> {
    let found: Vec<Record<Stored<Site>>> = sqlx::query_scalar(concat!(
        "select ",
        site_fields!(),
        " from site where firm_id = $1 and $2 < site_id order by site_id limit $3"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", SiteId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(session: &mut Session, site: &Site) -> Result<Stored<Site>, StoreFault> {
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into site (firm_id, site_id, display_name, region_id, haul_distance_m) values ($1, $2, $3, $4, $5) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(site.id.as_str())
    .bind(&site.display_name)
    .bind(site.region.as_str())
    .bind(haul_distance(site)?)
    .fetch_one(session.connection())
    .await;
    Ok(stamp
        .map_err(|error| refusal(error, site))?
        .on(site.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    site: &Site,
    expected: Option<i64>,
) -> Result<Stored<Site>, StoreFault> {
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update site set display_name = $3, region_id = $4, haul_distance_m = $5, \
         version = version + 1, updated_at = now() \
         where firm_id = $1 and site_id = $2 and ($6::bigint is null or version = $6) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(site.id.as_str())
    .bind(&site.display_name)
    .bind(site.region.as_str())
    .bind(haul_distance(site)?)
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    match stamp.map_err(|error| refusal(error, site))? {
        Some(stamp) => Ok(stamp.on(site.clone())),
        None => {
            get(session, &site.id).await?;
            Err(StoreFault::stale(Thing::from(&site.id)))
        }
    }
}
