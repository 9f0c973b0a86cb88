//! Prices: what a material costs in a region over a range of dates, at every version of the region's list.
//! A price is never changed. A new one makes the next version; the row it closes goes out and a shorter copy comes in.

use hod_domain::id::{MaterialId, PriceId, RegionId};
use hod_domain::material::Supply;
use hod_domain::price::{Price, Terms};
use hod_domain::unit::Unit;
use hod_units::{Date, DateRange, Decimal};
use sqlx::error::BoxDynError;

use crate::exact::{Exact, UNIT_PRICE_PLACES_MAX};
use crate::fault::{ID, Rules, StoreFault, VERSION, broken};
use crate::history;
use crate::material;
use crate::region;
use crate::row::{Fields, FromRecord, Record, once, pg_range, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

/// What a price in force must keep to in time.
pub(crate) const CALENDAR: &str = "A price or a rate begins and ends in the years 1900 to 2199; leave the end open for one that goes on.";

pub(crate) const RULES: Rules = &[
    ("price_list_exists", "A price belongs to a region's list."),
    (
        "price_unit_is_the_materials",
        "A price is for the unit in which its material is ordered; say that unit, or price another material.",
    ),
    ("price_id_well_formed", ID),
    ("price_version_in_positive", VERSION),
    (
        "price_goes_out_after_it_came_in",
        "A price leaves the list at a later version than it came in.",
    ),
    (
        "price_unit_price_in_range",
        "A unit price is 0 to 999999999.",
    ),
    (
        "price_in_force_not_empty",
        "A price holds for at least a day.",
    ),
    ("price_in_force_has_a_start", "A price has a first day."),
    ("price_in_force_in_calendar", CALENDAR),
    (
        "price_supplier_length",
        "A supplier has at most 120 characters.",
    ),
    (
        "price_source_length",
        "A source of a price has at most 400 characters.",
    ),
    (
        "price_no_overlap",
        "Two prices of a material would be in force in a region on the same day.",
    ),
    ("price_once_in_a_list", "A price stands once in a list."),
];

/// The columns of a price, as [`FromRecord`] reads them.
macro_rules! price_fields {
    () => {
        "row(price.price_id, price.material_id, price.unit_price, price.unit, price.in_force, price.supplier, \
         price.source, price.version_in, price.created_at)"
    };
}
pub(crate) use price_fields;

impl FromRecord for Stored<Price> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let price = Price {
            id: fields.id(PriceId::parse)?,
            material: fields.id(MaterialId::parse)?,
            unit_price: fields.take()?,
            unit: fields.word()?,
            in_force: fields.date_range()?,
            supplier: fields.take()?,
            source: fields.take()?,
            terms: Terms::default(),
        };
        let version = fields.take()?;
        once(fields, version, price)
    }
}

/// A price to be put in force.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPrice {
    /// Its id within the region, which no price there has had.
    pub id: PriceId,
    /// What it is for.
    pub material: MaterialId,
    /// Money per unit before tax, 0 to 999999999, 6 places at most.
    pub unit_price: Decimal,
    /// The material's purchase unit.
    pub unit: Unit,
    /// The first day.
    pub start: Date,
    /// Who sells at it; may be empty.
    pub supplier: String,
    /// Where it was read; may be empty.
    pub source: String,
}

/// Which prices of a region to list.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PriceFilter {
    /// Of this material only.
    pub material: Option<MaterialId>,
    /// In force on this day only.
    pub on: Option<Date>,
    /// As the list stood at this version; none: as it stands now.
    pub list_version: Option<i64>,
}

/// Reads one, as it last stood in the list: a price that another has replaced keeps the range that it had.
pub async fn get(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<Stored<Price>, StoreFault> {
    let found: Option<Record<Stored<Price>>> = sqlx::query_scalar(concat!(
        "select ",
        price_fields!(),
        " from price where firm_id = $1 and region_id = $2 and price_id = $3 order by version_in desc limit 1"
    ))
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id.as_str())
    .fetch_optional(session.connection())
    .await?;
    found
        .map(|record| record.0)
        .ok_or_else(|| StoreFault::not_found(Thing::price(region, id)))
}

/// Reads at most `limit` of a region's list by id, those after `after`. The region, and the version asked for, must
/// exist.
pub async fn list(
    session: &mut Session,
    region: &RegionId,
    filter: &PriceFilter,
    after: Option<&PriceId>,
    limit: u32,
) -> Result<Vec<Stored<Price>>, StoreFault> {
    region::check_list_version(session, region, filter.list_version).await?;
    let found: Vec<Record<Stored<Price>>> = sqlx::query_scalar(concat!(
        "select ",
        price_fields!(),
        " from price where firm_id = $1 and region_id = $2 and $3 < price_id \
          and version_in <= $4 and (version_out is null or $4 < version_out) \
          and ($5::text is null or material_id = $5) and ($6::date is null or in_force @> $6) \
          order by price_id limit $7"
    ))
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(after.map_or("", PriceId::as_str))
    .bind(filter.list_version.unwrap_or(i64::MAX))
    .bind(filter.material.as_ref().map(MaterialId::as_str))
    .bind(filter.on)
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Puts a price in force and makes the next version of the region's list. The price in force on its first day ends
/// the day before, or is replaced when it began that same day; the new one ends where a later one begins.
pub async fn insert(
    session: &mut Session,
    region: &RegionId,
    new: &NewPrice,
) -> Result<Stored<Price>, StoreFault> {
    let mut exact = Exact::default();
    let unit_price = exact.places("unit_price", new.unit_price, UNIT_PRICE_PLACES_MAX);
    exact.check()?;
    check_material(session, new).await?;
    let version = region::next_list_version(session, region).await?;
    check_untaken(session, region, &new.id).await?;
    let standing = standing(session, region, &new.material).await?;
    let ranges: Vec<DateRange> = standing.iter().map(|(_, range)| *range).collect();
    let change =
        history::change(&ranges, new.start).map_err(|fault| StoreFault::Internal(fault.into()))?;
    if let Some((closed, _)) = change.out.and_then(|place| standing.get(place)) {
        take_out(session, region, closed, version).await?;
        if let Some(range) = change.shortened {
            copy_in(session, region, closed, version, range).await?;
        }
    }
    let created = sqlx::query_scalar(
        "insert into price (firm_id, region_id, price_id, version_in, material_id, unit_price, unit, in_force, \
         supplier, source) values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) returning created_at",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(new.id.as_str())
    .bind(version)
    .bind(new.material.as_str())
    .bind(unit_price)
    .bind(new.unit.kept_word())
    .bind(pg_range(change.in_force))
    .bind(&new.supplier)
    .bind(&new.source)
    .fetch_one(session.connection())
    .await
    .map_err(|error| {
        broken(error, RULES, |rule| {
            (rule == "price_material_exists").then(|| StoreFault::not_found(Thing::from(&new.material)))
        })
    })?;
    Ok(Stamp::once(version, created).on(price(new, change.in_force)))
}

/// A price is for what is bought, by the unit in which it is ordered.
async fn check_material(session: &mut Session, new: &NewPrice) -> Result<(), StoreFault> {
    let material = material::get(session, &new.material).await?.value;
    let (id, ordered) = (&material.id, material.purchase_unit);
    if material.supply == Supply::Site {
        return Err(StoreFault::refused(
            "price_is_for_what_is_bought",
            format!(
                "{id} comes from the site, at no price; give a material that is bought, or change its supply first"
            ),
        ));
    }
    if new.unit == ordered {
        return Ok(());
    }
    Err(StoreFault::refused(
        "price_unit_is_the_materials",
        format!(
            "{id} is ordered by the {}, and this price is for one {}; give the price of one {}",
            ordered.word(),
            new.unit.word(),
            ordered.word()
        ),
    ))
}

fn price(new: &NewPrice, in_force: DateRange) -> Price {
    let new = new.clone();
    Price {
        id: new.id,
        material: new.material,
        unit_price: new.unit_price,
        unit: new.unit,
        in_force,
        supplier: new.supplier,
        source: new.source,
        terms: Terms::default(),
    }
}

/// A price's rows share its id, so no key can refuse it to another; the list's lock makes this check enough.
async fn check_untaken(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
) -> Result<(), StoreFault> {
    let taken: bool = sqlx::query_scalar(
        "select exists (select from price where firm_id = $1 and region_id = $2 and price_id = $3)",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id.as_str())
    .fetch_one(session.connection())
    .await?;
    if taken {
        Err(StoreFault::Taken(Thing::price(region, id)))
    } else {
        Ok(())
    }
}

/// The prices of a material that stand in a region's list now.
async fn standing(
    session: &mut Session,
    region: &RegionId,
    material: &MaterialId,
) -> Result<Vec<(String, DateRange)>, StoreFault> {
    let rows: Vec<(String, Date, Option<Date>)> = sqlx::query_as(
        "select price_id, lower(in_force), upper(in_force) from price \
         where firm_id = $1 and region_id = $2 and material_id = $3 and version_out is null",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(material.as_str())
    .fetch_all(session.connection())
    .await?;
    rows.into_iter()
        .map(|(id, from, to)| {
            Ok((
                id,
                DateRange::new(from, to).map_err(|fault| StoreFault::Internal(fault.into()))?,
            ))
        })
        .collect()
}

async fn take_out(
    session: &mut Session,
    region: &RegionId,
    id: &str,
    version: i64,
) -> Result<(), StoreFault> {
    sqlx::query(
        "update price set version_out = $4 \
         where firm_id = $1 and region_id = $2 and price_id = $3 and version_out is null",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id)
    .bind(version)
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    Ok(())
}

/// The same price as the one that this version took out, over a shorter range.
async fn copy_in(
    session: &mut Session,
    region: &RegionId,
    id: &str,
    version: i64,
    range: DateRange,
) -> Result<(), StoreFault> {
    sqlx::query(
        "insert into price (firm_id, region_id, price_id, version_in, material_id, unit_price, unit, in_force, \
         supplier, source, created_at) \
         select firm_id, region_id, price_id, $4, material_id, unit_price, unit, $5, supplier, source, created_at \
         from price where firm_id = $1 and region_id = $2 and price_id = $3 and version_out = $4",
    )
    .bind(session.firm_uuid())
    .bind(region.as_str())
    .bind(id)
    .bind(version)
    .bind(pg_range(range))
    .execute(session.connection())
    .await
    .map_err(|error| broken(error, RULES, |_| None))?;
    Ok(())
}
