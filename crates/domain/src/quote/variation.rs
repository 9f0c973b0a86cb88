//! Variations: work agreed under an accepted quote, at its currency, rounding and taxes. The number of one, and that it is
//! never changed, is for whoever keeps it.

use hod_units::{Currency, Date, Decimal, Money, Rounding};

use super::offer::OfferTax;
use super::taxed::{self, Taxed};
use crate::fault::{Fault, too_large};
use crate::region::{Tax, Taxes};
use crate::unit::Unit;

/// How many days a variation may add or save.
const DAYS: std::ops::RangeInclusive<i32> = -1000..=1000;

/// How many lines it may have.
const LINES: std::ops::RangeInclusive<usize> = 1..=200;

/// What holds of the quote that a variation is agreed under.
#[derive(Debug, Clone, PartialEq)]
pub struct VariedQuote {
    /// Of every amount.
    pub currency: Currency,
    /// How money is rounded.
    pub rounding: Rounding,
    /// Its taxes.
    pub taxes: Taxes,
    /// When it was accepted; `None` when it is not.
    pub accepted_on: Option<Date>,
}

/// Work that was agreed.
#[derive(Debug, Clone, PartialEq)]
pub struct VariationTerms {
    /// When: not before acceptance and not after today.
    pub agreed_date: Date,
    /// Days that it adds; below 0 for days that it saves.
    pub days: i32,
    /// What is more or less, 1 to 200.
    pub lines: Vec<VariationTerm>,
    /// Which of the quote's taxes are on it, by label; none: those that are on the whole price.
    pub tax_labels: Vec<String>,
}

/// A line of it, as agreed.
#[derive(Debug, Clone, PartialEq)]
pub struct VariationTerm {
    /// What it is.
    pub item: String,
    /// How much, not 0; below 0 for what falls away.
    pub quantity: Decimal,
    /// What it is counted in.
    pub unit: Unit,
    /// Money to one unit before tax; not below 0.
    pub unit_price: Decimal,
}

/// A variation with what it comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Variation {
    /// Of each line, in their order: quantity times unit price, rounded.
    pub amounts: Vec<Money>,
    /// The sum of them.
    pub price_before_tax: Money,
    /// The taxes, each on all of it.
    pub taxes: Vec<OfferTax>,
    /// Price and taxes; below 0 where more falls away than is added.
    pub total: Money,
}

/// What a variation comes to; refused with everything that does not hold. A fault of what was agreed names its field, one
/// of the quote none.
///
/// ```
/// use hod_domain::quote::{VariationTerm, VariationTerms, VariedQuote, variation};
/// use hod_domain::region::{Tax, TaxBasis, Taxes};
/// use hod_domain::unit::Unit;
/// use hod_units::{Currency, Money, Rounding, Share, parse_date};
/// use rust_decimal::dec;
///
/// let euro = Currency::parse("EUR")?;
/// let tax = Tax { label: "VAT".to_owned(), share: Share::from_percent(dec!(21)), parts: vec![] };
/// let quote = VariedQuote {
///     currency: euro,
///     rounding: Rounding::default(),
///     taxes: Taxes { each: vec![tax], basis: TaxBasis::Invoice },
///     accepted_on: Some(parse_date("2026-04-01")?),
/// };
/// let line = |item: &str, quantity, unit, unit_price| VariationTerm { item: item.to_owned(), quantity, unit, unit_price };
/// let terms = VariationTerms {
///     agreed_date: parse_date("2026-05-10")?,
///     days: 2,
///     // A niche more at 185.00, and 3.5 m2 of plaster less at 42.30: 185.00 - 148.05 = 36.95.
///     lines: vec![
///         line("niche by the stove", dec!(1), Unit::Each, dec!(185)),
///         line("plaster behind the stove", dec!(-3.5), Unit::M2, dec!(42.3)),
///     ],
///     tax_labels: vec![],
/// };
/// let varied = variation(&quote, &terms, parse_date("2026-05-12")?).expect("it holds");
/// assert_eq!(varied.amounts[1], Money::new(dec!(-148.05), euro));
/// assert_eq!(varied.price_before_tax, Money::new(dec!(36.95), euro));
/// // 21 % of 36.95 is 7.7595.
/// assert_eq!(varied.total, Money::new(dec!(44.71), euro));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn variation(
    quote: &VariedQuote,
    terms: &VariationTerms,
    today: Date,
) -> Result<Variation, Vec<Fault>> {
    let mut faults = date_faults(quote.accepted_on, terms.agreed_date, today);
    faults.extend(size_faults(terms));
    for (at, line) in terms.lines.iter().enumerate() {
        faults.extend(line_faults(at, line));
    }
    let taxes = match taxes(&quote.taxes, &terms.tax_labels) {
        Ok(taxes) if faults.is_empty() => taxes,
        Ok(_) => return Err(faults),
        Err(found) => {
            faults.extend(found);
            return Err(faults);
        }
    };
    reckoned(quote, &terms.lines, &taxes).ok_or_else(|| vec![too_large("the variation")])
}

fn reckoned(quote: &VariedQuote, lines: &[VariationTerm], taxes: &[&Tax]) -> Option<Variation> {
    let VariedQuote {
        currency, rounding, ..
    } = *quote;
    let amount = |line: &VariationTerm| {
        let amount = line.quantity.checked_mul(line.unit_price)?;
        Some(Money::new(amount, currency).rounded(rounding))
    };
    let amounts: Vec<Money> = lines.iter().map(amount).collect::<Option<_>>()?;
    let taxes = taxes.iter().map(|tax| {
        let how = (currency, rounding);
        let Taxed { base, amount } = taxed::levied(&amounts, tax, quote.taxes.basis, how)?;
        Some(OfferTax {
            label: tax.called().to_owned(),
            share: tax.share,
            base,
            amount,
        })
    });
    let taxes: Vec<OfferTax> = taxes.collect::<Option<_>>()?;
    let price_before_tax = Money::checked_sum(currency, amounts.iter().copied()).ok()?;
    let tax = Money::checked_sum(currency, taxes.iter().map(|tax| tax.amount)).ok()?;
    Some(Variation {
        amounts,
        price_before_tax,
        taxes,
        total: price_before_tax.checked_add(tax).ok()?,
    })
}

/// The quote's taxes that are on it: those named, or those that are on the whole price.
fn taxes<'a>(quoted: &'a Taxes, labels: &[String]) -> Result<Vec<&'a Tax>, Vec<Fault>> {
    let on_all = || quoted.each.iter().filter(|tax| tax.parts.is_empty());
    if labels.is_empty() {
        return Ok(on_all().collect());
    }
    let mut faults = Vec::new();
    for (at, named) in labels.iter().enumerate() {
        let field = format!("variation.tax_labels[{at}]");
        if labels[..at].contains(named) {
            faults.push(Fault::of_field(
                field,
                "TAX_TWICE",
                format!("the tax {named:?} is named twice; name each once"),
            ));
        } else if quoted.each.iter().all(|tax| tax.called() != named) {
            let there: Vec<&str> = quoted.each.iter().map(Tax::called).collect();
            let there = match there.as_slice() {
                [] => "the quote has no tax".to_owned(),
                there => format!("name {}", there.join(" or ")),
            };
            faults.push(Fault::of_field(
                field,
                "TAX_NOT_ON_QUOTE",
                format!(
                    "the quote has no tax {named:?}; {there}, or none for those on the whole price"
                ),
            ));
        }
    }
    let is_named = |tax: &&Tax| labels.iter().any(|named| named == tax.called());
    if faults.is_empty() {
        Ok(quoted.each.iter().filter(is_named).collect())
    } else {
        Err(faults)
    }
}

fn date_faults(accepted_on: Option<Date>, agreed: Date, today: Date) -> Vec<Fault> {
    let field = "variation.agreed_date";
    let mut faults = Vec::new();
    match accepted_on {
        None => faults.push(Fault::of_resource(
            "",
            "QUOTE_NOT_ACCEPTED",
            "the quote is not accepted; accept it first, or issue a revision",
        )),
        Some(accepted) if agreed < accepted => faults.push(Fault::of_field(
            field,
            "AGREED_BEFORE_ACCEPTANCE",
            format!("{agreed} is before {accepted}, when the quote was accepted; give a day at or after that"),
        )),
        Some(_) => {}
    }
    if today < agreed {
        faults.push(Fault::of_field(
            field,
            "DATE_AFTER_TODAY",
            format!("{agreed} is still to come; give a day that has come"),
        ));
    }
    faults
}

fn size_faults(terms: &VariationTerms) -> Vec<Fault> {
    let mut faults = Vec::new();
    if !DAYS.contains(&terms.days) {
        faults.push(Fault::of_field(
            "variation.days",
            "DAYS_OUT_OF_RANGE",
            format!(
                "{} days are out of range; give {} to {}",
                terms.days,
                DAYS.start(),
                DAYS.end()
            ),
        ));
    }
    let count = terms.lines.len();
    if !LINES.contains(&count) {
        faults.push(Fault::of_field(
            "variation.lines",
            "LINES_OUT_OF_RANGE",
            format!(
                "a variation of {count} lines cannot be kept; give {} to {}",
                LINES.start(),
                LINES.end()
            ),
        ));
    }
    faults
}

fn line_faults(at: usize, line: &VariationTerm) -> Vec<Fault> {
    let mut faults = Vec::new();
    if line.quantity.is_zero() {
        faults.push(Fault::of_field(
            format!("variation.lines[{at}].quantity"),
            "QUANTITY_ZERO",
            format!(
                "{:?} has a quantity of 0; say how much, below 0 for what falls away",
                line.item
            ),
        ));
    }
    if line.unit_price < Decimal::ZERO {
        faults.push(Fault::of_field(
            format!("variation.lines[{at}].unit_price"),
            "UNIT_PRICE_NEGATIVE",
            format!(
                "{:?} has a price below 0; give what falls away a quantity below 0 instead",
                line.item
            ),
        ));
    }
    faults
}
