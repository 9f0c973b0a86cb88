//! What the lists of a site's regions hold on a day: of prices those of the materials asked, of labour rates all.

use hod_domain::id::RegionId;
use hod_domain::material::Material;
use hod_domain::price::{LabourRate, Price, PriceList};
use hod_domain::region::Region;
use hod_units::Date;
use sqlx::Row;

use super::things::{fields, unknown};
use crate::fault::StoreFault;
use crate::labour_rate::labour_rate_fields;
use crate::price::price_fields;
use crate::session::Session;
use crate::stored::Stored;

/// A row that is a price.
const PRICE: i32 = 1;
/// A row that is a labour rate.
const LABOUR_RATE: i32 = 2;

/// Firm, regions, versions of their lists, day, materials.
const LISTS: &str = concat!(
    "with list (region_id, version, place) as ( \
         select region_id collate \"C\", version, place - 1 \
         from unnest($2::text[], $3::bigint[]) with ordinality as asked (region_id, version, place)) \
     select 1 as kind, list.place, ",
    price_fields!(),
    " as fields from list join price on price.firm_id = $1 and price.region_id = list.region_id \
         and price.version_in <= list.version \
         and (price.version_out is null or list.version < price.version_out) \
         and price.in_force @> $4::date and price.material_id = any($5) \
     union all select 2, list.place, ",
    labour_rate_fields!(),
    " from list join labour_rate on labour_rate.firm_id = $1 and labour_rate.region_id = list.region_id \
         and labour_rate.version_in <= list.version \
         and (labour_rate.version_out is null or list.version < labour_rate.version_out) \
         and labour_rate.in_force @> $4::date"
);

/// Loads the lists of these regions in these versions, in the same order.
pub(super) async fn load(
    session: &mut Session,
    regions: &[Region],
    versions: &[i64],
    on: Date,
    materials: &[Material],
) -> Result<Vec<PriceList>, StoreFault> {
    let region_names: Vec<&str> = regions.iter().map(|region| region.id.as_str()).collect();
    let material_names: Vec<&str> = materials
        .iter()
        .map(|material| material.id.as_str())
        .collect();
    let rows = sqlx::query(LISTS)
        .bind(session.firm_uuid())
        .bind(&region_names)
        .bind(versions)
        .bind(on)
        .bind(&material_names)
        .fetch_all(session.connection())
        .await?;
    let empty = |(region, version): (&Region, &i64)| empty_list(region.id.clone(), *version);
    let mut lists: Vec<PriceList> = regions.iter().zip(versions).map(empty).collect();
    for row in &rows {
        let place = row.try_get::<i64, _>("place")?;
        let list = usize::try_from(place)
            .ok()
            .and_then(|place| lists.get_mut(place));
        let Some(list) = list else {
            return Err(StoreFault::Internal(
                format!("list {place} was not asked for").into(),
            ));
        };
        match row.try_get("kind")? {
            PRICE => list.prices.push(fields::<Stored<Price>>(row)?.value),
            LABOUR_RATE => list
                .labour_rates
                .push(fields::<Stored<LabourRate>>(row)?.value),
            other => return Err(unknown(other).into()),
        }
    }
    for list in &mut lists {
        list.prices.sort_by(|left, right| left.id.cmp(&right.id));
        list.labour_rates
            .sort_by(|left, right| left.id.cmp(&right.id));
    }
    Ok(lists)
}

fn empty_list(region: RegionId, version: i64) -> PriceList {
    PriceList {
        region,
        version,
        prices: Vec::new(),
        labour_rates: Vec::new(),
    }
}
