//! A step of the build-up as a rule that can be worked on other lines than its own: what the old percentage, discount or tax
//! comes to on what now stands before it.

use hod_units::{Decimal, Money, Rounding, Share};

use super::pair::Pair;
use crate::build_up::multiples;
use crate::estimate::LineKind;
use crate::quote::taxed;
use crate::quote::{PricedEstimate, PricedLine};
use crate::region::{AllowanceAmount, Discount, PricePart, Profit, Tax, TaxBasis};

/// What a step is reckoned by in one estimate.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Rule<'a> {
    /// There is no such step.
    Absent,
    /// Within direct cost.
    Allowance(&'a AllowanceAmount),
    /// Of direct cost.
    SiteOverhead(Share),
    /// Of direct cost and site overhead.
    FirmOverhead(Share),
    /// Of the cost so far.
    Contingency(Share),
    /// Of the cost so far, or of the price.
    Profit(Profit),
    /// Of the price less income.
    Discount(Discount),
    /// Up to the least that is charged.
    MinimumCharge(Decimal),
    /// To a multiple, but not below the least that is charged.
    Rounding(Decimal, Option<Decimal>),
    /// Of the price, or of parts of it.
    Tax(&'a Tax, TaxBasis),
}

impl<'a> Rule<'a> {
    /// The rule of a step in one of the two estimates.
    pub fn of(estimate: &'a PricedEstimate, pair: &Pair) -> Self {
        let build_up = &estimate.build_up;
        let item = pair
            .before
            .or(pair.after)
            .map_or("", |line| line.item.as_str());
        match pair.kind {
            LineKind::Overhead if pair.nth == 0 => Self::SiteOverhead(build_up.site_overhead),
            LineKind::Overhead => Self::FirmOverhead(build_up.firm_overhead),
            LineKind::Contingency => Self::Contingency(build_up.contingency),
            LineKind::Profit => Self::Profit(build_up.profit),
            LineKind::Discount => Self::Discount(build_up.discount),
            LineKind::MinimumCharge => build_up
                .minimum_charge
                .map_or(Self::Absent, Self::MinimumCharge),
            LineKind::Rounding => build_up.round_price_to.map_or(Self::Absent, |step| {
                Self::Rounding(step, build_up.minimum_charge)
            }),
            LineKind::Tax => {
                let mut alike = build_up
                    .taxes
                    .each
                    .iter()
                    .filter(|tax| tax.called() == item);
                let tax = alike.nth(pair.nth);
                tax.map_or(Self::Absent, |tax| Self::Tax(tax, build_up.taxes.basis))
            }
            _ => {
                let mut alike = build_up.allowances.iter().filter(|each| each.label == item);
                let allowance = alike.nth(pair.nth);
                allowance.map_or(Self::Absent, |each| Self::Allowance(&each.amount))
            }
        }
    }

    /// What it comes to on the lines of an estimate, whosever rule it is; `None` on overflow.
    pub fn on(&self, estimate: &PricedEstimate, rounding: Rounding) -> Option<Money> {
        let before = Before(estimate);
        let exact = match self {
            Self::Absent => Decimal::ZERO,
            Self::Allowance(AllowanceAmount::Fixed(amount)) => *amount,
            Self::Allowance(AllowanceAmount::Of(share, parts)) => {
                of(before.allowances(parts)?, *share)?
            }
            Self::SiteOverhead(share) => of(before.overhead()?, *share)?,
            Self::FirmOverhead(share) => of(before.firm_overhead()?, *share)?,
            Self::Contingency(share) => of(before.contingency()?, *share)?,
            Self::Profit(Profit::MarkupOnCost(markup)) => of(before.profit()?, *markup)?,
            Self::Profit(Profit::MarginOnPrice(margin)) => {
                let cost = before.profit()?;
                let left = Share::WHOLE.checked_sub(*margin)?.fraction();
                cost.checked_div(left)?.checked_sub(cost)?
            }
            Self::Discount(Discount::None) => Decimal::ZERO,
            Self::Discount(Discount::Of(share)) => -of(before.discount()?, *share)?,
            Self::Discount(Discount::Fixed(amount)) => -*amount,
            Self::MinimumCharge(least) => least
                .checked_sub(before.minimum_charge()?)?
                .max(Decimal::ZERO),
            Self::Rounding(step, least) => {
                to_multiple(before.rounding()?, *step, *least, rounding)?
            }
            Self::Tax(tax, basis) => {
                let how = (estimate.currency, rounding);
                return Some(taxed::taxed(&estimate.lines, tax, *basis, how)?.amount);
            }
        };
        Some(Money::new(exact, estimate.currency).rounded(rounding))
    }
}

fn of(base: Decimal, share: Share) -> Option<Decimal> {
    base.checked_mul(share.fraction())
}

/// What brings a price to the nearest multiple, or to the next one up where that would be below the least that is charged.
fn to_multiple(
    price: Decimal,
    step: Decimal,
    least: Option<Decimal>,
    rounding: Rounding,
) -> Option<Decimal> {
    if step <= Decimal::ZERO {
        return Some(Decimal::ZERO);
    }
    let count = multiples(price, step, least, rounding)?;
    count.checked_mul(step)?.checked_sub(price)
}

/// What stands before each step of an estimate.
struct Before<'a>(&'a PricedEstimate);

impl Before<'_> {
    /// Of some parts of direct cost, or of all of it: without what is allowed for.
    fn allowances(&self, parts: &[PricePart]) -> Option<Decimal> {
        self.sum(|line| {
            let is_allowance = line.kind == LineKind::Other && line.unit_price.is_none();
            let part = part_of_direct(line.kind);
            !is_allowance && part.is_some_and(|part| parts.is_empty() || parts.contains(&part))
        })
    }

    fn overhead(&self) -> Option<Decimal> {
        self.sum(|line| part_of_direct(line.kind).is_some())
    }

    fn firm_overhead(&self) -> Option<Decimal> {
        let site_overhead = self
            .0
            .lines
            .iter()
            .find(|line| line.kind == LineKind::Overhead);
        let site_overhead = site_overhead.map(|line| line.amount.amount());
        self.overhead()?
            .checked_add(site_overhead.unwrap_or_default())
    }

    fn contingency(&self) -> Option<Decimal> {
        let is_before = |kind| part_of_direct(kind).is_some() || kind == LineKind::Overhead;
        self.sum(|line| is_before(line.kind))
    }

    fn profit(&self) -> Option<Decimal> {
        self.sum(|line| line.kind.part().is_some() && line.kind != LineKind::Profit)
    }

    fn discount(&self) -> Option<Decimal> {
        self.sum(|line| line.kind.part().is_some() || line.kind == LineKind::Income)
    }

    fn minimum_charge(&self) -> Option<Decimal> {
        self.sum(|line| {
            let kind = line.kind;
            !matches!(
                kind,
                LineKind::MinimumCharge | LineKind::Rounding | LineKind::Tax
            )
        })
    }

    fn rounding(&self) -> Option<Decimal> {
        self.sum(|line| !matches!(line.kind, LineKind::Rounding | LineKind::Tax))
    }

    fn sum(&self, is_before: impl Fn(&PricedLine) -> bool) -> Option<Decimal> {
        let mut lines = self.0.lines.iter().filter(|line| is_before(line));
        lines.try_fold(Decimal::ZERO, |sum, line| {
            sum.checked_add(line.amount.amount())
        })
    }
}

/// The part of direct cost that a line of a kind is; `None` for what is none.
fn part_of_direct(kind: LineKind) -> Option<PricePart> {
    kind.part().filter(|part| *part != PricePart::OnCost)
}
