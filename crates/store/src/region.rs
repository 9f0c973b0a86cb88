//! Regions: where prices and labour rates hold, and the version that a region's list has reached.

use hod_domain::id::RegionId;
use hod_domain::region::Region;
use hod_units::Currency;
use sqlx::error::BoxDynError;

use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, StoreFault, VERSION, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

mod build_up;
mod list;

use self::build_up::Numbers;
pub(crate) use self::list::{check_list_version, check_reached, next_list_version};
pub use self::list::{list_version, list_versions};

pub(crate) const RULES: Rules = &[
    ("region_firm_exists", FIRM),
    ("region_id_well_formed", ID),
    ("region_display_name_length", DISPLAY_NAME),
    (
        "region_parent_is_another",
        "A region cannot fall back to itself; name another region, or none.",
    ),
    (
        "region_chain_ends",
        "The regions would fall back to each other in a ring; the chain must end in a region that has no parent.",
    ),
    (
        "region_parent_has_its_currency",
        "A region and the region that it falls back to have one currency; change both, or take another parent.",
    ),
    (
        "region_currency_is_a_code",
        "A currency is the three capital letters of its ISO 4217 code.",
    ),
    (
        "region_list_has_its_currency",
        "The currency of a region is fixed once a price or a labour rate is kept there; make a new region for another currency.",
    ),
    (
        "region_rounding_known",
        "Money is rounded half away from zero or half to even.",
    ),
    (
        "region_site_overhead_in_range",
        "Site overhead is 0 to 100 percent.",
    ),
    (
        "region_firm_overhead_in_range",
        "Firm overhead is 0 to 100 percent.",
    ),
    (
        "region_contingency_in_range",
        "Contingency is 0 to 100 percent.",
    ),
    ("region_profit_in_range", "Profit is 0 to 100 percent."),
    (
        "region_profit_basis_known",
        "Profit is a markup on cost or a margin on price.",
    ),
    (
        "region_margin_below_whole",
        "A margin on the price is below 100 percent.",
    ),
    (
        "region_tax_label_length",
        "A tax label has at most 40 characters.",
    ),
    ("region_tax_in_range", "Tax is 0 to 100 percent."),
    ("region_tax_at_most_10", "A region has at most 10 taxes."),
    (
        "region_tax_parts_known",
        "A tax is on all of the price, or on material, labour, equipment, subcontract, fee, travel, provisional-sum, other or on-cost.",
    ),
    ("region_tax_region_exists", "A tax belongs to a region."),
    (
        "region_allowance_region_exists",
        "An allowance belongs to a region.",
    ),
    (
        "region_allowance_at_most_20",
        "A region has at most 20 allowances.",
    ),
    (
        "region_allowance_label_length",
        "The label of an allowance has 1 to 60 characters.",
    ),
    (
        "region_allowance_share_or_amount",
        "An allowance is a share or an amount; give one of the two.",
    ),
    (
        "region_allowance_percent_in_range",
        "An allowance that is a share is 0 to 100 percent.",
    ),
    (
        "region_allowance_amount_in_range",
        "An allowance that is an amount is 0 to 999999999.",
    ),
    (
        "region_allowance_amount_has_no_parts",
        "An allowance that is an amount is of no parts; leave them out, or give a share.",
    ),
    (
        "region_allowance_parts_known",
        "An allowance is of all direct cost, or of material, labour, equipment, subcontract, fee, travel, provisional-sum or other.",
    ),
    (
        "region_discount_share_or_amount",
        "A discount is a share or an amount, not both.",
    ),
    (
        "region_discount_percent_in_range",
        "A discount that is a share is 0 to 100 percent.",
    ),
    (
        "region_discount_amount_in_range",
        "A discount that is an amount is 0 to 999999999.",
    ),
    (
        "region_minimum_charge_in_range",
        "A minimum charge is 0 to 999999999.",
    ),
    (
        "region_round_price_to_in_range",
        "A price is brought to a multiple of 0.0001 to 999999999.",
    ),
    (
        "region_daywork_in_range",
        "What is added to an hour of daywork is 0 to 300 percent.",
    ),
    (
        "region_tax_basis_known",
        "Tax is rounded line by line or once an invoice.",
    ),
    ("region_version_positive", VERSION),
    (
        "region_list_region_exists",
        "A list of prices belongs to a region that exists.",
    ),
    ("region_list_version_positive", VERSION),
];

/// The columns of a region, as [`FromRecord`] reads them.
macro_rules! region_fields {
    () => {
        "row(region.region_id, region.display_name, region.parent_region_id, region.currency_code, region.rounding, \
         region.site_overhead_percent, region.firm_overhead_percent, region.contingency_percent, \
         region.profit_basis, region.profit_percent, \
         array(select row(tax.label, tax.percent, tax.parts) from region_tax as tax \
             where tax.firm_id = region.firm_id and tax.region_id = region.region_id order by tax.position), \
         region.tax_basis, \
         array(select row(allowance.label, allowance.percent, allowance.parts, allowance.amount) \
             from region_allowance as allowance \
             where allowance.firm_id = region.firm_id and allowance.region_id = region.region_id \
             order by allowance.position), \
         region.discount_percent, region.discount_amount, region.minimum_charge, region.round_price_to, \
         region.daywork_percent, region.version, region.created_at, region.updated_at)"
    };
}
pub(crate) use region_fields;

impl FromRecord for Stored<Region> {
    fn read(fields: &mut Fields<'_>) -> Result<Self, BoxDynError> {
        let region = Region {
            id: fields.id(RegionId::parse)?,
            display_name: fields.take()?,
            parent: fields.optional_id(RegionId::parse)?,
            currency: Currency::parse(&fields.take::<String>()?)?,
            rounding: fields.word()?,
            build_up: build_up::read(fields)?,
        };
        Ok(fields.stamp()?.on(region))
    }
}

fn refusal(error: sqlx::Error, region: &Region) -> StoreFault {
    broken(error, RULES, |rule| match (rule, &region.parent) {
        ("region_key", _) => Some(StoreFault::Taken(Thing::from(&region.id))),
        ("region_parent_exists", Some(parent)) => Some(StoreFault::not_found(parent.into())),
        _ => None,
    })
}

/// Reads one.
pub async fn get(session: &mut Session, id: &RegionId) -> Result<Stored<Region>, StoreFault> {
    let found: Option<Record<Stored<Region>>> = sqlx::query_scalar(concat!(
        "select ",
        region_fields!(),
        " from region where firm_id = $1 and region_id = $2"
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
    after: Option<&RegionId>,
    limit: u32,
) -> Result<Vec<Stored<Region>>, StoreFault> {
    let found: Vec<Record<Stored<Region>>> = sqlx::query_scalar(concat!(
        "select ",
        region_fields!(),
        " from region where firm_id = $1 and $2 < region_id order by region_id limit $3"
    ))
    .bind(session.firm_uuid())
    .bind(after.map_or("", RegionId::as_str))
    .bind(i64::from(limit))
    .fetch_all(session.connection())
    .await?;
    Ok(values(found))
}

/// Keeps a new one.
pub async fn insert(session: &mut Session, region: &Region) -> Result<Stored<Region>, StoreFault> {
    let numbers = Numbers::of(&region.build_up)?;
    let stamp: Result<Stamp, _> = sqlx::query_as(
        "insert into region (firm_id, region_id, display_name, parent_region_id, currency_code, rounding, \
         site_overhead_percent, firm_overhead_percent, contingency_percent, profit_basis, profit_percent, \
         tax_basis, discount_percent, discount_amount, minimum_charge, round_price_to, daywork_percent) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(region.id.as_str())
    .bind(&region.display_name)
    .bind(region.parent.as_ref().map(RegionId::as_str))
    .bind(region.currency.code())
    .bind(region.rounding.kept_word())
    .bind(numbers.site_overhead)
    .bind(numbers.firm_overhead)
    .bind(numbers.contingency)
    .bind(numbers.profit_basis)
    .bind(numbers.profit)
    .bind(region.build_up.taxes.basis.kept_word())
    .bind(numbers.discount_percent)
    .bind(numbers.discount_amount)
    .bind(numbers.minimum_charge)
    .bind(numbers.round_price_to)
    .bind(numbers.daywork)
    .fetch_one(session.connection())
    .await;
    let stamp = stamp.map_err(|error| refusal(error, region))?;
    build_up::insert_lists(session, region, &numbers).await?;
    Ok(stamp.on(region.clone()))
}

/// Puts new values in the place of the old; refused when `expected` is given and is no longer the version.
pub async fn update(
    session: &mut Session,
    region: &Region,
    expected: Option<i64>,
) -> Result<Stored<Region>, StoreFault> {
    let numbers = Numbers::of(&region.build_up)?;
    check_chain(session, region).await?;
    let stamp: Result<Option<Stamp>, _> = sqlx::query_as(
        "update region set display_name = $3, parent_region_id = $4, currency_code = $5, rounding = $6, \
         site_overhead_percent = $7, firm_overhead_percent = $8, contingency_percent = $9, profit_basis = $10, \
         profit_percent = $11, tax_basis = $12, discount_percent = $13, discount_amount = $14, minimum_charge = $15, \
         round_price_to = $16, daywork_percent = $17, version = version + 1, updated_at = now() \
         where firm_id = $1 and region_id = $2 and ($18::bigint is null or version = $18) \
         returning version, created_at, updated_at",
    )
    .bind(session.firm_uuid())
    .bind(region.id.as_str())
    .bind(&region.display_name)
    .bind(region.parent.as_ref().map(RegionId::as_str))
    .bind(region.currency.code())
    .bind(region.rounding.kept_word())
    .bind(numbers.site_overhead)
    .bind(numbers.firm_overhead)
    .bind(numbers.contingency)
    .bind(numbers.profit_basis)
    .bind(numbers.profit)
    .bind(region.build_up.taxes.basis.kept_word())
    .bind(numbers.discount_percent)
    .bind(numbers.discount_amount)
    .bind(numbers.minimum_charge)
    .bind(numbers.round_price_to)
    .bind(numbers.daywork)
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    let Some(stamp) = stamp.map_err(|error| refusal(error, region))? else {
        get(session, &region.id).await?;
        return Err(StoreFault::stale(Thing::from(&region.id)));
    };
    build_up::delete_lists(session, region).await?;
    build_up::insert_lists(session, region, &numbers).await?;
    Ok(stamp.on(region.clone()))
}

/// Refuses a parent from which the chain leads back. The firm's regions are locked first, so that two changes at once
/// cannot close a ring between them.
async fn check_chain(session: &mut Session, region: &Region) -> Result<(), StoreFault> {
    let Some(parent) = region
        .parent
        .as_ref()
        .filter(|parent| **parent != region.id)
    else {
        return Ok(());
    };
    sqlx::query("select from region where firm_id = $1 order by region_id for no key update")
        .bind(session.firm_uuid())
        .execute(session.connection())
        .await?;
    let leads_back: bool = sqlx::query_scalar(
        "with recursive chain (region_id) as ( \
             select $2::text collate \"C\" \
             union \
             select parent_region_id from chain join region using (region_id) \
             where firm_id = $1 and parent_region_id is not null) \
         select exists (select from chain where region_id = $3)",
    )
    .bind(session.firm_uuid())
    .bind(parent.as_str())
    .bind(region.id.as_str())
    .fetch_one(session.connection())
    .await?;
    if leads_back {
        return Err(kept_rule("region_chain_ends"));
    }
    Ok(())
}

/// A rule of [`RULES`] that no constraint can keep.
fn kept_rule(rule: &'static str) -> StoreFault {
    let sentence = RULES
        .iter()
        .find(|(name, _)| *name == rule)
        .map_or("", |(_, sentence)| sentence);
    StoreFault::refused(rule, sentence)
}
