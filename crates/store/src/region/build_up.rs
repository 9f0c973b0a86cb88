//! A region's build-up as columns, and its taxes and allowances as rows of their own beside the region's.

use hod_domain::region::{
    Allowance, AllowanceAmount, BuildUp, Discount, PricePart, Profit, Region, Tax, Taxes,
};
use hod_units::{Decimal, Share};
use sqlx::error::BoxDynError;

use super::RULES;
use crate::exact::{Exact, TOTAL_PLACES_MAX};
use crate::fault::{StoreFault, broken};
use crate::row::Fields;
use crate::session::Session;
use crate::words::Word;

/// The fields of a build-up, from the overheads to the daywork.
pub(super) fn read(fields: &mut Fields<'_>) -> Result<BuildUp, BoxDynError> {
    Ok(BuildUp {
        site_overhead: fields.number(Share::from_percent)?,
        firm_overhead: fields.number(Share::from_percent)?,
        contingency: fields.number(Share::from_percent)?,
        profit: read_profit(fields)?,
        taxes: Taxes {
            each: read_taxes(fields)?,
            basis: fields.word()?,
        },
        allowances: read_allowances(fields)?,
        discount: read_discount(fields)?,
        minimum_charge: fields.take()?,
        round_price_to: fields.take()?,
        daywork: fields.number(Share::from_percent)?,
    })
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

fn read_taxes(fields: &mut Fields<'_>) -> Result<Vec<Tax>, BoxDynError> {
    let rows: Vec<(String, Decimal, Vec<String>)> = fields.take()?;
    rows.into_iter()
        .map(|(label, percent, parts)| {
            Ok(Tax {
                label,
                share: Share::from_percent(percent),
                parts: read_parts(&parts)?,
            })
        })
        .collect()
}

/// A row of an allowance: label, share in percent, parts that it is of, amount.
type AllowanceRow = (String, Option<Decimal>, Vec<String>, Option<Decimal>);

fn read_allowances(fields: &mut Fields<'_>) -> Result<Vec<Allowance>, BoxDynError> {
    let rows: Vec<AllowanceRow> = fields.take()?;
    rows.into_iter()
        .map(|(label, percent, parts, amount)| {
            let amount = match (percent, amount) {
                (Some(percent), None) => {
                    AllowanceAmount::Of(Share::from_percent(percent), read_parts(&parts)?)
                }
                (None, Some(amount)) => AllowanceAmount::Fixed(amount),
                _ => {
                    return Err(format!(
                        "the allowance {label:?} is neither a share nor an amount"
                    )
                    .into());
                }
            };
            Ok(Allowance { label, amount })
        })
        .collect()
}

fn read_parts(words: &[String]) -> Result<Vec<PricePart>, BoxDynError> {
    words.iter().map(|word| PricePart::read(word)).collect()
}

fn read_discount(fields: &mut Fields<'_>) -> Result<Discount, BoxDynError> {
    let percent: Option<Decimal> = fields.take()?;
    let amount: Option<Decimal> = fields.take()?;
    match (percent, amount) {
        (None, None) => Ok(Discount::None),
        (Some(percent), None) => Ok(Discount::Of(Share::from_percent(percent))),
        (None, Some(amount)) => Ok(Discount::Fixed(amount)),
        (Some(_), Some(_)) => Err("a discount is a share or an amount, not both".into()),
    }
}

/// The numbers of a region as they go in.
pub(super) struct Numbers {
    pub(super) site_overhead: Decimal,
    pub(super) firm_overhead: Decimal,
    pub(super) contingency: Decimal,
    pub(super) profit_basis: &'static str,
    pub(super) profit: Decimal,
    pub(super) discount_percent: Option<Decimal>,
    pub(super) discount_amount: Option<Decimal>,
    pub(super) minimum_charge: Option<Decimal>,
    pub(super) round_price_to: Option<Decimal>,
    pub(super) daywork: Decimal,
    tax_percents: Vec<Decimal>,
    /// Percent, parts, amount.
    allowances: Vec<(Option<Decimal>, Vec<&'static str>, Option<Decimal>)>,
}

impl Numbers {
    pub(super) fn of(build_up: &BuildUp) -> Result<Self, StoreFault> {
        let (profit_basis, profit) = match build_up.profit {
            Profit::MarkupOnCost(share) => ("markup-on-cost", share),
            Profit::MarginOnPrice(share) => ("margin-on-price", share),
        };
        let mut exact = Exact::default();
        let (discount_percent, discount_amount) = discount(build_up.discount, &mut exact);
        let tax = |tax: &Tax, exact: &mut Exact| {
            exact.number(
                &format!("percent of the tax {}", tax.label),
                tax.share.percent(),
            )
        };
        let taxes = &build_up.taxes.each;
        let allowances = &build_up.allowances;
        let numbers = Self {
            site_overhead: exact.number("site_overhead_percent", build_up.site_overhead.percent()),
            firm_overhead: exact.number("firm_overhead_percent", build_up.firm_overhead.percent()),
            contingency: exact.number("contingency_percent", build_up.contingency.percent()),
            profit_basis,
            profit: exact.number("profit_percent", profit.percent()),
            discount_percent,
            discount_amount,
            minimum_charge: money(&mut exact, "minimum_charge", build_up.minimum_charge),
            round_price_to: money(&mut exact, "round_price_to", build_up.round_price_to),
            daywork: exact.number("daywork_percent", build_up.daywork.percent()),
            tax_percents: taxes.iter().map(|each| tax(each, &mut exact)).collect(),
            allowances: allowances
                .iter()
                .map(|each| allowance(each, &mut exact))
                .collect(),
        };
        exact.check()?;
        Ok(numbers)
    }
}

fn money(exact: &mut Exact, column: &str, amount: Option<Decimal>) -> Option<Decimal> {
    amount.map(|amount| exact.places(column, amount, TOTAL_PLACES_MAX))
}

/// Percent and amount of a discount.
fn discount(discount: Discount, exact: &mut Exact) -> (Option<Decimal>, Option<Decimal>) {
    match discount {
        Discount::None => (None, None),
        Discount::Of(share) => (
            Some(exact.number("discount_percent", share.percent())),
            None,
        ),
        Discount::Fixed(amount) => (None, money(exact, "discount_amount", Some(amount))),
    }
}

/// Percent, parts and amount of an allowance.
fn allowance(
    allowance: &Allowance,
    exact: &mut Exact,
) -> (Option<Decimal>, Vec<&'static str>, Option<Decimal>) {
    let label = &allowance.label;
    match &allowance.amount {
        AllowanceAmount::Of(share, parts) => {
            let column = format!("percent of the allowance {label}");
            (
                Some(exact.number(&column, share.percent())),
                part_words(parts),
                None,
            )
        }
        AllowanceAmount::Fixed(amount) => {
            let column = format!("amount of the allowance {label}");
            (None, Vec::new(), money(exact, &column, Some(*amount)))
        }
    }
}

fn part_words(parts: &[PricePart]) -> Vec<&'static str> {
    parts.iter().map(|part| part.kept_word()).collect()
}

/// Puts in the taxes and the allowances of a region.
pub(super) async fn insert_lists(
    session: &mut Session,
    region: &Region,
    numbers: &Numbers,
) -> Result<(), StoreFault> {
    let taxes = region.build_up.taxes.each.iter().zip(&numbers.tax_percents);
    for (position, (tax, percent)) in (1_i16..).zip(taxes) {
        sqlx::query(
            "insert into region_tax (firm_id, region_id, position, label, percent, parts) \
             values ($1, $2, $3, $4, $5, $6)",
        )
        .bind(session.firm_uuid())
        .bind(region.id.as_str())
        .bind(position)
        .bind(&tax.label)
        .bind(percent)
        .bind(part_words(&tax.parts))
        .execute(session.connection())
        .await
        .map_err(|error| broken(error, RULES, |_| None))?;
    }
    let allowances = region.build_up.allowances.iter().zip(&numbers.allowances);
    for (position, (allowance, (percent, parts, amount))) in (1_i16..).zip(allowances) {
        sqlx::query(
            "insert into region_allowance (firm_id, region_id, position, label, percent, parts, amount) \
             values ($1, $2, $3, $4, $5, $6, $7)",
        )
        .bind(session.firm_uuid())
        .bind(region.id.as_str())
        .bind(position)
        .bind(&allowance.label)
        .bind(percent)
        .bind(parts)
        .bind(amount)
        .execute(session.connection())
        .await
        .map_err(|error| broken(error, RULES, |_| None))?;
    }
    Ok(())
}

/// Takes out the taxes and the allowances of a region, for others to come in.
pub(super) async fn delete_lists(session: &mut Session, region: &Region) -> Result<(), StoreFault> {
    for statement in [
        "delete from region_tax where firm_id = $1 and region_id = $2",
        "delete from region_allowance where firm_id = $1 and region_id = $2",
    ] {
        sqlx::query(statement)
            .bind(session.firm_uuid())
            .bind(region.id.as_str())
            .execute(session.connection())
            .await?;
    }
    Ok(())
}
