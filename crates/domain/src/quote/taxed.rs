//! What a tax is on, and what it comes to, reckoned from the lines of a price by the parts that the tax names.
//! Which taxes there are is the build-up's.

use hod_units::{Currency, Money, Rounding};

use super::priced::PricedLine;
use crate::build_up::Parts;
use crate::estimate::LineKind;
use crate::region::{PricePart, Tax, TaxBasis};

/// What a tax is on and what it comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Taxed {
    /// What it is on.
    pub base: Money,
    /// Rounded.
    pub amount: Money,
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
    let of_parts = |line: &&PricedLine| line.kind.part().is_some_and(|part| is_taxed(&part));
    let mut bases: Vec<Money> = lines
        .iter()
        .filter(of_parts)
        .map(|line| line.amount)
        .collect();
    let parts = Parts::of(lines.iter().map(|line| (line.kind, line.amount)))?;
    for line in of_price.filter(|line| line.kind.part().is_none()) {
        let shares = parts.share(line.amount)?;
        let taxed = PricePart::ALL.into_iter().filter(is_taxed);
        bases.extend(taxed.map(|part| Money::new(shares.part(part), currency)));
    }
    Some(bases)
}
