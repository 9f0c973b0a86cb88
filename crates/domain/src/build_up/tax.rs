//! Taxes on the price before tax, or on some parts of it: once on their sum, or on each line. Taxes do not stand on one
//! another.

use hod_units::{Decimal, Share};

use super::Steps;
use super::parts::{Parts, add, named, push};
use crate::basis::{Basis, Joint, Term};
use crate::estimate::{Line, LineKind};
use crate::region::{PricePart, Tax, TaxBasis};
use crate::text::Text;
use crate::unit::Unit;

/// What a region without taxes shows: a step at nothing, as of every other step.
const NO_TAX: Tax = Tax {
    label: String::new(),
    share: Share::ZERO,
    parts: Vec::new(),
};

/// A line that is of no part, shared out over the parts.
struct Shared {
    item: Text,
    shares: Parts,
}

impl Steps<'_> {
    /// A line for each tax; `None` on overflow.
    pub(super) fn add_taxes(&mut self) -> Option<()> {
        let taxes = &self.in_force.build_up().taxes;
        let each = match taxes.each.as_slice() {
            [] => &[NO_TAX],
            each => each,
        };
        let in_part = each.iter().any(|tax| !tax.parts.is_empty());
        let (parts, shared) = if in_part {
            self.shared()?
        } else {
            (Parts::default(), Vec::new())
        };
        let (priced, price) = (self.lines.len(), self.before.amount());
        for tax in each {
            let basis = match (taxes.basis, tax.parts.as_slice()) {
                (TaxBasis::Invoice, []) => self.on_sum(tax, [whole(price)].into()),
                (TaxBasis::Invoice, of) => self.on_sum(tax, sum_of_parts(of, &parts, &shared)?),
                (TaxBasis::Line, []) => self.on_lines(tax, &self.lines[..priced])?,
                (TaxBasis::Line, of) => {
                    self.on_lines_of(tax, of, &self.lines[..priced], &shared)?
                }
            };
            let percent = tax.share.percent();
            let called = tax.called().to_owned();
            self.add(LineKind::Tax, called, percent, Unit::Percent, basis)?;
        }
        Some(())
    }

    /// What the parts come to, and every line that is of none shared out over them.
    fn shared(&self) -> Option<(Parts, Vec<Shared>)> {
        let parts = self.parts()?;
        let of_none = self.lines.iter().filter(|line| line.kind.part().is_none());
        let shared = of_none
            .map(|line| {
                Some(Shared {
                    item: line.item.clone(),
                    shares: parts.share(line.amount)?,
                })
            })
            .collect::<Option<_>>()?;
        Some((parts, shared))
    }

    /// Tax of a sum, rounded once.
    fn on_sum(&self, tax: &Tax, mut terms: Vec<Term>) -> Basis {
        terms.push(Term::new(
            Joint::PercentOf,
            tax.share.percent(),
            Unit::Percent,
            "share",
            self.in_force.source(|change| &change.taxes),
        ));
        Basis::of(terms)
    }

    /// Tax of each line, rounded, then added. `None` on overflow.
    fn on_lines(&self, tax: &Tax, lines: &[Line]) -> Option<Basis> {
        let source = self.in_force.source(|change| &change.taxes);
        let mut terms = Vec::with_capacity(lines.len());
        for line in lines {
            let amount = self.tax_of(tax, line.amount.amount())?;
            push(&mut terms, amount, &line.item, &source);
        }
        Some(Basis::of(terms))
    }

    /// Tax of each line of some parts, and of what they have of each line that is of no part, rounded, then added. `None`
    /// on overflow.
    fn on_lines_of(
        &self,
        tax: &Tax,
        of: &[PricePart],
        lines: &[Line],
        shared: &[Shared],
    ) -> Option<Basis> {
        let source = self.in_force.source(|change| &change.taxes);
        let mut terms = Vec::with_capacity(lines.len());
        let is_of = |line: &&Line| line.kind.part().is_some_and(|part| of.contains(&part));
        for line in lines.iter().filter(is_of) {
            let amount = self.tax_of(tax, line.amount.amount())?;
            push(&mut terms, amount, &line.item, &source);
        }
        for Shared { item, shares } in shared {
            for part in named(of).filter(|part| !shares.part(*part).is_zero()) {
                let amount = self.tax_of(tax, shares.part(part))?;
                let label = Text::from(format!("{item}, share of {}", part.word()));
                push(&mut terms, amount, &label, &source);
            }
        }
        if terms.is_empty() {
            push(
                &mut terms,
                Decimal::ZERO,
                &"nothing that it is on".into(),
                &source,
            );
        }
        Some(Basis::of(terms))
    }

    fn tax_of(&self, tax: &Tax, amount: Decimal) -> Option<Decimal> {
        let exact = amount.checked_mul(tax.share.fraction())?;
        Some(self.rounded(exact).amount())
    }
}

fn whole(price: Decimal) -> Term {
    Term::new(Joint::Start, price, Unit::Money, "price before tax", "")
}

/// The sum of some parts with what they have of every line that is of none, as terms. `None` on overflow.
fn sum_of_parts(of: &[PricePart], parts: &Parts, shared: &[Shared]) -> Option<Vec<Term>> {
    let mut terms = parts.terms(of);
    for Shared { item, shares } in shared {
        add(&mut terms, shares.sum(of)?, || format!("share of {item}"));
    }
    Some(terms)
}
