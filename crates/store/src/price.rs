//! Prices: what a supplier asks for a material in a region over a range of dates, at every version of the region's list.
//! How a list comes to its entries is for `dated`; many prices in one act, for `price_changes`; reading them in their
//! order for a file or a change, for `price_walk`.

use chrono::{DateTime, Utc};
use hod_domain::id::{MaterialId, PriceId, RegionId};
use hod_domain::material::Supply;
use hod_domain::price::Price;
use hod_units::{Date, DateRange, canonical};
use sqlx::error::BoxDynError;

use self::terms::Columns;
use crate::dated::{self, Entry, Filter, Statements, statements};
use crate::fault::{Rules, StoreFault, broken};
use crate::material;
use crate::row::{Fields, FromRecord, once, pg_range};
use crate::session::Session;
use crate::stored::Stored;
use crate::thing::Thing;
use crate::words::Word;

mod rules;
pub(crate) mod terms;

pub(crate) use self::rules::{CALENDAR, RULES};

/// The columns of a price, as [`FromRecord`] reads them.
macro_rules! price_fields {
    () => {
        "row(price.price_id, price.material_id, price.unit_price, price.unit, price.in_force, price.supplier, \
         price.source, price.pack_size, price.minimum_order, price.break_rule, price.break_from, price.break_price, \
         price.load_m3, price.load_t, price.load_quantity, price.charge_per_load, price.charge_per_km, \
         price.distance_km, price.lead_days, price.note, price.version_in, price.created_at)"
    };
}
pub(crate) use price_fields;

/// What a price says: the columns that a copy over another range keeps.
macro_rules! price_says {
    () => {
        "material_id, supplier, unit, unit_price, source, pack_size, minimum_order, break_rule, break_from, \
         break_price, load_m3, load_t, load_quantity, charge_per_load, charge_per_km, distance_km, lead_days, note"
    };
}
pub(crate) use price_says;

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
            terms: terms::read(fields)?,
        };
        let version = fields.take()?;
        once(fields, version, price)
    }
}

impl Entry for Price {
    const STATEMENTS: Statements = statements!(
        "price", "price_id",
        fields: price_fields!(),
        key: "material_id = ($3::text[])[1] and supplier = ($3::text[])[2]",
        filter: "(($5::text[])[1] is null or material_id = ($5::text[])[1])",
        kept: price_says!()
    );
    const RULES: Rules = RULES;

    fn id(&self) -> &PriceId {
        &self.id
    }

    fn in_force(&self) -> DateRange {
        self.in_force
    }

    fn over(mut self, range: DateRange) -> Self {
        self.in_force = range;
        self
    }

    fn key(&self) -> Vec<&str> {
        vec![self.material.as_str(), &self.supplier]
    }

    fn told(&self) -> String {
        let Self {
            unit_price, unit, ..
        } = self;
        let terms = if self.terms == Default::default() {
            ""
        } else {
            ", with terms"
        };
        format!(
            "{} for one {}{terms}, {}",
            canonical(*unit_price),
            unit.word(),
            days(self.in_force)
        )
    }

    fn thing(region: &RegionId, id: &PriceId) -> Thing {
        Thing::price(region, id)
    }

    async fn write(
        &self,
        session: &mut Session,
        region: &RegionId,
        version: i64,
    ) -> Result<DateTime<Utc>, StoreFault> {
        let columns = Columns::of(self.unit_price, &self.terms)?;
        sqlx::query_scalar(concat!(
            "insert into price (firm_id, region_id, price_id, version_in, in_force, ",
            price_says!(),
            ") values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, \
             $22, $23) returning created_at"
        ))
        .bind(session.firm_uuid())
        .bind(region.as_str())
        .bind(self.id.as_str())
        .bind(version)
        .bind(pg_range(self.in_force))
        .bind(self.material.as_str())
        .bind(&self.supplier)
        .bind(self.unit.kept_word())
        .bind(columns.unit_price)
        .bind(&self.source)
        .bind(columns.pack_size)
        .bind(columns.minimum_order)
        .bind(columns.break_rule)
        .bind(columns.break_from)
        .bind(columns.break_price)
        .bind(columns.load_m3)
        .bind(columns.load_t)
        .bind(columns.load_quantity)
        .bind(columns.charge_per_load)
        .bind(columns.charge_per_km)
        .bind(columns.distance_km)
        .bind(columns.lead_days)
        .bind(&self.terms.note)
        .fetch_one(session.connection())
        .await
        .map_err(|error| broken(error, RULES, |_| None))
    }
}

/// Days of a range in words.
pub(crate) fn days(range: DateRange) -> String {
    let from = range.from();
    match range.last_day() {
        Some(last) => format!("from {from} to {last}"),
        None => format!("from {from} on"),
    }
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
    dated::get(session, region, id).await
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
    let filter = Filter {
        key: vec![filter.material.as_ref().map(MaterialId::as_str)],
        on: filter.on,
        list_version: filter.list_version,
    };
    dated::list(session, region, filter, after, limit).await
}

/// Puts a price in force and makes the next version of the region's list. The supplier's price of the material in force
/// on its first day ends the day before, or is replaced when it began that same day, and does not come back; the new one
/// ends where it says or where a later one of the supplier begins.
///
/// # Errors
/// [`StoreFault::Stale`], with what changed, when the supplier's prices of the material have changed since the version
/// `read` of the list; [`StoreFault::Taken`] when a price of the region has had its id.
pub async fn insert(
    session: &mut Session,
    region: &RegionId,
    price: &Price,
    read: Option<i64>,
) -> Result<Stored<Price>, StoreFault> {
    // Before the list is locked, so that a number that does not fit holds nobody up.
    Columns::of(price.unit_price, &price.terms)?;
    check_material(session, price).await?;
    dated::insert(session, region, price, read).await
}

/// Ends a price on a day with nothing in its place, and makes the next version of the region's list.
///
/// # Errors
/// [`StoreFault::Refused`] when the day is before its first, or not before the end that it has, or when another has
/// replaced it; [`StoreFault::Stale`] as of [`insert`].
pub async fn close(
    session: &mut Session,
    region: &RegionId,
    id: &PriceId,
    last_day: Date,
    read: Option<i64>,
) -> Result<Stored<Price>, StoreFault> {
    dated::close(session, region, id, last_day, read).await
}

/// A price is for what is bought, by the unit in which it is ordered.
async fn check_material(session: &mut Session, new: &Price) -> Result<(), StoreFault> {
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
