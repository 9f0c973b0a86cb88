//! Regions: where prices and labour rates hold, and the version that a region's list has reached.

use hod_domain::id::RegionId;
use hod_domain::region::{BuildUp, Discount, Profit, Region, Tax, Taxes};
use hod_units::{Currency, Decimal, Share};
use sqlx::error::BoxDynError;

use crate::exact::Exact;
use crate::fault::{DISPLAY_NAME, FIRM, ID, Rules, StoreFault, VERSION, broken};
use crate::row::{Fields, FromRecord, Record, values};
use crate::session::Session;
use crate::stored::{Stamp, Stored};
use crate::thing::Thing;
use crate::words::Word;

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
         region.profit_basis, region.profit_percent, region.tax_label, region.tax_percent, region.tax_basis, \
         region.version, region.created_at, region.updated_at)"
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
            build_up: BuildUp {
                site_overhead: fields.number(Share::from_percent)?,
                firm_overhead: fields.number(Share::from_percent)?,
                contingency: fields.number(Share::from_percent)?,
                profit: read_profit(fields)?,
                taxes: Taxes {
                    each: vec![Tax {
                        label: fields.take()?,
                        share: fields.number(Share::from_percent)?,
                        parts: Vec::new(),
                    }],
                    basis: fields.word()?,
                },
                allowances: Vec::new(),
                discount: Discount::None,
                minimum_charge: None,
                round_price_to: None,
                daywork: Share::ZERO,
            },
        };
        Ok(fields.stamp()?.on(region))
    }
}

fn read_profit(fields: &mut Fields<'_>) -> Result<Profit, BoxDynError> {
    let basis: String = fields.take()?;
    let share = fields.number(Share::from_percent)?;
    match basis.as_str() {
        "markup-on-cost" => Ok(Profit::MarkupOnCost(share)),
        "margin-on-price" => Ok(Profit::MarginOnPrice(share)),
        other => Err(format!("{other:?} is not a basis of profit").into()),
    }
}

/// The numbers of a region as they go in.
struct Numbers {
    site_overhead: Decimal,
    firm_overhead: Decimal,
    contingency: Decimal,
    profit_basis: &'static str,
    profit: Decimal,
    tax: Decimal,
}

impl Numbers {
    fn of(build_up: &BuildUp) -> Result<Self, StoreFault> {
        let (profit_basis, profit) = match build_up.profit {
            Profit::MarkupOnCost(share) => ("markup-on-cost", share),
            Profit::MarginOnPrice(share) => ("margin-on-price", share),
        };
        let mut exact = Exact::default();
        let numbers = Self {
            site_overhead: exact.number("site_overhead_percent", build_up.site_overhead.percent()),
            firm_overhead: exact.number("firm_overhead_percent", build_up.firm_overhead.percent()),
            contingency: exact.number("contingency_percent", build_up.contingency.percent()),
            profit_basis,
            profit: exact.number("profit_percent", profit.percent()),
            tax: exact.number(
                "tax_percent",
                build_up
                    .taxes
                    .each
                    .first()
                    .map_or(Decimal::ZERO, |tax| tax.share.percent()),
            ),
        };
        exact.check()?;
        Ok(numbers)
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
         tax_label, tax_percent, tax_basis) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) \
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
    .bind(region.build_up.taxes.each.first().map_or("", |tax| tax.label.as_str()))
    .bind(numbers.tax)
    .bind(region.build_up.taxes.basis.kept_word())
    .fetch_one(session.connection())
    .await;
    Ok(stamp
        .map_err(|error| refusal(error, region))?
        .on(region.clone()))
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
         profit_percent = $11, tax_label = $12, tax_percent = $13, tax_basis = $14, \
         version = version + 1, updated_at = now() \
         where firm_id = $1 and region_id = $2 and ($15::bigint is null or version = $15) \
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
    .bind(region.build_up.taxes.each.first().map_or("", |tax| tax.label.as_str()))
    .bind(numbers.tax)
    .bind(region.build_up.taxes.basis.kept_word())
    .bind(expected)
    .fetch_optional(session.connection())
    .await;
    match stamp.map_err(|error| refusal(error, region))? {
        Some(stamp) => Ok(stamp.on(region.clone())),
        None => {
            get(session, &region.id).await?;
            Err(StoreFault::Stale(Thing::from(&region.id)))
        }
    }
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
    match asked {
        Some(asked) if !(0..=reached).contains(&asked) => Err(StoreFault::refused(
            "list_version_reached",
            format!(
                "The list of region {id} has reached version {reached}; there is no version {asked} of it."
            ),
        )),
        _ => Ok(()),
    }
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
