//! What a tax is on, and what it comes to, reckoned from the lines of a price by the parts that the tax names.
//! Which taxes there are is the build-up's.

use hod_units::{Currency, Decimal, Money, Rounding};

use super::priced::PricedLine;
use crate::estimate::LineKind;
use crate::region::{PricePart, Tax, TaxBasis};

/// The parts of a price in the order in which what remains of an adjustment is shared among them.
const PARTS: [PricePart; 9] = [
    PricePart::Material,
    PricePart::Labour,
    PricePart::Equipment,
    PricePart::Subcontract,
    PricePart::Fee,
    PricePart::Travel,
    PricePart::ProvisionalSum,
    PricePart::Other,
    PricePart::OnCost,
];

/// What a tax is on and what it comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Taxed {
    /// What it is on.
    pub base: Money,
    /// Rounded.
    pub amount: Money,
}

/// What stands in a price, as a line of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Standing {
    /// A cost or on-cost, of a part.
    Of(PricePart),
    /// Income, discount, minimum charge, rounding: shared over the parts.
    Adjustment,
    /// A tax.
    Tax,
}

/// How a line of a kind stands in a price.
pub(crate) const fn standing(kind: LineKind) -> Standing {
    match kind {
        LineKind::Material => Standing::Of(PricePart::Material),
        LineKind::Labour => Standing::Of(PricePart::Labour),
        LineKind::Equipment => Standing::Of(PricePart::Equipment),
        LineKind::Subcontract => Standing::Of(PricePart::Subcontract),
        LineKind::Fee => Standing::Of(PricePart::Fee),
        LineKind::Travel => Standing::Of(PricePart::Travel),
        LineKind::ProvisionalSum => Standing::Of(PricePart::ProvisionalSum),
        LineKind::Other => Standing::Of(PricePart::Other),
        LineKind::Overhead | LineKind::Contingency | LineKind::Profit => {
            Standing::Of(PricePart::OnCost)
        }
        LineKind::Income | LineKind::Discount | LineKind::MinimumCharge | LineKind::Rounding => {
            Standing::Adjustment
        }
        LineKind::Tax => Standing::Tax,
    }
}

/// A tax on some parts of a price, or on all of it, reckoned anew; `None` on overflow.
///
/// ```text
/// base    lines of the parts + their share of each adjustment, by largest remainder over what each part comes to
/// invoice base x share, rounded
/// line    each of those lines and shares x share, rounded, then added
/// ```
pub(crate) fn taxed(
    lines: &[PricedLine],
    tax: &Tax,
    basis: TaxBasis,
    (currency, rounding): (Currency, Rounding),
) -> Option<Taxed> {
    let bases = bases(lines, tax, currency)?;
    levied(&bases, tax, basis, (currency, rounding))
}

/// A tax on all of these amounts; `None` on overflow.
pub(crate) fn levied(
    bases: &[Money],
    tax: &Tax,
    basis: TaxBasis,
    (currency, rounding): (Currency, Rounding),
) -> Option<Taxed> {
    let base = Money::checked_sum(currency, bases.iter().copied()).ok()?;
    let of = |money: Money| {
        Some(
            money
                .checked_mul(tax.share.fraction())
                .ok()?
                .rounded(rounding),
        )
    };
    let amount = match basis {
        TaxBasis::Invoice => of(base)?,
        TaxBasis::Line => {
            let each = bases.iter().map(|base| of(*base));
            let each: Vec<Money> = each.collect::<Option<_>>()?;
            Money::checked_sum(currency, each).ok()?
        }
    };
    Some(Taxed { base, amount })
}

/// The amounts that a tax is on: of a tax on the whole price every line of it.
fn bases(lines: &[PricedLine], tax: &Tax, currency: Currency) -> Option<Vec<Money>> {
    let of_price = lines.iter().filter(|line| line.kind != LineKind::Tax);
    if tax.parts.is_empty() {
        return Some(of_price.map(|line| line.amount).collect());
    }
    let is_taxed = |part: &PricePart| tax.parts.contains(part);
    let of_parts =
        |line: &&PricedLine| matches!(standing(line.kind), Standing::Of(part) if is_taxed(&part));
    let mut bases: Vec<Money> = lines
        .iter()
        .filter(of_parts)
        .map(|line| line.amount)
        .collect();
    let weights: Vec<Decimal> = PARTS
        .iter()
        .map(|part| part_amount(lines, *part, currency))
        .collect::<Option<_>>()?;
    for line in of_price.filter(|line| standing(line.kind) == Standing::Adjustment) {
        // Of a price in which no part comes to anything, an adjustment is of no part.
        let shares = line.amount.split(&weights).unwrap_or_default();
        let taxed = PARTS.iter().zip(shares).filter(|(part, _)| is_taxed(part));
        bases.extend(taxed.map(|(_, share)| share));
    }
    Some(bases)
}

/// What the lines of a part come to.
fn part_amount(lines: &[PricedLine], part: PricePart, currency: Currency) -> Option<Decimal> {
    let of_part = lines
        .iter()
        .filter(|line| standing(line.kind) == Standing::Of(part))
        .map(|line| line.amount);
    Some(Money::checked_sum(currency, of_part).ok()?.amount())
}
