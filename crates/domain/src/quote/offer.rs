//! The offer: what a client sees of an estimate. Lines that add up to the price, taxes, payments, what is not in it and
//! what it rests on; never the make-up of the cost. What was measured is added by whoever writes it down.

use hod_units::{Currency, Date, Money, Share};

use super::heading::{self, OfferLine};
use super::knowledge;
use super::payment::{Payments, Retention, Stage, StageTerm, payments};
use super::priced::{HourRate, PricedEstimate, PricedLine};
use super::provisional::{ProvisionalReason, provisional_reasons};
use super::taxed::{self, Taxed};
use crate::fault::{Fault, collect, too_large};
use crate::job::ScopeLine;
use crate::region::Tax;

/// For how many days an offer may be valid.
const VALIDITY_DAYS: std::ops::RangeInclusive<u32> = 1..=365;

/// On what terms an estimate is issued.
#[derive(Debug, Clone, PartialEq)]
pub struct IssueTerms {
    /// To whom.
    pub client: String,
    /// What people call the site.
    pub site_display_name: String,
    /// When it is issued: not after today, and not before the day of the prices.
    pub issue_date: Date,
    /// Days that it is valid after that, 1 to 365.
    pub validity_days: u32,
    /// The firm's terms; may be empty.
    pub terms: String,
    /// What else is not in the price.
    pub exclusions: Vec<String>,
    /// What else the price rests on.
    pub assumptions: Vec<String>,
    /// The payments; none: all of it on completion.
    pub stages: Vec<StageTerm>,
    /// What is held back.
    pub retention: Retention,
    /// Why it goes out although it is provisional.
    pub provisional_reasons: Vec<ProvisionalReason>,
    /// The number of the quote that it revises; 0 for none.
    pub revised_number: u32,
}

/// What a tax comes to on an offer or a variation.
#[derive(Debug, Clone, PartialEq)]
pub struct OfferTax {
    /// What it is called.
    pub label: String,
    /// Of what it is on.
    pub share: Share,
    /// What it is on.
    pub base: Money,
    /// Rounded.
    pub amount: Money,
}

/// What the client sees. Its lines and adjustments add up to the price before tax, that and the taxes to the total, and
/// the stages to the total.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// The number, from 1; 0 until it has one.
    pub number: u32,
    /// What people call the job.
    pub display_name: String,
    /// To whom.
    pub client: String,
    /// What people call the site.
    pub site_display_name: String,
    /// When it was issued.
    pub issue_date: Date,
    /// Its last valid day.
    pub valid_until: Date,
    /// The day whose prices it rests on.
    pub price_date: Date,
    /// Of every amount.
    pub currency: Currency,
    /// The number of the quote that it revises; 0 for none.
    pub revised_number: u32,
    /// The lines.
    pub lines: Vec<OfferLine>,
    /// Income, discount, minimum charge and rounding, where they are not 0.
    pub adjustments: Vec<OfferLine>,
    /// Lines and adjustments.
    pub price_before_tax: Money,
    /// The taxes.
    pub taxes: Vec<OfferTax>,
    /// Price and taxes.
    pub total: Money,
    /// The parts of the building and who does them.
    pub scope: Vec<ScopeLine>,
    /// What is not in the price.
    pub exclusions: Vec<String>,
    /// What the price rests on without its being known.
    pub assumptions: Vec<String>,
    /// The firm's terms.
    pub terms: String,
    /// The payments.
    pub stages: Vec<Stage>,
    /// What is held back.
    pub retention: Retention,
    /// Held back in all.
    pub retained: Money,
    /// What an hour costs when work is paid by the hour.
    pub daywork_rates: Vec<HourRate>,
    /// Why it is only provisional, each with the reason written down; none: it is not.
    pub provisional_reasons: Vec<ProvisionalReason>,
}

impl Offer {
    /// Whether it is only provisional.
    pub fn is_provisional(&self) -> bool {
        !self.provisional_reasons.is_empty()
    }
}

/// What a client sees of an estimate, issued on these terms. It has no number yet. Refused with everything that does not
/// hold: a fault of the terms names its field, one of the estimate none.
///
/// ```
/// use hod_domain::estimate::LineKind;
/// use hod_domain::quote::{self, IssueTerms, PricedEstimate, PricedLine, Retention};
/// use hod_domain::region::{BuildUp, Profit, Tax, TaxBasis, Taxes};
/// use hod_domain::unit::Unit;
/// use hod_units::{Currency, Decimal, Money, Rounding, Share, parse_date};
/// use rust_decimal::dec;
///
/// let euro = Currency::parse("EUR")?;
/// let money = |amount| Money::new(amount, euro);
/// let line = |kind, item: &str, quantity, unit, unit_price: Option<Decimal>, amount| PricedLine {
///     kind,
///     item: item.to_owned(),
///     quantity,
///     unit,
///     unit_price,
///     amount: money(amount),
///     part: None,
/// };
/// // Sand for 100.00 and a permit for 50.00; 10 % profit on 150.00 is 15.00; 20 % tax of 165.00 is 33.00.
/// let lines = vec![
///     line(LineKind::Material, "sand", dec!(4), Unit::T, Some(dec!(25)), dec!(100.00)),
///     line(LineKind::Fee, "building permit", dec!(1), Unit::Sum, Some(dec!(50)), dec!(50.00)),
///     line(LineKind::Profit, "profit", dec!(10), Unit::Percent, None, dec!(15.00)),
///     line(LineKind::Tax, "tax", dec!(20), Unit::Percent, None, dec!(33.00)),
/// ];
/// let tax = Tax { label: String::new(), share: Share::from_percent(dec!(20)), parts: vec![] };
/// let build_up = BuildUp {
///     profit: Profit::MarkupOnCost(Share::from_percent(dec!(10))),
///     taxes: Taxes { each: vec![tax], basis: TaxBasis::Invoice },
///     ..BuildUp::default()
/// };
/// let estimate = PricedEstimate {
///     display_name: "garden wall".to_owned(),
///     currency: euro,
///     rounding: Rounding::default(),
///     price_date: parse_date("2026-03-01")?,
///     lines,
///     labour: vec![],
///     works: vec![],
///     scope: vec![],
///     measured: vec![],
///     build_up,
///     daywork_rates: vec![],
///     cautions: vec![],
///     provisional: vec![],
///     lift_count: 4,
/// };
/// let terms = IssueTerms {
///     client: "the people at the mill".to_owned(),
///     site_display_name: "the mill".to_owned(),
///     issue_date: parse_date("2026-03-05")?,
///     validity_days: 30,
///     terms: String::new(),
///     exclusions: vec![],
///     assumptions: vec![],
///     stages: vec![],
///     retention: Retention { share: Share::ZERO, months: 0 },
///     provisional_reasons: vec![],
///     revised_number: 0,
/// };
/// let offer = quote::offer(&estimate, &terms, parse_date("2026-03-05")?).expect("it holds");
/// // The profit of 15.00 is shared 100 : 50, so the client sees 110.00 and 55.00.
/// assert_eq!(offer.lines[0].item, "Walls and works as measured");
/// assert_eq!(offer.lines[0].amount, money(dec!(110.00)));
/// assert_eq!(offer.lines[1].amount, money(dec!(55.00)));
/// assert_eq!(offer.price_before_tax, money(dec!(165.00)));
/// assert_eq!(offer.total, money(dec!(198.00)));
/// assert_eq!(offer.valid_until, parse_date("2026-04-04")?);
/// assert_eq!(offer.exclusions[3], "roof: nothing was said about it; it is not in this price");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn offer(
    estimate: &PricedEstimate,
    terms: &IssueTerms,
    today: Date,
) -> Result<Offer, Vec<Fault>> {
    let mut faults = Vec::new();
    let valid_until = collect(&mut faults, valid_until(terms, estimate.price_date, today));
    let reasons = provisional_reasons(&estimate.provisional, &terms.provisional_reasons);
    let reasons = collect(&mut faults, reasons);
    let price = Price::of(estimate).ok_or_else(|| vec![too_large("the price of the offer")]);
    let price = collect(&mut faults, price);
    let total = price
        .as_ref()
        .map_or_else(|| Money::zero(estimate.currency), |price| price.total);
    let payments = payments(
        total,
        &terms.stages,
        terms.retention,
        estimate.lift_count,
        estimate.rounding,
    );
    let payments = collect(&mut faults, payments);
    match (valid_until, reasons, price, payments) {
        (Some(valid_until), Some(reasons), Some(price), Some(payments)) => Ok(composed(
            estimate,
            terms,
            valid_until,
            reasons,
            price,
            payments,
        )),
        _ => Err(faults),
    }
}

fn composed(
    estimate: &PricedEstimate,
    terms: &IssueTerms,
    valid_until: Date,
    provisional_reasons: Vec<ProvisionalReason>,
    price: Price,
    payments: Payments,
) -> Offer {
    Offer {
        number: 0,
        display_name: estimate.display_name.clone(),
        client: terms.client.clone(),
        site_display_name: terms.site_display_name.clone(),
        issue_date: terms.issue_date,
        valid_until,
        price_date: estimate.price_date,
        currency: estimate.currency,
        revised_number: terms.revised_number,
        lines: price.lines,
        adjustments: price.adjustments,
        price_before_tax: price.before_tax,
        taxes: price.taxes,
        total: price.total,
        scope: estimate.scope.clone(),
        exclusions: knowledge::exclusions(estimate, &terms.exclusions),
        assumptions: knowledge::assumptions(estimate, valid_until, &terms.assumptions),
        terms: terms.terms.clone(),
        stages: payments.stages,
        retention: terms.retention,
        retained: payments.retained,
        daywork_rates: estimate.daywork_rates.clone(),
        provisional_reasons,
    }
}

/// The last valid day; refused when the days of the terms do not hold.
fn valid_until(terms: &IssueTerms, price_date: Date, today: Date) -> Result<Date, Vec<Fault>> {
    let (issue, days) = (terms.issue_date, terms.validity_days);
    let mut faults = Vec::new();
    if today < issue {
        faults.push(Fault::of_field(
            "issue_date",
            "DATE_AFTER_TODAY",
            format!("{issue} is still to come; give a day that has come"),
        ));
    }
    if issue < price_date {
        faults.push(Fault::of_field(
            "issue_date",
            "ISSUED_BEFORE_ITS_PRICES",
            format!(
                "{issue} is before {price_date}, the day of the prices; give a day at or after that"
            ),
        ));
    }
    if !VALIDITY_DAYS.contains(&days) {
        faults.push(Fault::of_field(
            "validity_days",
            "VALIDITY_OUT_OF_RANGE",
            format!(
                "{days} days of validity are out of range; give {} to {}",
                VALIDITY_DAYS.start(),
                VALIDITY_DAYS.end()
            ),
        ));
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    // A year at the most, so that the days can be told off one by one.
    let last = usize::try_from(days)
        .ok()
        .and_then(|days| issue.iter_days().nth(days));
    last.ok_or_else(|| vec![too_large("the last valid day")])
}

/// The money of an offer.
struct Price {
    lines: Vec<OfferLine>,
    adjustments: Vec<OfferLine>,
    before_tax: Money,
    taxes: Vec<OfferTax>,
    total: Money,
}

impl Price {
    /// `None` on overflow, or where on-cost stands on nothing.
    fn of(estimate: &PricedEstimate) -> Option<Self> {
        let lines = heading::headings(estimate)?;
        let adjustments = heading::adjustments(estimate);
        let taxes: Vec<OfferTax> = heading::taxes(estimate)
            .zip(&estimate.build_up.taxes.each)
            .map(|(line, tax)| offer_tax(estimate, line, tax))
            .collect::<Option<_>>()?;
        let amounts = lines.iter().chain(&adjustments).map(|line| line.amount);
        let before_tax = Money::checked_sum(estimate.currency, amounts).ok()?;
        let amounts = taxes.iter().map(|tax| tax.amount);
        let tax = Money::checked_sum(estimate.currency, amounts).ok()?;
        Some(Self {
            lines,
            adjustments,
            before_tax,
            taxes,
            total: before_tax.checked_add(tax).ok()?,
        })
    }
}

/// A tax as its line has it, with what it is on.
fn offer_tax(estimate: &PricedEstimate, line: &PricedLine, tax: &Tax) -> Option<OfferTax> {
    let how = (estimate.currency, estimate.rounding);
    let basis = estimate.build_up.taxes.basis;
    let Taxed { base, .. } = taxed::taxed(&estimate.lines, tax, basis, how)?;
    Some(OfferTax {
        label: line.item.clone(),
        share: tax.share,
        base,
        amount: line.amount,
    })
}
